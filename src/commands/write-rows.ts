import { join, relative } from 'node:path';
import { stringify } from 'csv-stringify/sync';
import { conflictsOf } from '../facts/checks/index.ts';
import { withOffset } from '../facts/local-time.ts';
import { appendLogs, makeLogFolder } from '../io/append.ts';
import { realDisk } from '../io/disk.ts';
import { withLock } from '../io/lock.ts';
import { replaceFile } from '../io/replace.ts';
import { type FolderRead, LOG_FOLDER, readSeasonFolder, type Trial } from '../io/season-folder.ts';
import { newEntry } from '../records/entry.ts';
import { kindOf, type RecordName } from '../records/index.ts';
import { type CellSlip, cellsOf, readCells } from '../records/read.ts';
import { headerOf, type RecordKind, type Row } from '../records/record.ts';
import type { Now, Season } from '../season/model.ts';
import { csvHeader } from '../text/csv.ts';
import { linesForTerminal, oneLine, unwritable } from '../text/escape.ts';
import { expectedFound, type Fault, isNotice, joinHints, stopsReading } from '../text/fault.ts';
import type { Place, Source } from '../text/source.ts';
import { type Context, exitCodes, Stop, wrongWords } from './command.ts';
import { cannotRead, nowIn, seasonFolder } from './open.ts';
import { faultLines } from './say.ts';

/** Where a row that is not in a file yet is said to stand. */
const NEW_ROW = 'new row';

/** The cells of a row to be written, by column; `entry` and `recorded` are filled in. */
export type WantedRow = {
  readonly record: RecordName;
  readonly cells: Readonly<Record<string, string>>;
  readonly amends?: string;
  readonly isVoid?: boolean;
  /** Lets this row through though the counts do not agree or it comes out of order. */
  readonly anyway?: boolean;
  /** Lets this row through though another says the same. */
  readonly again?: boolean;
  /** Where it was typed, as `line 3`, for messages; null at the command line. */
  readonly from?: string;
};

export type WrittenRow = { readonly record: RecordName; readonly row: Row };

export type Written = {
  readonly season: Season;
  readonly now: Now;
  readonly rows: readonly WrittenRow[];
  /** Warnings that this write brought about, and faults of the files worth knowing. */
  readonly notes: string;
};

export type WriteWishes = {
  /** Shown to whoever waits for the lock: `add candling`. */
  readonly doing: string;
  /** Everything but the writing. */
  readonly dryRun?: boolean;
};

/** Rows with an unlikely figure: they are written only if somebody confirms them. */
export class Doubt extends Stop {
  constructor(
    message: string,
    hint: string | null,
    /** What to say of the rows to have them written. */
    readonly flags: readonly ('anyway' | 'again')[],
  ) {
    super(exitCodes.words, message, hint);
  }
}

/**
 * The one way rows get into the logs: lock the folder, read the season as it stands, decide, try the
 * rows on it, append them. A refusal writes nothing of any row.
 *
 * @param decide pure; gets the folder as read under the lock
 * @throws Stop when the folder cannot be read (3) or the rows cannot be meant so (2)
 * @throws Doubt when rows hold an unlikely figure that nobody confirmed
 * @throws WriteRefused when the lock or the disk refuses (exit 4)
 */
export async function writeRows(
  context: Context,
  wishes: WriteWishes,
  decide: (read: FolderRead & { season: Season }, now: Now) => readonly WantedRow[],
): Promise<Written> {
  const folder = seasonFolder(context);
  return withLock(folder, () => writeLocked(folder, context, wishes, decide), {
    doing: wishes.doing,
  });
}

async function writeLocked(
  folder: string,
  context: Context,
  wishes: WriteWishes,
  decide: (read: FolderRead & { season: Season }, now: Now) => readonly WantedRow[],
): Promise<Written> {
  const before = await readSeasonFolder(folder);
  if (!isWhole(before)) throw cannotRead(before);
  const now = nowIn(before.season.zone, context);
  const used = new Set(before.entries.keys());
  const rowFor = (wanted: WantedRow): WrittenRow => {
    const entry = newEntry(context.random, used);
    used.add(entry);
    return { record: wanted.record, row: rowOf(wanted, entry, now, before.season.zone) };
  };
  const wanted = decide(before, now);
  const rows = allOf(wanted, rowFor);
  const said = saidOf(wanted, rows);
  const trial = (all: readonly WrittenRow[]) => readSeasonFolder(folder, realDisk, trialsOf(all));
  let after = await trial(rows);
  let news = newFaults(before, after, now);
  const accepted = news.filter((one) => one.code === 'twin-rows' && said(one, 'again'));
  if (accepted.length > 0) {
    // Said to have happened twice: that is kept, so that nobody asks again.
    for (const one of accepted)
      rows.push(
        rowFor({
          record: 'acceptance',
          cells: {
            on: now.day,
            code: one.code,
            about: one.about,
            why: 'entered again on purpose',
            by: wanted[0]!.cells.by ?? '',
          },
        }),
      );
    after = await trial(rows);
    news = newFaults(before, after, now);
  }
  const broken = news.filter((one) => one.severity === 'error' && stopsReading(one));
  if (broken.length > 0) throw wrongWords(messagesOf(broken), broken[0]!.hint);
  const doubted = news.filter(
    (one) => (isImpossible(one) && !said(one, 'anyway')) || one.code === 'twin-rows',
  );
  if (doubted.length > 0) throw doubtOf(doubted);
  if (!isWhole(after)) throw cannotRead(after);
  const torn = wishes.dryRun === true ? [] : await append(folder, rows, after, now);
  // What was set aside just now is told below, with where it went.
  const notices = after.faults.filter(
    (one) =>
      isNotice(one.code) &&
      !(one.code === 'torn-line' && torn.some(({ log }) => log === one.at.file)),
  );
  return {
    season: after.season,
    now,
    rows,
    notes:
      faultLines([...notices, ...news.filter((one) => !notices.includes(one))]) +
      torn.map(({ log, aside }) => linesForTerminal(tornNote(log, aside))).join(''),
  };
}

/** Rows to be tried, by their record. */
function trialsOf(rows: readonly WrittenRow[]): Trial[] {
  return [...new Set(rows.map(({ record }) => record))].map((record) => ({
    record,
    rows: rows.filter((one) => one.record === record).map(({ row }) => row),
  }));
}

/** Every row made, or every reason why one cannot be. */
function allOf(wanted: readonly WantedRow[], make: (one: WantedRow) => WrittenRow): WrittenRow[] {
  const refused: Stop[] = [];
  const rows = wanted.flatMap((one) => {
    try {
      return [make(one)];
    } catch (error) {
      if (!(error instanceof Stop)) throw error;
      refused.push(error);
      return [];
    }
  });
  if (refused.length === 0) return rows;
  throw wrongWords(
    refused.map((one) => one.message).join('\n'),
    refused.map((one) => one.hint).find((one) => one !== null) ?? null,
  );
}

type Torn = { readonly log: string; readonly aside: string };

/** Appends rows to their logs, and tells which torn lines were set aside. */
async function append(
  folder: string,
  rows: readonly WrittenRow[],
  read: FolderRead,
  now: Now,
): Promise<Torn[]> {
  makeLogFolder(realDisk, join(folder, LOG_FOLDER));
  const logs = await Promise.all(
    [...new Set(rows.map(({ record }) => record))].map(async (record) => {
      const kind = kindOf(record);
      const shown = `${LOG_FOLDER}/${kind.file}`;
      const own = rows.filter((one) => one.record === record).map(({ row }) => row);
      const source = read.sources.get(shown);
      const header =
        source === undefined ? headerOf(kind) : await widened(folder, source, kind, own);
      return {
        shown,
        path: join(folder, shown),
        headerLine: csvLine(headerOf(kind)),
        lines: own.map((row) => csvLine(cellsOf(kind, row, header))),
      };
    }),
  );
  return appendLogs(realDisk, logs, new Date(now.instant)).flatMap(({ torn }, index) =>
    torn === null ? [] : [{ log: logs[index]!.shown, aside: relative(folder, torn) }],
  );
}

const csvLine = (cells: readonly string[]): string => stringify([[...cells]]).replace(/\n$/, '');

/**
 * The header of a log, after adding the columns that it lacks, as an earlier version began it, and
 * that the new rows fill. The rows it holds say nothing there.
 */
async function widened(
  folder: string,
  source: Source,
  kind: RecordKind,
  rows: readonly Row[],
): Promise<readonly string[]> {
  const header = csvHeader(source);
  const lacking = Object.keys(kind.columns).filter(
    (name) =>
      !header.includes(name) &&
      rows.some((row) => kind.columns[name]!.print(row.values[name]) !== ''),
  );
  if (lacking.length === 0) return header;
  const { parse } = await import('csv-parse/sync');
  const at = header.indexOf('by');
  const table = parse(source.text) as string[][];
  const wide = table.map((cells, index) =>
    [cells.slice(0, at), lacking.map((name) => (index === 0 ? name : '')), cells.slice(at)].flat(),
  );
  replaceFile(join(folder, source.path), stringify(wide), {
    expectedText: source.text,
    season: folder,
  });
  return wide[0]!;
}

function tornNote(log: string, aside: string): string {
  return `the last line of ${log} was cut short; it was set aside as ${aside}\n  hint: look at it, add the row again if it is missing, then delete that file\n`;
}

function isWhole(read: FolderRead): read is FolderRead & { season: Season } {
  return read.season !== null;
}

const IMPOSSIBLE: ReadonlySet<Fault['code']> = new Set([
  'impossible-reading',
  'out-of-balance',
  'order-of-events',
  'unlikely-figure',
  'band-worn',
]);

/** Things that cannot have happened, so that a record of them is a slip. */
function isImpossible(one: Fault): boolean {
  return IMPOSSIBLE.has(one.code) && one.severity === 'error';
}

/** Whether somebody said of the rows that a fault is about that they are right as they stand. */
type Said = (one: Fault, flag: 'anyway' | 'again') => boolean;

/** Looks up the rows of each fault: by entry, else by set and pen, else by pen. */
function saidOf(wanted: readonly WantedRow[], rows: readonly WrittenRow[]): Said {
  const byKey = new Map<string, WantedRow[]>();
  const put = (key: readonly (string | null)[], row: WantedRow): void => {
    const text = JSON.stringify(key);
    const same = byKey.get(text);
    if (same) same.push(row);
    else byKey.set(text, [row]);
  };
  wanted.forEach((row, index) => {
    const set = row.cells.set || null;
    const pen = row.cells.pen || null;
    put(['entry', rows[index]!.row.entry], row);
    // A row without a pen is about every share of its set.
    put(['set', set, pen], row);
    if (set !== null) put(['whole set', set], row);
    put(['pen', pen], row);
  });
  const of = (...key: (string | null)[]) => byKey.get(JSON.stringify(key)) ?? [];
  return (one, flag) => {
    const entry = of('entry', one.about);
    const about =
      entry.length > 0
        ? entry
        : one.set === null
          ? one.pen === null
            ? []
            : of('pen', one.pen)
          : one.pen === null
            ? of('whole set', one.set)
            : [...of('set', one.set, one.pen), ...of('set', one.set, null)];
    // A fault that names none of the rows is brought about by all of them.
    return about.length === 0 ? wanted.every((row) => row[flag]) : about.some((row) => row[flag]);
  };
}

/** Reasons told one by one; of more only the number is told. */
const MOST_REASONS = 50;

function messagesOf(faults: readonly Fault[]): string {
  const more = faults.length - MOST_REASONS;
  const lines = faults.slice(0, MOST_REASONS).map((one) => one.message);
  return [...lines, ...(more > 0 ? [`and ${more} more like these`] : [])].join('\n');
}

function doubtOf(faults: readonly Fault[]): Doubt {
  const isTwin = (one: Fault) => one.code === 'twin-rows';
  const others = faults.filter((one) => !isTwin(one));
  const hints = [
    others.length > 0 ? (others[0]!.hint ?? 'count again') : null,
    others.length > 0 ? 'to write it as it is: --anyway' : null,
    faults.some(isTwin) ? 'if it happened a second time: --again' : null,
  ];
  return new Doubt(messagesOf(faults), hints.reduce(joinHints), [
    ...(others.length > 0 ? (['anyway'] as const) : []),
    ...(faults.some(isTwin) ? (['again'] as const) : []),
  ]);
}

function rowOf(wanted: WantedRow, entry: string, now: Now, zone: string): Row {
  const { record, from } = wanted;
  const fixed: Record<string, string> = {
    entry,
    recorded: withOffset(now.instant, zone),
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
  if ('slips' in read) throw slipsRefused(read.slips, from);
  // Behind every row written so far, even one of the same second.
  const at: Place = { file: NEW_ROW, line: Number.POSITIVE_INFINITY, column: 1 };
  return { ...read.row, at };
}

function slipsRefused(slips: readonly CellSlip[], from: string | undefined): Stop {
  const hint = slips.map((slip) => slip.hint ?? null).find((one) => one !== null) ?? null;
  const at = from === undefined ? '' : `${from}: `;
  return wrongWords(slips.map((slip) => `${at}${slip.message}`).join('\n'), hint);
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
