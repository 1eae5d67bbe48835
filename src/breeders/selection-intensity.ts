/**
 * Selection intensity: how far above the mean of all candidates the chosen ones stand, in
 * standard deviations, if the merit is normal. Small numbers make the large-flock table too kind:
 * the best of ten is expected at 1.54, not 1.76.
 *
 * Source: Falconer & Mackay, Introduction to Quantitative Genetics, ch. 11 (from memory of the work).
 */
import { normalUpper } from '../judge/statistics/normal.ts';

const below = (x: number) => normalUpper(-x);

/**
 * Exact expected mean of the best `selected` of `candidates` independent normal draws.
 *
 * Method: the sum of the top normal order statistics, as one integral. The chance that a bird at x
 * is among the best n of N is a binomial tail in x; integrating x·φ(x) against it by parts leaves
 * (N/n) ∫ φ(x)² · Beta(Φ(x); N−n, n) dx, whose integrand is smooth and dies off at both ends, so
 * the trapezoid rule converges to the last digits.
 * @throws RangeError unless both are whole and 1 ≤ selected ≤ candidates.
 */
export function intensityOf(selected: number, candidates: number): number {
  if (!Number.isInteger(selected) || !Number.isInteger(candidates))
    throw new RangeError('birds are counted in whole numbers');
  if (selected < 1 || selected > candidates)
    throw new RangeError('at least one, and no more than there are, can be selected');
  if (selected === candidates) return 0;
  const passed = candidates - selected;
  let logBeta = 0; // log of 1 ÷ B(passed, selected)
  for (let k = 1; k < candidates; k += 1) logBeta += Math.log(k);
  for (let k = 1; k < passed; k += 1) logBeta -= Math.log(k);
  for (let k = 1; k < selected; k += 1) logBeta -= Math.log(k);
  const step = 1 / 64;
  const reach = 12;
  let sum = 0;
  for (let x = -reach; x <= reach; x += step) {
    const lower = (passed - 1) * Math.log(below(x));
    const upper = (selected - 1) * Math.log(below(-x));
    sum += Math.exp(logBeta + lower + upper - x * x) / (2 * Math.PI);
  }
  return (candidates / selected) * sum * step;
}
