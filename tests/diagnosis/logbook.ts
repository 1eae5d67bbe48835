import { buildSeason } from '../../src/facts/fold.ts';
import { effectiveRows } from '../../src/records/effective.ts';
import { kindOf, type RecordName, type Rows, recordNames } from '../../src/records/index.ts';
import { readLog } from '../../src/records/read.ts';
import { headerOf } from '../../src/records/record.ts';
import type { Season } from '../../src/season/model.ts';
import { readSeasonFile } from '../../src/season/read-file.ts';

const CROCKFORD = '0123456789abcdefghjkmnpqrstvwxyz';

export type Logbook = {
  /** Writes one row into the text of a log. */
  row(record: RecordName, on: string, values: Readonly<Record<string, string | number>>): void;
  /** Reads the logs as the program does, up to a day if one is given, in another order if so; throws on any error in them. */
  season(until?: string, order?: (rows: readonly string[]) => readonly string[]): Season;
};

/** A season folder in memory: the text of season.yaml, and logs written row by row. */
export function logbook(yaml: string): Logbook {
  const logs = new Map<RecordName, string[]>();
  let entries = 0;
  return {
    row(record, on, values) {
      let entry = '';
      for (let i = 0, v = entries; i < 10; i++, v = Math.floor(v / 32))
        entry = CROCKFORD[v % 32]! + entry;
      entries += 1;
      const all: Record<string, string | number> = {
        entry,
        recorded: `${on.slice(0, 10)}T20:00:00+00:00`,
        on,
        ...values,
      };
      const header = headerOf(kindOf(record));
      const strange = Object.keys(values).filter((column) => !header.includes(column));
      if (strange.length > 0) throw new Error(`${record} has no column ${strange.join(', ')}`);
      const lines = logs.get(record) ?? [header.join(',')];
      lines.push(header.map((column) => all[column] ?? '').join(','));
      logs.set(record, lines);
    },
    season(until, order = (rows) => rows) {
      const read = readSeasonFile({ path: 'season.yaml', text: yaml });
      if (!read.file) throw new Error(JSON.stringify(read.faults));
      const rows: Partial<Record<RecordName, unknown>> = {};
      for (const name of recordNames) {
        const lines = logs.get(name);
        if (!lines) {
          rows[name] = [];
          continue;
        }
        const kept =
          until === undefined
            ? lines
            : lines.filter((line, i) => i === 0 || line.split(',')[2]!.slice(0, 10) <= until);
        const text = `${[kept[0]!, ...order(kept.slice(1))].join('\n')}\n`;
        const log = readLog(kindOf(name), { path: `${name}.csv`, text });
        const faults = [...log.faults, ...log.broken.flatMap((row) => row.faults)];
        if (faults.length > 0) throw new Error(JSON.stringify(faults.slice(0, 3)));
        rows[name] = effectiveRows(log.rows).rows;
      }
      const built = buildSeason(read.file, rows as unknown as Rows);
      const errors = built.faults.filter((f) => f.severity === 'error');
      if (errors.length > 0) throw new Error(JSON.stringify(errors.slice(0, 3)));
      return built.season;
    },
  };
}
