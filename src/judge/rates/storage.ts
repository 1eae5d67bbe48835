/** What storage takes from a hatch, by the table and by the farm's own sets. */

import { storageSeeds } from '../../facts/stages.ts';
import { largest } from '../../text/lists.ts';
import type { WeightedPoint } from '../model/grid.ts';
import { type Interval, intervalOf, ratePosterior, type Unit } from '../model/levels.ts';

export interface Penalty {
  readonly from_day: number;
  readonly points_per_day: number;
}
/** Eggs of one age in days at setting. */
export interface Aged {
  readonly age: number;
  readonly eggs: number;
}

/** Percentage points of hatch that an egg stored `age` days is expected to lose. */
export function storagePoints(penalty: readonly Penalty[], age: number): number {
  let points = 0;
  penalty.forEach(({ from_day, points_per_day }, i) => {
    const until = penalty[i + 1]?.from_day ?? Number.POSITIVE_INFINITY;
    points += points_per_day * Math.max(0, Math.min(age, until - 1) - from_day + 1);
  });
  return points;
}

/** What storage of so many days leaves of the hatch: 1 less the points lost over the usual hatch. */
export function storageFactor(penalty: readonly Penalty[], age: number, scale = 1): number {
  return Math.max(
    0,
    1 - (scale * storagePoints(penalty, age)) / 100 / storageSeeds.usual_hatch.value,
  );
}

/** Mean factor over eggs of several ages; 1 where no age is known. */
export function keptByStorage(
  penalty: readonly Penalty[],
  ages: readonly Aged[],
  scale = 1,
): number {
  const eggs = ages.reduce((sum, one) => sum + one.eggs, 0);
  if (eggs <= 0) return 1;
  return (
    ages.reduce((sum, one) => sum + one.eggs * storageFactor(penalty, one.age, scale), 0) / eggs
  );
}

/** Hatched of eggs set, with their ages: what a farm's own storage loss is learned from. */
export interface StoredSet {
  unit: string;
  x: number;
  n: number;
  ages: readonly Aged[];
  penalty: readonly Penalty[];
}

/** A farm's loss to storage as a multiple of the table's. */
export interface StorageScale extends Interval {
  values: readonly number[];
  weights: readonly number[];
  /** Eggs of finished sets past the free days, of all with known ages. */
  eggs: { stored: number; all: number; sets: number };
}

// Multiples of the table's loss that are tried, and the share of belief given to none at all.
const SCALES = [0.1, 0.25, 0.5, 0.75, 1, 1.4, 2, 3] as const;
const NO_LOSS = 0.05;
/** Hatch of set before any counts, and its scatter, wide: only the trend with age matters here. */
const HATCH = { mean: 0.7, strength: 6 };
const HATCH_SPREAD = { within: 0.06, between: 0.03, year: 0.02 };

function scalePrior(): WeightedPoint[] {
  const sigma = storageSeeds.doubt.value;
  const centre = -(sigma ** 2) / 2;
  const density = SCALES.map((scale, i) => {
    const at = (j: number) => Math.log(SCALES[j] ?? SCALES[i]!);
    return (
      Math.exp(-0.5 * ((Math.log(scale) - centre) / sigma) ** 2) * ((at(i + 1) - at(i - 1)) / 2)
    );
  });
  const sum = density.reduce((a, b) => a + b, 0);
  return [
    { value: 0, weight: NO_LOSS },
    ...SCALES.map((value, i) => ({ value, weight: ((1 - NO_LOSS) * density[i]!) / sum })),
  ];
}

/**
 * Weighs multiples of the table's loss by how well they explain the hatch of set over sets stored
 * for different times: a beta-binomial regression on storage, with pens and sets scattering.
 */
export function storageScale(sets: readonly StoredSet[]): StorageScale {
  const prior = scalePrior();
  const used = sets.filter((set) => set.n > 0 && set.ages.length > 0);
  const stored = used.filter((set) => keptByStorage(set.penalty, set.ages) < 1);
  const logs = prior.map(({ value, weight }) => {
    if (stored.length === 0) return Math.log(weight);
    const units = new Map<string, Unit & { sets: Unit['sets'][number][] }>();
    for (const { unit, x, n, ages, penalty } of used) {
      const one = units.get(unit) ?? { name: unit, sets: [] };
      units.set(unit, one);
      one.sets.push({ x, n, kept: keptByStorage(penalty, ages, value), power: 1 });
    }
    return Math.log(weight) + ratePosterior(HATCH, HATCH_SPREAD, [...units.values()]).logEvidence;
  });
  const best = largest(logs);
  const raw = logs.map((log) => Math.exp(log - best));
  const sum = raw.reduce((a, b) => a + b, 0);
  const weights = raw.map((weight) => weight / sum);
  const eggsOf = (some: readonly StoredSet[], past: boolean) =>
    some.reduce(
      (total, set) =>
        total +
        set.ages.reduce(
          (n, one) => (past && storagePoints(set.penalty, one.age) === 0 ? n : n + one.eggs),
          0,
        ),
      0,
    );
  return {
    ...intervalOf(prior.map(({ value }, i) => ({ value, weight: weights[i]! }))),
    values: prior.map((one) => one.value),
    weights,
    eggs: { stored: eggsOf(used, true), all: eggsOf(used, false), sets: used.length },
  };
}
