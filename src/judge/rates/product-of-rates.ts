/** Products of independent rates, each known up to a beta distribution, and counts that share one rate. */

/** A beta distribution of one stage's rate, or a rate taken as known. */
export type StageRate = { a: number; b: number } | { p: number };

/** Mean and standard deviation of the product, exact from the moments of the stages. */
export function productMoments(stages: readonly StageRate[]): { mean: number; sd: number } {
  let mean = 1;
  let square = 1;
  for (const stage of stages) {
    if ('p' in stage) {
      mean *= stage.p;
      square *= stage.p ** 2;
    } else {
      const total = stage.a + stage.b;
      mean *= stage.a / total;
      square *= (stage.a * (stage.a + 1)) / (total * (total + 1));
    }
  }
  return { mean, sd: Math.sqrt(Math.max(0, square - mean ** 2)) };
}

/**
 * The probabilities of 0 … n successes when the rate is Beta(a, b), common to the n trials: the
 * beta-binomial distribution (Skellam, J. R. Stat. Soc. B 10, 1948, 257–261), by its recurrence.
 */
export function betaBinomialPmf(n: number, a: number, b: number): Float64Array {
  const pmf = new Float64Array(n + 1);
  let log = 0;
  for (let j = 0; j < n; j++) log += Math.log((b + j) / (a + b + j));
  pmf[0] = Math.exp(log);
  for (let x = 0; x < n; x++) {
    log += Math.log(((n - x) * (a + x)) / ((x + 1) * (b + n - x - 1)));
    pmf[x + 1] = Math.exp(log);
  }
  return pmf;
}

/** A rate this surely known is certain; and one this near to none or all is taken as near as that. */
const CERTAIN = 1e9;

/**
 * P(0), P(1) … P(n) of n eggs that share one unknown rate, told by its mean and standard deviation: as
 * if it were a beta, which the product of several betas is near to.
 */
export function countsNear(n: number, mean: number, sd: number): Float64Array {
  const p = Math.min(1 - 1 / CERTAIN, Math.max(1 / CERTAIN, mean));
  const strength = (p * (1 - p)) / (sd * sd) - 1;
  const known = strength > 0 ? Math.min(CERTAIN, strength) : CERTAIN;
  return betaBinomialPmf(n, p * known, (1 - p) * known);
}
