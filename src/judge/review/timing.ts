import type { Season } from '../../season/model.ts';
import { largest, smallest } from '../../text/lists.ts';
import { hatchTimesOf, type SetLooks, type ShareTimes } from '../hatch-times.ts';
import { norms } from '../norms.ts';
import { type PooledTimes, pooledTimes } from '../statistics/censored-times.ts';
import { studentQuantile } from '../statistics/distributions.ts';
import { type HatchSpread, hatchSpread } from '../statistics/hatch-spread.ts';
import { normalQuantile } from '../statistics/normal.ts';

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
  shares: readonly ShareTimes[];
  /** Over all sets: hours early (below 0) or late, with interval, and spread within a set. */
  pooled: PooledTimes | null;
  interval: [number, number] | null;
  /** Some set or opening has no minute: everything may be half a day off. */
  clockUnknown: boolean;
};

/**
 * When chicks hatched, share by share, from openings: a chick found at one hatched after the one
 * before it of the same set, the first ones after transfer (or, without one, after the species'
 * first day of watch). An opening of a set looks at all of it.
 */
export function timingOf(season: Season): HatchTiming {
  const { sets, shares, clockUnknown } = hatchTimesOf(season);
  const { pooled, interval } = pooledOf(shares);
  return {
    sets: sets.flatMap((one) => spreadOf(one) ?? []).map((s) => withMean(s, shares, pooled)),
    shares,
    pooled,
    interval,
    clockUnknown,
  };
}

/** The spread of one set from its looks; null where they do not tell it. */
function spreadOf({ set, start, hours, chicks, expected }: SetLooks): SetTimes | null {
  const spread = hatchSpread(start, hours, chicks, hours.at(-1)!);
  if (!spread) return null;
  const first = chicks.findIndex((count) => count > 0);
  const opens = set.species.hatch_window_days.value.low * 24;
  return {
    set: set.name,
    chicks: chicks.reduce((sum, count) => sum + count, 0),
    spread,
    expected,
    shift: null,
    // They leave the machine at the look that finds them; few hatch before the species' window.
    firstWaited:
      hours[first]! - Math.max(hours[first - 1] ?? start, Math.min(hours[first]!, opens)),
    openings: hours.length,
    intervals: chicks.filter((count) => count > 0).length,
  };
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
