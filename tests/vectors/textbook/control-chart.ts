import type { Count } from '../../../src/judge/statistics/heterogeneity.ts';
import { binomialAtMost } from './distributions.ts';

export type Signals = {
  /** Places in order, from 1, strictly outside the limits. */
  high: number[];
  low: number[];
};

export type ChartLimits = { pooled: number; lower: number[]; upper: number[]; signals: Signals };

function pooledOf(counts: readonly Count[], given: number | null): number {
  const n = counts.reduce((s, c) => s + c.n, 0);
  if (given !== null) return given;
  if (n === 0) throw new RangeError('no eggs in any set');
  return counts.reduce((s, c) => s + c.x, 0) / n;
}

function signalsOf(
  value: readonly number[],
  lower: readonly number[],
  upper: readonly number[],
): Signals {
  return {
    high: value.flatMap((v, i) => (v > upper[i]! ? [i + 1] : [])),
    low: value.flatMap((v, i) => (v < lower[i]! ? [i + 1] : [])),
  };
}

const clip = (p: number): number => Math.min(1, Math.max(0, p));

/**
 * Shewhart's p chart: pbar +/- k sqrt(pbar (1 - pbar) / n), clipped to [0, 1]. Montgomery,
 * Introduction to Statistical Quality Control, attributes charts. `standard` replaces the pooled
 * share. Throws RangeError without eggs.
 */
export function pChart(
  counts: readonly Count[],
  sigmas = 3,
  standard: number | null = null,
): ChartLimits {
  const pooled = pooledOf(counts, standard);
  const half = counts.map((c) => sigmas * Math.sqrt((pooled * (1 - pooled)) / c.n));
  const lower = half.map((h) => clip(pooled - h));
  const upper = half.map((h) => clip(pooled + h));
  const value = counts.map((c) => c.x / c.n);
  return { pooled, lower, upper, signals: signalsOf(value, lower, upper) };
}

// Mean moving range of two to standard deviation: d2 for n = 2, as printed (1.128).
const D2 = 1.128;

/**
 * Laney's p' chart: p chart limits widened by the moving-range sigma of the standardised shares
 * (Laney 2002, Qual. Eng. 14:531), for sets that scatter more than chance. `sigmaZ` is `null`,
 * and limits are those of the p chart, with fewer than two sets or no scatter to measure.
 */
export function laneyChart(counts: readonly Count[]): ChartLimits & { sigmaZ: number | null } {
  const pooled = pooledOf(counts, null);
  const sd = counts.map((c) => Math.sqrt((pooled * (1 - pooled)) / c.n));
  const z = counts.map((c, i) => (sd[i]! > 0 ? (c.x / c.n - pooled) / sd[i]! : 0));
  if (counts.length < 2) return { ...pChart(counts), sigmaZ: null };
  let range = 0;
  for (let i = 1; i < z.length; i++) range += Math.abs(z[i]! - z[i - 1]!);
  const sigmaZ = range / (z.length - 1) / D2;
  const lower = sd.map((s) => clip(pooled - 3 * s * sigmaZ));
  const upper = sd.map((s) => clip(pooled + 3 * s * sigmaZ));
  const value = counts.map((c) => c.x / c.n);
  return { pooled, lower, upper, sigmaZ, signals: signalsOf(value, lower, upper) };
}

/** Chance in each tail that Shewhart's three sigmas leave outside a normal distribution. */
export const THREE_SIGMA_TAIL = 0.00135;

/** Smallest x with F(x) >= p for Binomial(n, rate). */
function binomialQuantile(p: number, n: number, rate: number): number {
  let low = 0;
  let high = n;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (binomialAtMost(middle, n, rate) >= p) high = middle;
    else low = middle + 1;
  }
  return low;
}

/**
 * Exact binomial limits in counts: L = smallest x with F(x) >= tail, U = smallest x with
 * F(x) >= 1 - tail; a signal is a count below L or above U. For sets too small for a p chart.
 */
export function exactLimits(
  sizes: readonly number[],
  rate: number,
  tail = THREE_SIGMA_TAIL,
): { lower: number[]; upper: number[] } {
  return {
    lower: sizes.map((n) => binomialQuantile(tail, n, rate)),
    upper: sizes.map((n) => binomialQuantile(1 - tail, n, rate)),
  };
}

/** The sets outside their exact limits, places from 1. */
export function exactSignals(
  counts: readonly number[],
  limits: { lower: readonly number[]; upper: readonly number[] },
): Signals {
  return signalsOf(counts, limits.lower, limits.upper);
}
