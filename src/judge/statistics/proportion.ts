import { normalQuantile } from './normal.ts';

/** Closed interval of shares, 0–1. */
export type ProportionBounds = [low: number, high: number];

/** The confidence of every interval shown unless another is asked for. */
export const CONFIDENCE = 0.95;

export function checkCounts(x: number, n: number): void {
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
