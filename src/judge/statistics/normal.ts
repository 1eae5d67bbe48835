/** The normal distribution, apart from the rest: whoever needs it alone does not load the others. */
import erfc from '@stdlib/math-base-special-erfc';
import normalQuantileOf from '@stdlib/stats-base-dists-normal-quantile';

/** P(Z > z) for a standard normal Z; keeps its relative accuracy in the far tail. */
export function normalUpper(z: number): number {
  return 0.5 * erfc(z / Math.SQRT2);
}

/** P(|Z| > |z|) for a standard normal Z. */
export function normalTwoSided(z: number): number {
  return Math.min(1, erfc(Math.abs(z) / Math.SQRT2));
}

/** The z with P(Z <= z) = p. */
export function normalQuantile(p: number): number {
  return normalQuantileOf(p, 0, 1);
}
