// Seasons made of a few words, for tests of the core: no files, no clock.
import { stringify } from 'csv-stringify/sync';
import { conflictsOf } from '../../src/facts/checks/index.ts';
import { type Built, buildSeason } from '../../src/facts/fold.ts';
import { effectiveRows } from '../../src/records/effective.ts';
import { kindOf, type RecordName, type Rows, recordNames } from '../../src/records/index.ts';
import { readLog } from '../../src/records/read.ts';
import { headerOf, type Row } from '../../src/records/record.ts';
import type { Now, Season } from '../../src/season/model.ts';
import { readSeasonFile } from '../../src/season/read-file.ts';
import type { Day } from '../../src/text/day.ts';

/** One row to be: its record, its day or minute, its cells. */
export type Written = readonly [RecordName, string, Readonly<Record<string, string | number>>];

export const day = (text: string): Day => text as Day;

export function nowAt(text: string): Now {
  return { instant: Date.parse(`${text}T07:00:00Z`), day: day(text), time: '07:00' };
}

/** The rows as their logs would give them; the order given is the order of `recorded`. */
export function rowsOf(record: RecordName, written: readonly Written[]): readonly Row[] {
  const kind = kindOf(record);
  const header = headerOf(kind);
  const own = written.flatMap(([name, on, cells], index) => {
    if (name !== record) return [];
    const cell: Record<string, string | number> = {
      entry: String(index).padStart(10, '0'),
      recorded: new Date(Date.UTC(2027, 0, 1) + index * 60_000).toISOString(),
      on,
      ...cells,
    };
    return [header.map((column) => String(cell[column] ?? ''))];
  });
  const log = readLog(kind, {
    path: `log/${kind.file}`,
    text: stringify([[...header], ...own]),
  });
  const faults = [...log.faults, ...log.broken.flatMap((one) => one.faults)];
  if (faults.length > 0) throw new Error(JSON.stringify(faults));
  return log.rows;
}

/** Files read before: tests build many seasons of one file. */
const read = new Map<string, ReturnType<typeof readSeasonFile>>();

/** The season of a file and rows, with the faults of joining them. */
export function built(yaml: string, written: readonly Written[] = []): Built {
  const known = read.get(yaml) ?? readSeasonFile({ path: 'season.yaml', text: yaml });
  read.set(yaml, known);
  const { file, faults } = known;
  if (file === null || faults.length > 0) throw new Error(JSON.stringify(faults));
  const rows = Object.fromEntries(
    recordNames.map((name) => [name, effectiveRows(rowsOf(name, written)).rows]),
  );
  return buildSeason(file, rows as unknown as Rows);
}

/** A season that joins without a fault. */
export function seasonOf(yaml: string, written: readonly Written[] = []): Season {
  const { season, faults } = built(yaml, written);
  if (faults.length > 0) throw new Error(JSON.stringify(faults));
  return season;
}

/** The codes of every conflict, in order, each once. */
export function codesOf(yaml: string, written: readonly Written[], now: string): string[] {
  return [...new Set(conflictsOf(seasonOf(yaml, written), nowAt(now)).map((one) => one.code))];
}

/** A place with chickens and ducks; `plan` and more keys are added at the end. */
export const hill = `format: traybook/1
season: 2027
place: {name: Cold Ash, timezone: Europe/London}
lines:
  sussex: {species: chicken, class: dual-purpose}
  harlequin: {species: duck}
pens:
  orchard: {line: sussex, hens: 9, males: 1, joined: 2027-01-30}
  yard: {line: sussex, hens: 8, males: 1, joined: 2027-01-30}
  pond: {line: harlequin, hens: 4, males: 1, joined: 2027-01-30}
setters:
  cabinet: {trays: 3, tray_holds: {chicken: 40, duck: 30}}
hatchers:
  lower: {holds: {chicken: 60, duck: 40}, clean_days: 1}
storage: {max_days: 8}
`;
