import { milestonesOfShare } from '../../facts/hatch-time.ts';
import { instantOf } from '../../facts/local-time.ts';
import type { EggSet, Season, Share } from '../../season/model.ts';
import { largest, smallest } from '../../text/lists.ts';
import { norms } from '../norms.ts';
import { type PooledTimes, pooledTimes, type TimedUnit } from '../statistics/censored-times.ts';
import { studentQuantile } from '../statistics/distributions.ts';
import { type HatchSpread, hatchSpread } from '../statistics/hatch-spread.ts';
import { normalQuantile } from '../statistics/normal.ts';

/** Chicks of one share that hatched between two looks, hours after setting. */
export type ShareTimes = TimedUnit & {
  readonly share: Share;
  /** The species' hours with what storage adds for this share's eggs. */
  readonly expected: number;
};

export type SetTimes = {
  set: string;
  chicks: number;
  /** Hours after setting; from openings alone, without adjusting for storage. */
  spread: HatchSpread;
  /** Mean of the expected hours, weighted by chicks. */
  expected: number;
  /** Hours early (below 0) or late against expected, by the fitted mean; null where one wide interval holds all. */
  shift: number | null;
  /** Hours the first chicks may have waited in the machine before the look that found them. */
  firstWaited: number;
  openings: number;
  /** Openings that found chicks: with fewer than three the spread of one set cannot be seen. */
  intervals: number;
};

export type HatchTiming = {
  sets: SetTimes[];
  shares: ShareTimes[];
  /** Over all sets: hours early (below 0) or late, with interval, and spread within a set. */
  pooled: PooledTimes | null;
  interval: [number, number] | null;
  /** Some set or opening has no minute: everything may be half a day off. */
  clockUnknown: boolean;
};

const NOON = '12:00';

/** Wall clock of a row; noon stands for an unknown minute. */
const minuteOf = (on: Share['on']): string => `${on.day}T${on.time ?? NOON}`;

/**
 * When chicks hatched, share by share, from openings: a chick found at one hatched after the one
 * before it of the same set, the first ones after transfer (or, without one, after the species'
 * first day of watch). An opening of a set looks at all of it.
 */
export function timingOf(season: Season): HatchTiming {
  const { sets, shares, clockUnknown } = hatchTimesOf(season);
  const { pooled, interval } = pooledOf(shares);
  return {
    sets: sets.map((s) => withMean(s, shares, pooled)),
    shares,
    pooled,
    interval,
    clockUnknown,
  };
}

/** The hours of every share and set, before anything is fitted to them. */
export function hatchTimesOf(
  season: Season,
): Pick<HatchTiming, 'sets' | 'shares' | 'clockUnknown'> {
  const sets: SetTimes[] = [];
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
      clockUnknown ||= share.on.time === null || share.openings.some((row) => row.on.time === null);
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
        group: set.name,
        expected: hatchHours,
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
    const spread = hatchSpread(
      start,
      hours,
      hours.map((hour) => chicks.get(hour) ?? 0),
      hours.at(-1)!,
    );
    if (!spread) continue;
    const expected = expectedSum / total;
    const firstFound = hours.find((hour) => (chicks.get(hour) ?? 0) > 0)!;
    const before = hours.filter((h) => h < firstFound).at(-1) ?? start;
    const opens = set.species.hatch_window_days.value.low * 24;
    sets.push({
      set: set.name,
      chicks: total,
      spread,
      expected,
      shift: null,
      // They leave the machine at the look that finds them; few hatch before the species' window.
      firstWaited: firstFound - Math.max(before, Math.min(firstFound, opens)),
      openings: hours.length,
      intervals: hours.filter((hour) => (chicks.get(hour) ?? 0) > 0).length,
    });
  }
  return { sets, shares, clockUnknown };
}

/**
 * The shift over all sets. Where openings are too few to tell the spread as well, a hatch of usual
 * length is assumed, and of its two ends the one that makes the shift smaller is believed.
 */
function pooledOf(shares: readonly ShareTimes[]): Pick<HatchTiming, 'pooled' | 'interval'> {
  const own = pooledTimes(shares);
  if (own === null) return { pooled: null, interval: null };
  const interval = (p: PooledTimes): [number, number] | null =>
    p.seShift === null ? null : around(p.shift, p.seShift, p.groups);
  if (own.sdKnown) return { pooled: own, interval: interval(own) };
  const chicks = own.units.reduce((s, u) => s + u.count, 0) / own.groups;
  const range = expectedRange(chicks);
  if (!(range > 0)) return { pooled: null, interval: null };
  const { low, high } = norms.timing.window_hours.value;
  const ends = [low, high].flatMap((hours) => pooledTimes(shares, hours / range) ?? []);
  if (ends.length === 0) return { pooled: null, interval: null };
  const careful = ends.reduce((a, b) => (Math.abs(b.shift) < Math.abs(a.shift) ? b : a));
  const all = ends.map(interval).filter((i) => i !== null);
  return {
    pooled: careful,
    interval:
      all.length === 0 ? null : [smallest(all.map((i) => i[0])), largest(all.map((i) => i[1]))],
  };
}

/** Expected range of a normal sample in standard deviations, by Blom's approximation. */
export function expectedRange(n: number): number {
  return n > 1 ? 2 * normalQuantile((n - 0.375) / (n + 0.25)) : 0;
}

/** A set's shift by the fitted means of its shares, which no wide first interval draws aside. */
function withMean(
  set: SetTimes,
  shares: readonly ShareTimes[],
  pooled: PooledTimes | null,
): SetTimes {
  const own = (pooled?.units ?? []).filter((u) => shares[u.unit]!.group === set.set);
  const n = own.reduce((s, u) => s + u.count, 0);
  // A count known to the hour tells count / sd²; less than a tenth of that is next to nothing.
  const told = own.reduce((s, u) => s + u.information, 0);
  if (n === 0 || pooled === null || told < (0.1 * n) / pooled.sd ** 2)
    return { ...set, shift: null };
  return { ...set, shift: own.reduce((s, u) => s + u.count * u.mean, 0) / n };
}

function around(middle: number, se: number, groups: number): [number, number] {
  const half = studentQuantile(0.975, Math.max(1, groups - 1)) * se;
  return [middle - half, middle + half];
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
