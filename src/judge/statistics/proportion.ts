import { betaQuantile } from './distributions.ts';
import { normalQuantile } from './normal.ts';

/** A share of a count, 0–1, with an interval. `null` when nothing was counted: no share of nothing. */
export type Proportion = {
  x: number;
  n: number;
  estimate: number | null;
  low: number | null;
  high: number | null;
};

/** Closed interval of shares, 0–1. */
export type ProportionBounds = [low: number, high: number];

/** The confidence of every interval shown unless another is asked for. */
export const CONFIDENCE = 0.95;

function checkCounts(x: number, n: number): void {
  if (!(n > 0 && x >= 0 && x <= n)) {
    throw new RangeError(`expected 0 <= x <= n and n > 0, found x = ${x}, n = ${n}`);
  }
}

/**
 * Wilson's score interval for x of n, without continuity correction.
 * Wilson (1927), J. Am. Stat. Assoc. 22:209. Throws RangeError unless 0 <= x <= n, n > 0.
 */
export function wilson(x: number, n: number, confidence = CONFIDENCE): ProportionBounds {
  checkCounts(x, n);
  const z = normalQuantile((1 + confidence) / 2);
  const p = x / n;
  const middle = p + (z * z) / (2 * n);
  const half = z * Math.sqrt((p * (1 - p)) / n + (z * z) / (4 * n * n));
  const scale = 1 + (z * z) / n;
  return [
    x === 0 ? 0 : Math.max(0, (middle - half) / scale),
    x === n ? 1 : Math.min(1, (middle + half) / scale),
  ];
}

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

/** x of n as a share with its Wilson interval; all `null` at n = 0. */
export function proportion(x: number, n: number, confidence = CONFIDENCE): Proportion {
  if (n === 0) return { x, n, estimate: null, low: null, high: null };
  const [low, high] = wilson(x, n, confidence);
  return { x, n, estimate: x / n, low, high };
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
  return squareAndAdd(proportion(x1, n1, confidence), proportion(x2, n2, confidence));
}

/** The difference a - b by squaring and adding the distances of their limits. Both must be known. */
export function squareAndAdd(
  a: Proportion,
  b: Proportion,
): { difference: number; low: number; high: number } {
  if (a.estimate === null || b.estimate === null) throw new RangeError('no share of nothing');
  const difference = a.estimate - b.estimate;
  return {
    difference,
    low: Math.max(-1, difference - Math.hypot(a.estimate - a.low!, b.high! - b.estimate)),
    high: Math.min(1, difference + Math.hypot(a.high! - a.estimate, b.estimate - b.low!)),
  };
}
