/** What counts of sets say by themselves, without a cause or a plan: for whatever screen shows a share. */

import type { Stage } from '../../facts/stages.ts';
import type { Rate } from '../../tables/numbers.ts';
import { moreIsBetter, type RateName } from '../rate-names.ts';
import { betaBinomialPmf } from '../rates/product-of-rates.ts';
import {
  type Axis,
  addTo,
  countTable,
  type GridTable,
  logistic,
  logSum,
  normalWeights,
  oddsAxis,
  summaryOver,
  type WeightedPoint,
} from './grid.ts';
import { type Level, normLevel, passingLevel, scatterAt } from './priors.ts';

/** x of n, 0–1, with a 95 % interval. `null` when nothing was counted: no share of nothing. */
export type CountedShare = {
  x: number;
  n: number;
  estimate: number | null;
  low: number | null;
  high: number | null;
};

/** A counted share under the keys that tables and documents give it. */
export const asRate = ({ x, n, estimate, low, high }: CountedShare): Rate => ({
  count: x,
  of: n,
  share: estimate,
  low,
  high,
});

/** A rate of the review, or stages of the chain that an egg or chick passes one after the other. */
export type PassedRate = RateName | readonly Stage[];

const levelOfRate = (rate: PassedRate): Level =>
  typeof rate === 'string' ? normLevel(rate) : passingLevel(rate);
const passes = (rate: PassedRate): boolean => typeof rate !== 'string' || moreIsBetter[rate];

/** x of n of one set. */
export type CountOfSet = { readonly x: number; readonly n: number };

/** How much wider than the kind's spread a level is let be, so that its own counts decide. */
const WIDER = 4;

/**
 * Mean, standard deviation and 95 % interval of a level from the tables of its units, added up: a wide
 * normal around the kind's before, scatter between sets integrated out. `of` says what a place on the
 * axis means.
 */
export function levelFrom(
  table: GridTable,
  axis: Axis,
  scatter: readonly WeightedPoint[],
  level: Level,
  of: (at: number) => number,
): ReturnType<typeof summaryOver> {
  const joint = posteriorOf(table, axis, scatter, level);
  const weights = new Float64Array(axis.length);
  for (let k = 0; k < joint.length; k += axis.length)
    for (let i = 0; i < axis.length; i++) weights[i]! += joint[k + i]!;
  return summaryOver(weights, axis, of);
}

/** Weights over scatter and level of what `levelFrom` sums up; they sum to one. */
function posteriorOf(
  table: GridTable,
  axis: Axis,
  scatter: readonly WeightedPoint[],
  level: Level,
): Float64Array {
  const wide = normalWeights(axis, level.centre, WIDER * level.sd);
  const { length } = axis;
  const out = new Float64Array(table.length);
  scatter.forEach(({ weight }, k) => {
    const log = Math.log(weight);
    for (let i = 0; i < length; i++) out[k * length + i] = table[k * length + i]! + wide[i]! + log;
  });
  const total = logSum(out);
  for (let i = 0; i < out.length; i++) out[i] = Math.exp(out[i]! - total);
  return out;
}

const NO_SCATTER: readonly WeightedPoint[] = [{ value: 0, weight: 1 }];
const passing = (z: number): number => logistic(-z);

/**
 * The share of some sets together. Eggs of a set share their luck, so the interval is of the level the
 * sets scatter around; with `scatters` false it is of these very eggs: of one set.
 */
export function shareOverSets(
  rate: PassedRate,
  sets: readonly CountOfSet[],
  scatters = true,
): CountedShare {
  const x = sets.reduce((sum, one) => sum + one.x, 0);
  const n = sets.reduce((sum, one) => sum + one.n, 0);
  if (!(n > 0)) return { x, n, estimate: null, low: null, high: null };
  const level = levelOfRate(rate);
  const scatter = scatters ? scatterAt(level.centre) : NO_SCATTER;
  const table = tableOf(rate, sets, scatter);
  const of = passes(rate) ? passing : logistic;
  const { low, high } = levelFrom(table, oddsAxis, scatter, level, of);
  return { x, n, estimate: x / n, low: x > 0 ? low : 0, high: x < n ? high : 1 };
}

/** The counts of some sets as one table over the log-odds of failing. */
function tableOf(
  rate: PassedRate,
  sets: readonly CountOfSet[],
  scatter: readonly WeightedPoint[],
): GridTable {
  const table = new Float64Array(scatter.length * oddsAxis.length);
  for (const { x, n } of sets)
    if (n > 0) addTo(table, countTable(passes(rate) ? n - x : x, n, scatter));
  return table;
}

/** Chance in each tail that the three sigmas of a control chart leave outside a normal distribution. */
const THREE_SIGMA_TAIL = 0.00135;
/** Levels less likely than this add nothing to a chance of a thousandth. */
const NEGLIGIBLE = 1e-5;

/**
 * Control limits for one set among others: the counts of `n` eggs that chance and the usual scatter of
 * the sets leave, but for three sigmas either side.
 */
export function limitsOfSet(
  rate: RateName,
  sets: readonly CountOfSet[],
): (n: number) => { lower: number; upper: number } {
  const level = normLevel(rate);
  const scatter = scatterAt(level.centre);
  const joint = posteriorOf(tableOf(rate, sets, scatter), oddsAxis, scatter, level);
  const of = moreIsBetter[rate] ? passing : logistic;
  // Sets of one farm are often of one size.
  const known = new Map<number, { lower: number; upper: number }>();
  return (n) => {
    const ready = known.get(n);
    if (ready) return ready;
    const chances = new Float64Array(n + 1);
    joint.forEach((weight, i) => {
      if (weight < NEGLIGIBLE) return;
      const p = of(oddsAxis.first + (i % oddsAxis.length) * oddsAxis.step);
      const strength = 1 / scatter[Math.floor(i / oddsAxis.length)]!.value - 1;
      const own = betaBinomialPmf(n, p * strength, (1 - p) * strength);
      for (let x = 0; x <= n; x++) chances[x]! += weight * own[x]!;
    });
    const reaching = (chance: number): number => {
      let sum = 0;
      for (let x = 0; x < n; x++) {
        sum += chances[x]!;
        if (sum >= chance) return x;
      }
      return n;
    };
    const made = { lower: reaching(THREE_SIGMA_TAIL), upper: reaching(1 - THREE_SIGMA_TAIL) };
    known.set(n, made);
    return made;
  };
}

/** The difference a - b by squaring and adding the distances of their limits. Both must be known. */
export function differenceOf(
  a: CountedShare,
  b: CountedShare,
): { difference: number; low: number; high: number } {
  if (a.estimate === null || b.estimate === null) throw new RangeError('no share of nothing');
  const difference = a.estimate - b.estimate;
  return {
    difference,
    low: Math.max(-1, difference - Math.hypot(a.estimate - a.low!, b.high! - b.estimate)),
    high: Math.min(1, difference + Math.hypot(a.high! - a.estimate, b.estimate - b.low!)),
  };
}
