import type { FolderRead } from '../io/season-folder.ts';
import { kindOf, type RecordName, recordNames } from '../records/index.ts';
import { cellsOf } from '../records/read.ts';
import { headerOf, type Row } from '../records/record.ts';
import { quoted } from '../text/fault.ts';
import { nearest } from '../text/nearest.ts';
import { wrongWords } from './command.ts';

export type Standing = {
  readonly record: RecordName;
  /** The version that stands, which an amendment replaces. */
  readonly row: Row;
  /** Its cells by column, without entry, recorded, amends and state. */
  readonly cells: Readonly<Record<string, string>>;
};

/**
 * The row an entry means: any version of a row stands for the one that is in force.
 *
 * @throws Stop (exit 2) if there is none, or it is void already
 */
export function standingRow(read: FolderRead, entry: string): Standing {
  for (const record of recordNames) {
    for (const versions of read.versions(record).values()) {
      if (!versions.some((row) => row.entry === entry)) continue;
      const row = versions.at(-1)!;
      if (row.isVoid)
        throw wrongWords(
          `${entry} is void already, by ${row.entry}`,
          `to record it anew: traybook add ${record} …`,
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
