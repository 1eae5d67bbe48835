/** Every figure and statement of the tables of `seeds/`, for the bibliography and its tests. */
import advice from '../../seeds/advice.yaml';
import alarms from '../../seeds/alarms.yaml';
import breeding from '../../seeds/breeding.yaml';
import brooding from '../../seeds/brooding.yaml';
import causes from '../../seeds/causes.yaml';
import cautions from '../../seeds/cautions.yaml';
import embryo from '../../seeds/embryo.yaml';
import entry from '../../seeds/entry.yaml';
import growth from '../../seeds/growth.yaml';
import norms from '../../seeds/norms.yaml';
import power from '../../seeds/power.yaml';
import rates from '../../seeds/rates.yaml';
import species from '../../seeds/species.yaml';
import work from '../../seeds/work.yaml';
import type { Seen } from './figure.ts';

/** A table of `seeds/` by the name of its file. */
export const figureTables: Readonly<Record<string, unknown>> = {
  species,
  brooding,
  growth,
  rates,
  norms,
  embryo,
  breeding,
  power,
  alarms,
  causes,
  work,
  entry,
  cautions,
  advice,
};

/** A figure by its table and the keys that lead to it; `source` is written out where it says `same`. */
export type Placed = {
  readonly table: string;
  readonly path: readonly string[];
  readonly seen: Seen;
  readonly source: string;
  readonly note: string;
};

/** All of them, in the order of the tables: whatever holds both a `source` and a `seen`. */
export function allFigures(): Placed[] {
  const out: Placed[] = [];
  const walk = (value: unknown, table: string, path: readonly string[]): void => {
    if (typeof value !== 'object' || value === null) return;
    const { source, seen, note } = value as Record<string, unknown>;
    if (typeof source === 'string' && typeof seen === 'string') {
      const whole = source.startsWith('same') ? `${out.at(-1)!.source}; ${source}` : source;
      out.push({ table, path, seen: seen as Seen, source: whole, note: String(note ?? '') });
    }
    for (const [key, one] of Object.entries(value)) walk(one, table, [...path, key]);
  };
  for (const [table, value] of Object.entries(figureTables)) walk(value, table, []);
  return out;
}
