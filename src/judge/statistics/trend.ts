import { normalTwoSided } from './normal.ts';

/** A group with x of n and a score (storage days, week number …). */
export type ScoredCount = { x: number; n: number; score: number };

export type TrendResult = {
  /** Positive when the rate rises with the score. */
  z: number;
  chiSquare: number;
  p: number;
};

/**
 * The Cochran–Armitage test for a trend of a share with a score: variance
 * p(1-p) * sum n(s - mean s)^2, no continuity correction. Cochran (1954), Biometrics 10:417;
 * Armitage (1955), Biometrics 11:375. `null` when there is nothing to test: fewer than two scores
 * in use, or all or none of the eggs.
 */
export function cochranArmitage(groups: readonly ScoredCount[]): TrendResult | null {
  const used = groups.filter((g) => g.n > 0);
  const n = used.reduce((s, g) => s + g.n, 0);
  const x = used.reduce((s, g) => s + g.x, 0);
  const p = x / n;
  const mean = used.reduce((s, g) => s + g.n * g.score, 0) / n;
  const spread = used.reduce((s, g) => s + g.n * (g.score - mean) ** 2, 0);
  const variance = p * (1 - p);
  if (!(spread > 0 && variance > 0)) return null;
  const slope = used.reduce((s, g) => s + (g.x - g.n * p) * (g.score - mean), 0);
  const z = slope / Math.sqrt(variance * spread);
  return { z, chiSquare: z * z, p: normalTwoSided(z) };
}
