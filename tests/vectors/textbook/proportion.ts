import { differenceOf } from '../../../src/judge/model/counted.ts';
import {
  CONFIDENCE,
  checkCounts,
  type ProportionBounds,
  wilson,
} from '../../../src/judge/statistics/proportion.ts';
import { betaQuantile } from './distributions.ts';

/**
 * The exact interval of Clopper & Pearson (1934), Biometrika 26:404, for x of n.
 * Throws RangeError unless 0 <= x <= n, n > 0.
 */
export function clopperPearson(x: number, n: number, confidence = CONFIDENCE): ProportionBounds {
  checkCounts(x, n);
  const tail = (1 - confidence) / 2;
  return [
    x === 0 ? 0 : betaQuantile(tail, x, n - x + 1),
    x === n ? 1 : betaQuantile(1 - tail, x + 1, n - x),
  ];
}

/**
 * Jeffreys' interval for x of n: quantiles of Beta(x + 1/2, n - x + 1/2), closed to 0 at x = 0 and
 * to 1 at x = n (Brown, Cai & DasGupta 2001, Stat. Sci. 16:101); `raw` leaves those ends open.
 * Throws RangeError unless 0 <= x <= n, n > 0.
 */
export function jeffreys(
  x: number,
  n: number,
  confidence = CONFIDENCE,
  raw = false,
): ProportionBounds {
  checkCounts(x, n);
  const tail = (1 - confidence) / 2;
  return [
    x === 0 && !raw ? 0 : betaQuantile(tail, x + 0.5, n - x + 0.5),
    x === n && !raw ? 1 : betaQuantile(1 - tail, x + 0.5, n - x + 0.5),
  ];
}

/** Upper confidence limit of a rate after none of n; one-sided: 1 - (1 - confidence)^(1/n). */
export function zeroUpper(n: number, confidence = CONFIDENCE): number {
  if (!(n > 0)) throw new RangeError(`expected n > 0, found ${n}`);
  return -Math.expm1(Math.log1p(-confidence) / n);
}

/**
 * The difference x1/n1 - x2/n2 with Newcombe's hybrid score interval (method 10: square and add
 * two Wilson intervals). Newcombe (1998), Stat. Med. 17:873. Throws RangeError on impossible counts,
 * or where either is of nothing.
 */
export function newcombe(
  x1: number,
  n1: number,
  x2: number,
  n2: number,
  confidence = CONFIDENCE,
): { difference: number; low: number; high: number } {
  const share = (x: number, n: number) => {
    const [low, high] = wilson(x, n, confidence);
    return { x, n, estimate: x / n, low, high };
  };
  return differenceOf(share(x1, n1), share(x2, n2));
}
