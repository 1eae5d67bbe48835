import betainc from '@stdlib/math-base-special-betainc';
import gammainc from '@stdlib/math-base-special-gammainc';
import gammaln from '@stdlib/math-base-special-gammaln';
import betaQuantileOf from '@stdlib/stats-base-dists-beta-quantile';
import tQuantileOf from '@stdlib/stats-base-dists-t-quantile';

/** P(X > x) for a chi-square X; 1 for x <= 0. `df` > 0. */
export function chiSquareUpper(x: number, df: number): number {
  if (x <= 0) return 1;
  if (x === Number.POSITIVE_INFINITY) return 0;
  return gammainc(x / 2, df / 2, true, true);
}

/** P(F > f) for an F variable with `df1` and `df2` degrees of freedom. */
export function fUpper(f: number, df1: number, df2: number): number {
  if (f <= 0) return 1;
  if (f === Number.POSITIVE_INFINITY) return 0;
  return betainc(df2 / (df2 + df1 * f), df2 / 2, df1 / 2);
}

/** P(|T| > |t|) for a Student T with `df` degrees of freedom. */
export function studentTwoSided(t: number, df: number): number {
  if (!Number.isFinite(t)) return 0;
  return betainc(df / (df + t * t), df / 2, 0.5);
}

/** The t with P(T <= t) = p for a Student T with `df` degrees of freedom. */
export function studentQuantile(p: number, df: number): number {
  return tQuantileOf(p, df);
}

/** The x with P(B <= x) = p for B ~ Beta(a, b); a, b > 0. */
export function betaQuantile(p: number, a: number, b: number): number {
  return betaQuantileOf(p, a, b);
}

/** P(B > x) for B ~ Beta(a, b); a, b > 0. */
export function betaUpper(x: number, a: number, b: number): number {
  if (x <= 0) return 1;
  if (x >= 1) return 0;
  return betainc(x, a, b, true, true);
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

/** ln of n choose k, for whole 0 <= k <= n. */
export function logChoose(n: number, k: number): number {
  return logFactorial(n) - logFactorial(k) - logFactorial(n - k);
}

/** P(X = k) for X ~ Binomial(n, p); exact at p = 0 and p = 1. */
export function binomialPmf(k: number, n: number, p: number): number {
  if (k < 0 || k > n) return 0;
  if (p <= 0) return k === 0 ? 1 : 0;
  if (p >= 1) return k === n ? 1 : 0;
  return Math.exp(logChoose(n, k) + k * Math.log(p) + (n - k) * Math.log1p(-p));
}

/** P(X >= k) for X ~ Binomial(n, p), as a beta tail. */
export function binomialAtLeast(k: number, n: number, p: number): number {
  if (k <= 0) return 1;
  if (k > n) return 0;
  return 1 - betaUpper(p, k, n - k + 1);
}

/** P(X <= k) for X ~ Binomial(n, p), as a beta tail. */
export function binomialAtMost(k: number, n: number, p: number): number {
  if (k < 0) return 0;
  if (k >= n) return 1;
  return betaUpper(p, k + 1, n - k);
}
