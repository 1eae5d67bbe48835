/** The years that a season may speak of: a slip such as 2299 would have the days between counted. */
import type { RecordKind, Row } from '../records/record.ts';
import { type Day, parseDay } from '../text/day.ts';
import { expectedFound, type Fault, fault, quoted } from '../text/fault.ts';
import type { Place } from '../text/source.ts';
import type { YamlPath } from '../text/yaml-limits.ts';
import { pathWords } from './references.ts';

/** Birds of a pen, and what was born, may be old: a goose lays for twenty years. */
const YEARS_BEFORE = 30;
/** Pullets of a late hatch lay in the year after; a plan looks no further than that. */
const YEARS_AFTER = 3;

/** A season is called by its year, or by a text that mostly holds it. */
type Named = { readonly season: string | number };

/** The days that a season may name: any of our time where its name tells no year. */
export function daysOfSeason({ season }: Named): { readonly first: Day; readonly last: Day } {
  const year = /\b(?:19|20|21)\d\d\b/.exec(String(season))?.[0];
  const [from, to] =
    year === undefined ? [1950, 2199] : [Number(year) - YEARS_BEFORE, Number(year) + YEARS_AFTER];
  return { first: `${from}-01-01` as Day, last: `${to}-12-31` as Day };
}

function expectedDay(values: Named): string {
  const { first, last } = daysOfSeason(values);
  return `a day from ${first} to ${last} in the season ${values.season}`;
}

/** Days of `season.yaml` that are years away from its season. */
export function farDays(values: Named, placeOf: (path: YamlPath) => Place): Fault[] {
  const { first, last } = daysOfSeason(values);
  const faults: Fault[] = [];
  const look = (value: unknown, path: YamlPath): void => {
    if (typeof value === 'string') {
      if (parseDay(value) === null || (value >= first && value <= last)) return;
      faults.push(
        fault(
          'bad-value',
          placeOf(path),
          expectedFound(pathWords(path), expectedDay(values), quoted(value)),
        ),
      );
    } else
      for (const [key, inner] of Object.entries(value ?? {}))
        look(inner, [...path, Array.isArray(value) ? Number(key) : key]);
  };
  look(values, []);
  return faults;
}

/** Rows of a log with a day that is years away from the season. */
export function farRows(kind: RecordKind, rows: readonly Row[], values: Named): Fault[] {
  const { first, last } = daysOfSeason(values);
  const columns = Object.keys(kind.columns).filter((name) => kind.columns[name]!.type === 'date');
  const faults: Fault[] = [];
  const look = (row: Row, column: string, day: unknown): void => {
    if (typeof day !== 'string' || (day >= first && day <= last)) return;
    faults.push(
      fault('bad-cell', row.at, expectedFound(column, expectedDay(values), quoted(day)), {
        hint: `fix the cell, or: traybook void ${row.entry}`,
      }),
    );
  };
  for (const row of rows) {
    look(row, 'on', row.on.day);
    for (const name of columns) look(row, name, row.values[name]);
  }
  return faults;
}
