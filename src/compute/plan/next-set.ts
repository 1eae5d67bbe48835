import type { StageRate } from './product-of-rates.ts';
import type { Rate } from './rates.ts';

/**
 * The beta distribution with the mean and spread of the next set's rate: what is known, and luck by
 * the set. Without the luck it is the spread that every set of the unit shares.
 */
export function nextSet(rate: Rate, withLuck = true): StageRate {
  const mean = rate.mean;
  const variance = rate.components.reduce((sum, { weight, rho, a, b }) => {
    const m = a / (a + b);
    const known = (m * (1 - m)) / (a + b + 1);
    const luck = withLuck ? rho * (m * (1 - m) - known) : 0;
    return sum + weight * (known + luck + (m - mean) ** 2);
  }, 0);
  if (variance <= 0) return { p: mean };
  const strength = (mean * (1 - mean)) / variance - 1;
  return { a: mean * strength, b: (1 - mean) * strength };
}
