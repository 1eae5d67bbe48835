/** Check-vector kinds answered by the planning functions. */
import {
  eggsAtBetaRate,
  eggsAtKnownRates,
  eggsForBothSexes,
  eggsPerSet,
  eggsThroughChain,
} from '../compute/plan/eggs-needed.ts';
import type { StageRate } from '../compute/plan/product-of-rates.ts';
import { type StageCount, yieldChain } from '../compute/plan/yield-chain.ts';

interface Inputs {
  k: number;
  conf: number;
  probs: number[];
  alpha: number;
  beta: number;
  stages: unknown;
  k_female: number;
  k_male: number;
  p_alive: number;
  p_female: number;
  sets: number;
  mu: number;
  rho: number;
  prior: [number, number];
}

export const adapters: Record<string, (inputs: Inputs) => unknown> = {
  plan_binomial: ({ k, conf, probs }: Inputs) => {
    const need = eggsAtKnownRates(k, conf, probs);
    return {
      p: need.p,
      n: need.n,
      prob_at_n: need.probAtN,
      prob_at_n_minus_1: need.probAtNMinus1,
      naive_n: need.naiveN,
      naive_prob: need.naiveProb,
    };
  },
  plan_betabinom: ({ k, conf, alpha, beta }: Inputs) =>
    sharedRate(eggsAtBetaRate(k, conf, alpha, beta)),
  plan_chain: ({ k, conf, stages }: Inputs) =>
    sharedRate(
      eggsThroughChain(
        k,
        conf,
        (stages as { type: string; p: number; a: number; b: number }[]).map(
          (s): StageRate => (s.type === 'fixed' ? { p: s.p } : { a: s.a, b: s.b }),
        ),
      ),
    ),
  plan_two_sex: ({ k_female, k_male, conf, p_alive, p_female }: Inputs) => {
    const need = eggsForBothSexes(k_female, k_male, conf, p_alive, p_female);
    return { n: need.n, prob_at_n: need.probAtN, prob_at_n_minus_1: need.probAtNMinus1 };
  },
  plan_multi_set: ({ k, sets, mu, rho, conf }: Inputs) => {
    const need = eggsPerSet(k, sets, mu, rho, conf);
    return {
      eggs_per_set: need.eggsPerSet,
      total: need.total,
      prob: need.prob,
      prob_one_less_per_set: need.probOneLessPerSet,
    };
  },
  yield_chain: ({ stages, prior }: Inputs) => {
    const chain = yieldChain(stages as StageCount[], prior);
    return {
      point: chain.point,
      log_se: chain.logSe,
      delta_ci95: chain.deltaCi95,
      delta_se: chain.deltaSe,
      posterior_mean: chain.posteriorMean,
      posterior_sd: chain.posteriorSd,
      posterior_quantiles: chain.posteriorQuantiles,
    };
  },
};

function sharedRate(need: ReturnType<typeof eggsAtBetaRate>) {
  return {
    p_mean: need.pMean,
    n: need.n,
    prob_at_n: need.probAtN,
    prob_at_n_minus_1: need.probAtNMinus1,
    n_if_binomial_at_mean: need.nIfBinomialAtMean,
    prob_of_that_n: need.probOfThatN,
  };
}
