import { chiSquareUpper } from '../../../src/judge/statistics/distributions.ts';
import type { Count } from '../../../src/judge/statistics/heterogeneity.ts';
import { CONFIDENCE } from '../../../src/judge/statistics/proportion.ts';
import { betaQuantile, logChoose } from './distributions.ts';
import { scatterOf } from './heterogeneity.ts';
import { maximise } from './maximise.ts';

export type BetaBinomialFit = {
  /** Mean share. */
  mu: number;
  /** Intraclass correlation, 1 / (alpha + beta + 1). */
  rho: number;
  /** `null` where rho is 0 (or 1): the beta distribution is then a point (or two). */
  alpha: number | null;
  beta: number | null;
  logLikelihood: number;
  logLikelihoodBinomial: number;
  /** Likelihood ratio against rho = 0, and its p as half a chi-square(1). */
  likelihoodRatio: number;
  likelihoodRatioP: number;
  icc: number | null;
  /** The best fit is plain binomial. */
  boundary: boolean;
};

/**
 * Log likelihood at mean `mu` and theta = rho / (1 - rho), in the product form
 * sum log(mu + j theta) + sum log(1 - mu + j theta) - sum log(1 + j theta), which is exact at
 * theta = 0 where differences of log gamma cancel to noise.
 */
export function logLikelihood(counts: readonly Weighted[], mu: number, theta: number): number {
  let sum = 0;
  for (const { x, n, times } of counts) {
    let one = logChoose(n, x);
    for (let j = 0; j < x; j++) one += Math.log(mu + j * theta);
    for (let j = 0; j < n - x; j++) one += Math.log(1 - mu + j * theta);
    for (let j = 0; j < n; j++) one -= Math.log1p(j * theta);
    sum += times * one;
  }
  return sum;
}

type Weighted = Count & { times: number };

/** The mean that is likeliest at a given theta. The log likelihood is concave in it: one root. */
function bestMean(counts: readonly Weighted[], theta: number): number {
  let low = 0;
  let high = 1;
  for (let i = 0; i < 60; i++) {
    const mu = (low + high) / 2;
    let slope = 0;
    for (const { x, n, times } of counts) {
      for (let j = 0; j < x; j++) slope += times / (mu + j * theta);
      for (let j = 0; j < n - x; j++) slope -= times / (1 - mu + j * theta);
    }
    if (slope > 0) low = mu;
    else high = mu;
  }
  return (low + high) / 2;
}

// rho beyond this is a season in which every set hatched all or nothing.
const RHO_CEILING = 1 - 1e-6;

/**
 * Maximum-likelihood beta-binomial fit to groups of x of n (Skellam 1948; Griffiths 1973,
 * Biometrics 29:637). `times` repeats a group. Groups of none are left out. Returns `null` when no
 * group has eggs. With all or none in every group the fit is plain binomial at 0 or 1.
 */
export function betaBinomialFit(
  groups: readonly (Count & { times?: number })[],
): BetaBinomialFit | null {
  const counts = groups
    .filter((g) => g.n > 0 && (g.times ?? 1) > 0)
    .map((g) => ({ x: g.x, n: g.n, times: g.times ?? 1 }));
  const n = counts.reduce((s, c) => s + c.times * c.n, 0);
  if (n === 0) return null;
  const pooled = counts.reduce((s, c) => s + c.times * c.x, 0) / n;
  const { icc } = scatterOf(
    counts.flatMap(({ x, n: size, times }) => new Array<Count>(times).fill({ x, n: size })),
  );
  const plain: BetaBinomialFit = {
    mu: pooled,
    rho: 0,
    alpha: null,
    beta: null,
    logLikelihood: 0,
    logLikelihoodBinomial: 0,
    likelihoodRatio: 0,
    likelihoodRatioP: 1,
    icc,
    boundary: true,
  };
  if (pooled === 0 || pooled === 1) return plain;
  const atZero = logLikelihood(counts, pooled, 0);
  const at = (rho: number): { mu: number; log: number } => {
    const theta = rho / (1 - rho);
    const mu = theta === 0 ? pooled : bestMean(counts, theta);
    return { mu, log: logLikelihood(counts, mu, theta) };
  };
  // The search runs over sqrt(rho), where the small correlations of real flocks are not crowded.
  const best = maximise((root) => at(Math.min(root * root, RHO_CEILING)).log, 0, 1, 40);
  const rho = Math.min(best.at ** 2, RHO_CEILING);
  const { mu, log } = at(rho);
  if (!(log > atZero + 1e-9)) {
    return { ...plain, logLikelihood: atZero, logLikelihoodBinomial: atZero };
  }
  const size = (1 - rho) / rho;
  const extreme = rho >= RHO_CEILING;
  const likelihoodRatio = 2 * (log - atZero);
  return {
    mu,
    rho: extreme ? 1 : rho,
    alpha: extreme ? null : mu * size,
    beta: extreme ? null : (1 - mu) * size,
    logLikelihood: log,
    logLikelihoodBinomial: atZero,
    likelihoodRatio,
    likelihoodRatioP: chiSquareUpper(likelihoodRatio, 1) / 2,
    icc,
    boundary: false,
  };
}

/**
 * Moment estimates from groups of one size: m1 and m2 are raw moments with divisor N (Skellam
 * 1948, J. R. Stat. Soc. B 10:257). `alpha` and `beta` are `null` where the counts scatter no more
 * than chance. `frequencies[x]` groups of `size` had x. Throws RangeError on an empty table.
 */
export function betaBinomialMoments(
  size: number,
  frequencies: readonly number[],
): { m1: number; m2: number; alpha: number | null; beta: number | null } {
  const groups = frequencies.reduce((s, f) => s + f, 0);
  if (groups === 0) throw new RangeError('no groups');
  const moment = (power: number): number =>
    frequencies.reduce((s, f, x) => s + f * x ** power, 0) / groups;
  const m1 = moment(1);
  const m2 = moment(2);
  const divisor = size * (m2 / m1 - m1 - 1) + m1;
  const alpha = (size * m1 - m2) / divisor;
  const beta = ((size - m1) * (size - m2 / m1)) / divisor;
  const exists = alpha > 0 && beta > 0 && Number.isFinite(alpha) && Number.isFinite(beta);
  return { m1, m2, alpha: exists ? alpha : null, beta: exists ? beta : null };
}

export type Shrunk = { mean: number; low: number; high: number; weightOnOwnData: number };

/**
 * Each group's share drawn toward a Beta(alpha, beta) prior: posterior mean, equal-tailed
 * interval, and the weight its own data carry, n / (n + alpha + beta). The interval takes the
 * prior as known. Throws RangeError unless alpha, beta > 0.
 */
export function shrink(
  counts: readonly Count[],
  alpha: number,
  beta: number,
  confidence = CONFIDENCE,
): Shrunk[] {
  if (!(alpha > 0 && beta > 0)) throw new RangeError('alpha and beta must be above 0');
  const tail = (1 - confidence) / 2;
  return counts.map(({ x, n }) => {
    const a = x + alpha;
    const b = n - x + beta;
    return {
      mean: a / (a + b),
      low: betaQuantile(tail, a, b),
      high: betaQuantile(1 - tail, a, b),
      weightOnOwnData: n / (n + alpha + beta),
    };
  });
}
