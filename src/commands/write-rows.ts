import { join, relative } from 'node:path';
import { stringify } from 'csv-stringify/sync';
import { conflictsOf } from '../facts/checks/index.ts';
import { withOffset } from '../facts/local-time.ts';
import { appendLines, makeLogFolder } from '../io/append.ts';
import { realDisk } from '../io/disk.ts';
import { withLock } from '../io/lock.ts';
import { type FolderRead, LOG_FOLDER, readSeasonFolder } from '../io/season-folder.ts';
import { newEntry } from '../records/entry.ts';
import { kindOf, type RecordName } from '../records/index.ts';
import { type CellSlip, cellsOf, readCells } from '../records/read.ts';
import { headerOf, type Row } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { csvHeader } from '../text/csv.ts';
import { linesForTerminal, oneLine, unwritable } from '../text/escape.ts';
import { expectedFound, type Fault, isNotice, joinHints, stopsReading } from '../text/fault.ts';
import type { Place } from '../text/source.ts';
import { type Context, type Stop, wrongWords } from './command.ts';
import { cannotRead, nowIn, seasonFolder } from './open.ts';
import { faultLines } from './say.ts';

/** Where a row that is not in a file yet is said to stand. */
const NEW_ROW = 'new row';

/** The cells of a row to be written, by column; `entry` and `recorded` are filled in. */
export type Wanted = {
  readonly cells: Readonly<Record<string, string>>;
  readonly amends?: string;
  readonly isVoid?: boolean;
};

/** What a command decided under the lock, seen from the season as it stood then. */
export type Decision = { readonly record: RecordName; readonly rows: readonly Wanted[] };

export type Written = {
  readonly season: Season;
  readonly now: Now;
  readonly rows: readonly Row[];
  /** Warnings that this write brought about, and faults of the files worth knowing. */
  readonly notes: string;
};

export type WriteWishes = {
  /** Shown to whoever waits for the lock: `add candling`. */
  readonly doing: string;
  /** Lets a row through that does not balance or comes out of order. */
  readonly anyway?: boolean;
};

/**
 * The one way a row gets into a log: lock the folder, read the season as it stands, decide, try the
 * rows on it, append them in one write. A refusal writes nothing.
 *
 * @param decide pure; gets the folder as read under the lock
 * @throws Stop when the folder cannot be read (3) or the rows cannot be meant so (2)
 * @throws WriteRefused when the lock or the disk refuses (exit 4)
 */
export async function writeRows(
  context: Context,
  wishes: WriteWishes,
  decide: (read: FolderRead & { season: Season }, now: Now) => Decision,
): Promise<Written> {
  const folder = seasonFolder(context);
  return withLock(
    folder,
    async () => {
      const before = await readSeasonFolder(folder);
      if (!isWhole(before)) throw cannotRead(before);
      const now = nowIn(before.season.zone, context);
      const decision = decide(before, now);
      const kind = kindOf(decision.record);
      const used = new Set(before.entries.keys());
      const rows = decision.rows.map((wanted): Row => {
        const entry = newEntry(context.random, used);
        used.add(entry);
        return rowOf(decision.record, wanted, entry, withOffset(now.instant, before.season.zone));
      });
      const after = await readSeasonFolder(folder, realDisk, { record: decision.record, rows });
      const news = newFaults(before, after, now);
      const refused = news.filter(
        (one) => one.severity === 'error' && (stopsReading(one) || isImpossible(one)),
      );
      const hard = wishes.anyway ? refused.filter(stopsReading) : refused;
      if (hard.length > 0) throw refusal(hard, wishes.anyway !== true && hard.every(isImpossible));
      if (!isWhole(after)) throw cannotRead(after);
      const shown = `${LOG_FOLDER}/${kind.file}`;
      const source = after.sources.get(shown);
      const header = source === undefined ? headerOf(kind) : csvHeader(source);
      const lineOf = (cells: readonly string[]): string =>
        stringify([[...cells]]).replace(/\n$/, '');
      makeLogFolder(realDisk, join(folder, LOG_FOLDER));
      const done = appendLines(
        realDisk,
        join(folder, shown),
        lineOf(headerOf(kind)),
        rows.map((row) => lineOf(cellsOf(kind, row, header))),
        new Date(now.instant),
      );
      // What was set aside just now is told below, with where it went.
      const notices = after.faults.filter(
        (one) =>
          isNotice(one.code) &&
          !(done.torn !== null && one.code === 'torn-line' && one.at.file === shown),
      );
      return {
        season: after.season,
        now,
        rows,
        notes:
          faultLines([...notices, ...news.filter((one) => !notices.includes(one))]) +
          (done.torn === null
            ? ''
            : linesForTerminal(tornNote(shown, relative(folder, done.torn)))),
      };
    },
    { doing: wishes.doing },
  );
}

function tornNote(log: string, aside: string): string {
  return `the last line of ${log} was cut short; it was set aside as ${aside}\n  hint: look at it, add the row again if it is missing, then delete that file\n`;
}

function isWhole(read: FolderRead): read is FolderRead & { season: Season } {
  return read.season !== null;
}

/** Things that cannot have happened, so that a record of them is a slip. */
function isImpossible(one: Fault): boolean {
  return one.code === 'out-of-balance' || one.code === 'order-of-events';
}

function refusal(faults: readonly Fault[], canForce: boolean): Stop {
  const [first] = faults;
  const text = faults.map((one) => one.message).join('\n');
  const forced = canForce ? 'if it is so all the same: --anyway' : null;
  return wrongWords(text, joinHints(first!.hint, forced));
}

function rowOf(record: RecordName, wanted: Wanted, entry: string, recorded: string): Row {
  const fixed: Record<string, string> = {
    entry,
    recorded,
    amends: wanted.amends ?? '',
    state: wanted.isVoid ? 'void' : '',
  };
  const cells: Record<string, string> = {};
  for (const [name, written] of Object.entries(wanted.cells)) {
    const bad = unwritable(written);
    if (bad !== null) throw wrongWords(expectedFound(name, 'plain text', bad));
    cells[name] = oneLine(written);
  }
  const read = readCells(kindOf(record), (name) => fixed[name] ?? cells[name] ?? '');
  if ('slips' in read) throw slipsRefused(read.slips);
  // Behind every row written so far, even one of the same second.
  const at: Place = { file: NEW_ROW, line: Number.POSITIVE_INFINITY, column: 1 };
  return { ...read.row, at };
}

function slipsRefused(slips: readonly CellSlip[]): Stop {
  const hint = slips.map((slip) => slip.hint ?? null).find((one) => one !== null) ?? null;
  return wrongWords(slips.map((slip) => slip.message).join('\n'), hint);
}

/** What is wrong after the write and was not before. */
function newFaults(before: FolderRead, after: FolderRead, now: Now): Fault[] {
  // A conflict told before is not news because its figures moved.
  const key = (one: Fault): string =>
    isImpossible(one) || one.set === null
      ? JSON.stringify([one.code, one.message])
      : JSON.stringify([one.code, one.set, one.pen]);
  const known = new Set(
    [...before.faults, ...(before.season ? conflictsOf(before.season, now) : [])].map(key),
  );
  return [...after.faults, ...(after.season ? conflictsOf(after.season, now) : [])].filter(
    (one) => !known.has(key(one)),
  );
}
