import { chiSquareUpper } from '../../../src/judge/statistics/distributions.ts';
import type { Count } from '../../../src/judge/statistics/heterogeneity.ts';

/**
 * G (Sokal & Rohlf, Biometry, ch. 17) and the intraclass correlation by analysis of variance (Ridout,
 * Demétrio & Firth 1999, Biometrics 55:137); null with fewer than two groups, or all or none.
 */
export function scatterOf(counts: readonly Count[]): {
  g: number | null;
  gP: number | null;
  icc: number | null;
} {
  const used = counts.filter((c) => c.n > 0);
  const n = used.reduce((s, c) => s + c.n, 0);
  const x = used.reduce((s, c) => s + c.x, 0);
  const p = x / n;
  if (used.length < 2 || p === 0 || p === 1) return { g: null, gP: null, icc: null };
  const part = (o: number, e: number): number => (o === 0 ? 0 : o * Math.log(o / e));
  const g = 2 * used.reduce((s, c) => s + part(c.x, c.n * p) + part(c.n - c.x, c.n * (1 - p)), 0);
  const k = used.length;
  const within = used.reduce((s, c) => s + c.x - c.x ** 2 / c.n, 0);
  const between = used.reduce((s, c) => s + c.x ** 2 / c.n, 0) - x ** 2 / n;
  const n0 = (n - used.reduce((s, c) => s + c.n ** 2, 0) / n) / (k - 1);
  let icc: number | null = null;
  if (n > k) {
    const msb = between / (k - 1);
    const msw = within / (n - k);
    const divisor = msb + (n0 - 1) * msw;
    icc = divisor > 0 ? (msb - msw) / divisor : null;
  }
  return { g, gP: chiSquareUpper(g, used.length - 1), icc };
}
