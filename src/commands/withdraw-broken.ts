import { join } from 'node:path';
import { stringify } from 'csv-stringify/sync';
import { withOffset } from '../facts/local-time.ts';
import { appendLine } from '../io/append.ts';
import { realDisk } from '../io/disk.ts';
import { withLock } from '../io/lock.ts';
import { LOG_FOLDER, readSeasonFolder } from '../io/season-folder.ts';
import { newEntry } from '../records/entry.ts';
import { kindOf, type RecordName } from '../records/index.ts';
import { cellsOf, readCells } from '../records/read.ts';
import { headerOf } from '../records/record.ts';
import { csvHeader } from '../text/csv.ts';
import { parseOn } from '../text/day.ts';
import { stopsReading } from '../text/fault.ts';
import { type Context, wrongWords } from './command.ts';
import { cannotRead, nowIn, seasonFolder } from './open.ts';

export type WithdrawnRow = { readonly record: RecordName; readonly entry: string };

/**
 * Withdraws a row that cannot be read, in a folder from which no figures can be drawn until then:
 * the one write such a folder takes. Null if the entry is not of such a row.
 *
 * @throws Stop (exit 3) if the season file cannot be read either
 * @throws WriteRefused when the lock or the disk refuses (exit 4)
 */
export async function withdrawBroken(
  context: Context,
  entry: string,
  said: { readonly by: string; readonly note: string },
): Promise<WithdrawnRow | null> {
  const folder = seasonFolder(context);
  const seen = await readSeasonFolder(folder);
  if (!seen.broken.has(entry)) return null;
  return withLock(
    folder,
    async () => {
      const before = await readSeasonFolder(folder);
      const row = before.broken.get(entry);
      if (row === undefined || before.file === null) throw cannotRead(before);
      const zone = before.file.values.place.timezone;
      const now = nowIn(zone, context);
      const kind = kindOf(row.record);
      const cells: Readonly<Record<string, string>> = {
        entry: newEntry(context.random, new Set(before.entries.keys())),
        recorded: withOffset(now.instant, zone),
        on: parseOn(row.on) === null ? now.day : row.on,
        by: said.by,
        note: said.note,
        amends: entry,
        state: 'void',
      };
      const read = readCells(kind, (name) => (Object.hasOwn(cells, name) ? cells[name]! : ''));
      if ('slips' in read) throw wrongWords(read.slips.map((slip) => slip.message).join('\n'));
      const at = { file: 'new row', line: Number.POSITIVE_INFINITY, column: 1 };
      const trial = { record: row.record, rows: [{ ...read.row, at }] };
      const after = await readSeasonFolder(folder, realDisk, [trial]);
      const worse = after.faults.filter(stopsReading).length;
      if (worse >= before.faults.filter(stopsReading).length) throw cannotRead(before);
      const shown = `${LOG_FOLDER}/${kind.file}`;
      const lineOf = (texts: readonly string[]) => stringify([[...texts]]).replace(/\n$/, '');
      appendLine(
        realDisk,
        join(folder, shown),
        lineOf(headerOf(kind)),
        lineOf(cellsOf(kind, read.row, csvHeader(before.sources.get(shown)!))),
        new Date(now.instant),
      );
      return { record: row.record, entry: cells.entry! };
    },
    { doing: 'void' },
  );
}
