import type { FolderRead } from '../io/season-folder.ts';
import { kindOf, type RecordName, recordNames } from '../records/index.ts';
import { cellsOf } from '../records/read.ts';
import { headerOf, type Row } from '../records/record.ts';
import { quoted } from '../text/fault.ts';
import { nearest } from '../text/nearest.ts';
import { wrongWords } from './command.ts';

export type StandingRow = {
  readonly record: RecordName;
  /** The version that stands, which an amendment replaces. */
  readonly row: Row;
  /** Its cells by column, without entry, recorded, amends and state. */
  readonly cells: Readonly<Record<string, string>>;
};

/** Stands for the row written down last. */
const LAST = 'last';
/** A shorter beginning of an entry is too likely a slip. */
const SHORTEST = 3;

/**
 * The row an entry means: any version of a row stands for the one that is in force. `last` is the
 * row written down last; as many letters as are unique will do.
 *
 * @throws Stop (exit 2) if there is none, there are several, or it is void already
 */
export function standingRow(read: FolderRead, typed: string): StandingRow {
  const entry = typed === LAST ? lastEntry(read) : wholeEntry(read, typed);
  for (const record of recordNames) {
    for (const versions of read.versions(record).values()) {
      if (!versions.some((row) => row.entry === entry)) continue;
      const row = versions.at(-1)!;
      if (row.isVoid)
        throw wrongWords(
          `${entry} is void already, by ${row.entry}`,
          `to record it again: traybook add ${record} …`,
        );
      const kind = kindOf(record);
      const own = new Set(['entry', 'recorded', 'amends', 'state']);
      const header = headerOf(kind);
      const cells = cellsOf(kind, row);
      return {
        record,
        row,
        cells: Object.fromEntries(
          header
            .map((name, index) => [name, cells[index]!] as const)
            .filter(([name]) => !own.has(name)),
        ),
      };
    }
  }
  const near = nearest(entry, read.entries.keys());
  throw wrongWords(
    `no row has the entry ${quoted(entry)}`,
    near.length > 0
      ? `did you mean ${near.join(' or ')}?`
      : 'traybook list RECORD shows the entries',
  );
}

/** The entry that begins with what was typed, if it is the only one. */
function wholeEntry(read: FolderRead, typed: string): string {
  const all = [...read.entries.keys()];
  if (typed.length < SHORTEST || all.includes(typed)) return typed;
  const like = all.filter((entry) => entry.startsWith(typed));
  if (like.length <= 1) return like[0] ?? typed;
  throw wrongWords(
    `${like.length} entries begin with ${quoted(typed)}`,
    `write more of it: ${like.slice(0, 4).join(', ')}${like.length > 4 ? ' …' : ''}`,
  );
}

/** The entry of the row in force that was written down last, over all logs. */
function lastEntry(read: FolderRead): string {
  let last: Row | null = null;
  for (const record of recordNames)
    for (const versions of read.versions(record).values()) {
      const row = versions.at(-1)!;
      if (row.isVoid) continue;
      if (last === null || isLater(row, last)) last = row;
    }
  if (last === null) throw wrongWords('no row is written yet', 'traybook add --help');
  return last.entry;
}

/** Of rows of one second the one further down its log; of two logs neither is known to be. */
function isLater(row: Row, other: Row): boolean {
  return (
    row.recordedAt > other.recordedAt ||
    (row.recordedAt === other.recordedAt &&
      (row.at.file !== other.at.file || row.at.line > other.at.line))
  );
}
