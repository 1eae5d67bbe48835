import betainc from '@stdlib/math-base-special-betainc';
import betaQuantileOf from '@stdlib/stats-base-dists-beta-quantile';
import { logFactorial } from '../../../src/judge/statistics/distributions.ts';

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

/** P(|T| > |t|) for a Student T with `df` degrees of freedom. */
export function studentTwoSided(t: number, df: number): number {
  if (!Number.isFinite(t)) return 0;
  return betainc(df / (df + t * t), df / 2, 0.5);
}
