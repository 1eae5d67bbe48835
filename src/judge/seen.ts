/** What a season's looks and gauges show: review and diagnosis read the same, worked out once. */
import type { Season } from '../season/model.ts';
import { once } from '../text/once.ts';
import { gaugesOf } from './gauges.ts';
import { hatchTimesOf, type TimedCell } from './hatch-times.ts';
import type { GridTable } from './model/grid.ts';
import { hoursTable } from './model/measures.ts';
import { outcomesOf, type ShareOutcome } from './review/outcome.ts';

/** Each is made when it is first asked for. */
export type SeasonSeen = {
  readonly outcomes: () => readonly ShareOutcome[];
  readonly times: () => ReturnType<typeof hatchTimesOf>;
  readonly gauges: () => ReturnType<typeof gaugesOf>;
  /** The table of hours that some cells say. Shared: do not change it. */
  readonly hours: (cells: readonly TimedCell[]) => GridTable;
};

export function seenOf(season: Season): SeasonSeen {
  const hours = new Map<string, GridTable>();
  return {
    outcomes: once(() => outcomesOf(season)),
    times: once(() => hatchTimesOf(season)),
    gauges: once(() => gaugesOf(season)),
    hours(cells) {
      const key = JSON.stringify(cells);
      const known = hours.get(key) ?? hoursTable(cells);
      hours.set(key, known);
      return known;
    },
  };
}
