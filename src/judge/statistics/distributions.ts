import gammainc from '@stdlib/math-base-special-gammainc';
import gammaln from '@stdlib/math-base-special-gammaln';
import tQuantileOf from '@stdlib/stats-base-dists-t-quantile';

/** P(X > x) for a chi-square X; 1 for x <= 0. `df` > 0. */
export function chiSquareUpper(x: number, df: number): number {
  if (x <= 0) return 1;
  if (x === Number.POSITIVE_INFINITY) return 0;
  return gammainc(x / 2, df / 2, true, true);
}

/** The t with P(T <= t) = p for a Student T with `df` degrees of freedom. */
export function studentQuantile(p: number, df: number): number {
  return tQuantileOf(p, df);
}

// log k!, filled as needed: exact tables ask for the same few thousand values again and again.
const logFactorials: number[] = [0, 0];

/** ln k! for a whole k >= 0. */
export function logFactorial(k: number): number {
  const known = logFactorials[k];
  if (known !== undefined) return known;
  // The table is a run without holes, so that it stays a packed array.
  if (k > 100_000) return gammaln(k + 1);
  for (let i = logFactorials.length; i <= k; i++) logFactorials.push(gammaln(i + 1));
  return logFactorials[k]!;
}
