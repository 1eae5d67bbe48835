import { chiSquareUpper } from './distributions.ts';
import { normalUpper } from './normal.ts';

export type Count = { x: number; n: number };

export type Heterogeneity = {
  pooled: number | null;
  pearson: number | null;
  df: number;
  pearsonP: number | null;
  g: number | null;
  gP: number | null;
  /** Pearson X2 / df: 1 when groups scatter by chance alone. */
  varianceRatio: number | null;
  taroneZ: number | null;
  taroneP: number | null;
  /** Intraclass correlation by analysis of variance; below 0 when groups agree too well. */
  icc: number | null;
};

/**
 * Do groups differ by more than chance? Pearson's chi-square and G (Sokal & Rohlf, Biometry,
 * ch. 17), Tarone's one-sided score test for overdispersion (Tarone 1979, Biometrika 66:585),
 * and the ANOVA intraclass correlation (Ridout, Demétrio & Firth 1999, Biometrics 55:137).
 * Groups of none are left out; figures are `null` with fewer than two groups, or all or none.
 */
export function heterogeneity(counts: readonly Count[]): Heterogeneity {
  const used = counts.filter((c) => c.n > 0);
  const n = used.reduce((s, c) => s + c.n, 0);
  const x = used.reduce((s, c) => s + c.x, 0);
  const p = x / n;
  const df = Math.max(0, used.length - 1);
  const nothing: Heterogeneity = {
    pooled: n > 0 ? p : null,
    pearson: null,
    df,
    pearsonP: null,
    g: null,
    gP: null,
    varianceRatio: null,
    taroneZ: null,
    taroneP: null,
    icc: null,
  };
  if (df === 0 || p === 0 || p === 1) return nothing;
  const q = p * (1 - p);
  const pearson = used.reduce((s, c) => s + (c.x - c.n * p) ** 2 / (c.n * q), 0);
  const part = (o: number, e: number): number => (o === 0 ? 0 : o * Math.log(o / e));
  const g = 2 * used.reduce((s, c) => s + part(c.x, c.n * p) + part(c.n - c.x, c.n * (1 - p)), 0);
  const squares = used.reduce((s, c) => s + (c.x - c.n * p) ** 2, 0) / q;
  const pairs = used.reduce((s, c) => s + c.n * (c.n - 1), 0);
  const taroneZ = pairs > 0 ? (squares - n) / Math.sqrt(2 * pairs) : null;
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
  return {
    pooled: p,
    pearson,
    df,
    pearsonP: chiSquareUpper(pearson, df),
    g,
    gP: chiSquareUpper(g, df),
    varianceRatio: pearson / df,
    taroneZ,
    taroneP: taroneZ === null ? null : normalUpper(taroneZ),
    icc,
  };
}
