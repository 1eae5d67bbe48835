/** When chicks hatched, as the looks into the hatcher tell it: hours between two looks, nothing fitted. */
import { milestonesOfShare } from '../facts/hatch-time.ts';
import { instantOf } from '../facts/local-time.ts';
import type { EggSet, Season, Share } from '../season/model.ts';

/** Chicks counted between two looks. */
export type TimedCell = { readonly from: number; readonly to: number; readonly count: number };

/** Chicks of one share that hatched between two looks, hours from those expected. */
export type ShareTimes = {
  readonly cells: readonly TimedCell[];
  readonly share: Share;
  /** The species' hours with what storage adds for this share's eggs. */
  readonly expected: number;
  /** Only the day was written, of setting or of some look: noon stands for its hour. */
  readonly hourless: { readonly set: boolean; readonly looks: boolean };
};

const HALF_DAY = 12;

/** A share's cells; a look of which only the day is known may have been at any hour of it. */
export function cellsOf({ cells, hourless }: ShareTimes): TimedCell[] {
  const either = hourless.looks ? HALF_DAY : 0;
  return cells.map(({ from, to, count }) => ({ from: from - either, to: to + either, count }));
}

/** The looks at one set: hours after setting, the chicks found at each, and where the first began. */
export type SetLooks = {
  readonly set: EggSet;
  readonly start: number;
  readonly hours: readonly number[];
  readonly chicks: readonly number[];
  /** Mean of the expected hours, weighted by chicks. */
  readonly expected: number;
};

const NOON = '12:00';

/** Wall clock of a row; noon stands for an unknown minute. */
const minuteOf = (on: Share['on']): string => `${on.day}T${on.time ?? NOON}`;

/** The hours of every share and set, before anything is fitted to them. */
export function hatchTimesOf(season: Season): {
  readonly sets: readonly SetLooks[];
  readonly shares: readonly ShareTimes[];
  readonly clockUnknown: boolean;
} {
  const sets: SetLooks[] = [];
  const shares: ShareTimes[] = [];
  let clockUnknown = false;
  // Each minute is turned into an instant once: the same looks serve every share of a set.
  const instants = new Map<string, number>();
  const instant = (on: Share['on']): number => {
    const minute = minuteOf(on);
    const known = instants.get(minute) ?? instantOf(minute, season.zone);
    instants.set(minute, known);
    return known;
  };
  const at = (share: Share, on: Share['on']): number =>
    (instant(on) - instant(share.on)) / 3_600_000;
  for (const set of season.sets.values()) {
    const looks = looksOf(set);
    if (looks.length === 0) continue;
    const chicks = new Map<number, number>();
    let expectedSum = 0;
    let total = 0;
    let start = Number.NEGATIVE_INFINITY;
    let hours: number[] = [];
    for (const share of set.shares) {
      const found = share.openings.reduce((s, row) => s + row.values.hatched + row.values.dead, 0);
      if (found === 0) continue;
      const hourless = {
        set: share.on.time === null,
        looks: looks.some((on) => on.time === null),
      };
      clockUnknown ||= hourless.set || hourless.looks;
      hours = [...new Set(looks.map((on) => at(share, on)))].sort((a, b) => a - b);
      const begin = startOf(share, hours[0]!, at);
      start = Math.max(start, begin);
      const { hatchHours } = milestonesOfShare(share, season);
      expectedSum += hatchHours * found;
      total += found;
      const cells = new Map<number, number>();
      for (const row of share.openings) {
        const hour = at(share, row.on);
        const n = row.values.hatched + row.values.dead;
        cells.set(hour, (cells.get(hour) ?? 0) + n);
        chicks.set(hour, (chicks.get(hour) ?? 0) + n);
      }
      shares.push({
        share,
        expected: hatchHours,
        hourless,
        cells: [...cells]
          .filter(([, n]) => n > 0)
          .map(([hour, count]) => ({
            from: (hours.filter((h) => h < hour).at(-1) ?? begin) - hatchHours,
            to: hour - hatchHours,
            count,
          })),
      });
    }
    if (total === 0) continue;
    sets.push({
      set,
      start,
      hours,
      chicks: hours.map((hour) => chicks.get(hour) ?? 0),
      expected: expectedSum / total,
    });
  }
  return { sets, shares, clockUnknown };
}

/** Every look into the hatcher at a set, whichever share's row tells of it. */
function looksOf(set: EggSet): Share['on'][] {
  const seen = new Map<string, Share['on']>();
  for (const share of set.shares)
    for (const row of share.openings) seen.set(minuteOf(row.on), row.on);
  return [...seen.values()];
}

/** Hours after setting before which no chick can have hatched. */
function startOf(
  share: Share,
  first: number,
  at: (share: Share, on: Share['on']) => number,
): number {
  const transfer = share.transfers.at(-1)?.on;
  const species = share.pen.line.species;
  const watch = species.watch_from_day.value * 24;
  const moved = transfer ? at(share, transfer) : null;
  const begin = moved ?? watch;
  // Openings before transfer cannot be: they are a slip that `check` tells.
  return begin < first ? begin : Math.min(watch, first - 24);
}
