import type { StageRate } from './product-of-rates.ts';
import type { FarmRate } from './rates.ts';

/**
 * The beta distribution with the mean and spread of the next set's rate: what is known, and how
 * sets scatter. Without the scatter it is the spread that every set of the unit shares.
 */
export function nextSet(
  rate: Pick<FarmRate, 'mean' | 'sd' | 'spread'>,
  withScatter = true,
): StageRate {
  const { mean, sd } = rate;
  const known = sd ** 2;
  const scatter = withScatter ? rate.spread.mean * (mean * (1 - mean) - known) : 0;
  const variance = known + scatter;
  if (variance <= 0) return { p: mean };
  const strength = (mean * (1 - mean)) / variance - 1;
  return { a: mean * strength, b: (1 - mean) * strength };
}
