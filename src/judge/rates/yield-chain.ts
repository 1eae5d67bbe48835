/** The whole chain from counts: point estimate, delta-method interval, and posterior of the product. */
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { productMoments, productQuantile } from './product-of-rates.ts';

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
  const z = normalQuantile(0.975, 0, 1);
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
