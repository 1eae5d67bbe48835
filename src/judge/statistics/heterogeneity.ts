import { chiSquareUpper } from './distributions.ts';
import { normalUpper } from './normal.ts';

export type Count = { x: number; n: number };

export type Heterogeneity = {
  pooled: number | null;
  pearson: number | null;
  df: number;
  pearsonP: number | null;
  /** Pearson X2 / df: 1 when groups scatter by chance alone. */
  varianceRatio: number | null;
  taroneZ: number | null;
  taroneP: number | null;
};

/**
 * Do groups differ by more than chance? Pearson's chi-square (Sokal & Rohlf, Biometry, ch. 17) and
 * Tarone's one-sided score test for overdispersion (Tarone 1979, Biometrika 66:585).
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
    varianceRatio: null,
    taroneZ: null,
    taroneP: null,
  };
  if (df === 0 || p === 0 || p === 1) return nothing;
  const q = p * (1 - p);
  const pearson = used.reduce((s, c) => s + (c.x - c.n * p) ** 2 / (c.n * q), 0);
  const squares = used.reduce((s, c) => s + (c.x - c.n * p) ** 2, 0) / q;
  const pairs = used.reduce((s, c) => s + c.n * (c.n - 1), 0);
  const taroneZ = pairs > 0 ? (squares - n) / Math.sqrt(2 * pairs) : null;
  return {
    pooled: p,
    pearson,
    df,
    pearsonP: chiSquareUpper(pearson, df),
    varianceRatio: pearson / df,
    taroneZ,
    taroneP: taroneZ === null ? null : normalUpper(taroneZ),
  };
}
