import { cellsOf, type SetLooks } from '../hatch-times.ts';
import { addTo, type GridTable } from '../model/grid.ts';
import { hoursFrom } from '../model/measures.ts';
import type { SeasonSeen } from '../seen.ts';
import { type HatchSpread, hatchSpread } from '../statistics/hatch-spread.ts';

export type SetTimes = {
  set: string;
  chicks: number;
  /** Hours after setting; from openings alone, without adjusting for storage. */
  spread: HatchSpread;
  /** Mean of the expected hours, weighted by chicks. */
  expected: number;
  /** Hours early (below 0) or late against expected; null where one wide interval holds all. */
  shift: number | null;
  /** Hours the first chicks may have waited in the machine before the look that found them. */
  firstWaited: number;
  openings: number;
  /** Openings that found chicks: with fewer than three the spread of one set cannot be seen. */
  intervals: number;
};

export type HatchTiming = {
  sets: SetTimes[];
  /** Over all sets: hours early (below 0) or late, with its 95 % interval. */
  pooled: { shift: number; low: number; high: number; sets: number } | null;
  /** Some set or opening has no minute: everything may be half a day off. */
  clockUnknown: boolean;
};

/**
 * When chicks hatched, share by share, from openings: a chick found at one hatched after the one
 * before it of the same set, the first ones after transfer (or, without one, after the species'
 * first day of watch). An opening of a set looks at all of it.
 */
export function timingOf(seen: SeasonSeen): HatchTiming {
  const { sets, shares, clockUnknown } = seen.times();
  const tables = new Map<string, GridTable>();
  for (const { set } of sets) {
    const own = shares.filter((one) => one.share.set === set.name);
    tables.set(set.name, seen.hours(own.flatMap(cellsOf)));
  }
  return {
    sets: sets.flatMap((one) => spreadOf(one, tables.get(one.set.name)!) ?? []),
    pooled: pooledOf([...tables.values()]),
    clockUnknown,
  };
}

/** Hours within which a mean must be known (a standard deviation) for a shift to be worth a word. */
const KNOWN_WITHIN = 10;

function pooledOf(tables: readonly GridTable[]): HatchTiming['pooled'] {
  if (tables.length === 0) return null;
  const { mean, sd, low, high } = hoursFrom(
    tables.reduce((sum, table) => addTo(sum, table), new Float64Array(tables[0]!.length)),
  );
  return sd > KNOWN_WITHIN ? null : { shift: mean, low, high, sets: tables.length };
}

/** The spread of one set from its looks; null where they do not tell it. */
function spreadOf(
  { set, start, hours, chicks, expected }: SetLooks,
  table: GridTable,
): SetTimes | null {
  const spread = hatchSpread(start, hours, chicks, hours.at(-1)!);
  if (!spread) return null;
  const first = chicks.findIndex((count) => count > 0);
  const { mean, sd } = hoursFrom(table);
  const opens = set.species.hatch_window_days.value.low * 24;
  return {
    set: set.name,
    chicks: chicks.reduce((sum, count) => sum + count, 0),
    spread,
    expected,
    shift: sd > KNOWN_WITHIN ? null : mean,
    // They leave the machine at the look that finds them; few hatch before the species' window.
    firstWaited:
      hours[first]! - Math.max(hours[first - 1] ?? start, Math.min(hours[first]!, opens)),
    openings: hours.length,
    intervals: chicks.filter((count) => count > 0).length,
  };
}
