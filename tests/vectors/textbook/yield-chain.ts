/** The whole chain from counts: point estimate, delta-method interval, and posterior of the product. */

import { productMoments, type StageRate } from '../../../src/judge/rates/product-of-rates.ts';
import { normalQuantile } from '../../../src/judge/statistics/normal.ts';
import { betaUpper } from './distributions.ts';
import { productRule } from './product-rule.ts';

export interface StageCount {
  /** Passed the stage. */
  x: number;
  /** Entered the stage. */
  n: number;
}

export interface YieldChain {
  /** Product of x/n. */
  point: number;
  /** Standard error of the log of the point; null where a stage has no success. */
  logSe: number | null;
  /** Clipped at 1: no share is larger. */
  deltaCi95: [number, number] | null;
  deltaSe: number | null;
  posteriorMean: number;
  posteriorSd: number;
  posteriorQuantiles: { q025: number; q500: number; q975: number };
}

/**
 * Stages are independent; each has a Beta(prior) before its counts. Delta interval on the log scale
 * (Agresti, Categorical Data Analysis, 3rd ed. 2013, §16.1). Throws RangeError on counts that cannot
 * be, and where prior and counts together leave a stage no distribution.
 */
export function yieldChain(
  stages: readonly StageCount[],
  prior: readonly [number, number],
): YieldChain {
  for (const { x, n } of stages)
    if (!(n > 0 && x >= 0 && x <= n))
      throw new RangeError(`a stage of ${x} passed out of ${n}: no more can pass than enter`);
  const betas = stages.map(({ x, n }) => ({ a: x + prior[0], b: n - x + prior[1] }));
  if (!betas.every(({ a, b }) => a > 0 && b > 0))
    throw new RangeError(
      `counts and a prior of ${prior.join(' and ')} leave a stage no distribution`,
    );
  const point = stages.reduce((product, { x, n }) => product * (x / n), 1);
  const logSe = stages.some(({ x }) => x === 0)
    ? null
    : Math.sqrt(stages.reduce((sum, { x, n }) => sum + 1 / x - 1 / n, 0));
  const { mean, sd } = productMoments(betas);
  const z = normalQuantile(0.975);
  return {
    point,
    logSe,
    deltaCi95:
      logSe === null
        ? null
        : [point * Math.exp(-z * logSe), Math.min(1, point * Math.exp(z * logSe))],
    deltaSe: logSe === null ? null : point * logSe,
    posteriorMean: mean,
    posteriorSd: sd,
    posteriorQuantiles: {
      q025: productQuantile(betas, 0.025),
      q500: productQuantile(betas, 0.5),
      q975: productQuantile(betas, 0.975),
    },
  };
}

/** Variance of a beta over the square of its mean. */
const relativeSpread = ({ a, b }: { a: number; b: number }) => b / (a * (a + b + 1));

/**
 * Quantile of the product of stage rates: the distribution function is that of one beta averaged
 * over the rule of all others, and is inverted by bisection. The beta kept whole is the one of the
 * largest spread beside its mean: what the others add is then smooth to it, so the rule errs least.
 * With shapes of 2 and more it lies within 0.1 points of the probability asked for; nearer, as a
 * rule. Throws RangeError for a probability outside [0, 1].
 */
export function productQuantile(stages: readonly StageRate[], probability: number): number {
  if (!(probability >= 0 && probability <= 1))
    throw new RangeError(`a probability must lie in [0, 1], found ${probability}`);
  let at = -1;
  stages.forEach((one, i) => {
    if ('p' in one) return;
    const best = stages[at] as { a: number; b: number } | undefined;
    if (best === undefined || relativeSpread(one) > relativeSpread(best)) at = i;
  });
  const whole = stages[at] as { a: number; b: number } | undefined;
  // By place: two stages may be known by one and the same beta.
  const others = productRule(stages.filter((_, i) => i !== at));
  if (!whole) return others.nodes[0]!;
  const cdf = (z: number) =>
    others.nodes.reduce(
      (sum, t, i) =>
        sum + others.weights[i]! * (z >= t ? 1 : 1 - betaUpper(z / t, whole.a, whole.b)),
      0,
    );
  let low = 0;
  let high = 1;
  while (high - low > 1e-12) {
    const middle = (low + high) / 2;
    if (cdf(middle) < probability) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
