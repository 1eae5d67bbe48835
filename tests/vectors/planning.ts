/** Check-vector kinds answered by the planning functions. */
import * as z from 'zod';
import type { StageRate } from '../../src/judge/rates/product-of-rates.ts';
import { type Adapter, adapter, confidence, numbers } from './shared.ts';
import {
  eggsAtBetaRate,
  eggsAtKnownRates,
  eggsForBothSexes,
  eggsPerSet,
  eggsThroughChain,
  type SharedRateNeed,
} from './textbook/eggs-needed.ts';
import { yieldChain } from './textbook/yield-chain.ts';

const birds = z.int().min(0);
const stage = z.discriminatedUnion('type', [
  z.object({ type: z.literal('fixed'), p: z.number() }),
  z.object({ type: z.literal('beta'), a: z.number(), b: z.number() }),
]);

export const adapters: Record<string, Adapter> = {
  plan_binomial: adapter(
    z.object({ k: birds, conf: confidence, probs: numbers }),
    ({ k, conf, probs }) => {
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
  ),
  plan_betabinom: adapter(
    z.object({ k: birds, conf: confidence, alpha: z.number(), beta: z.number() }),
    ({ k, conf, alpha, beta }) => sharedRate(eggsAtBetaRate(k, conf, alpha, beta)),
  ),
  plan_chain: adapter(
    z.object({ k: birds, conf: confidence, stages: z.array(stage) }),
    ({ k, conf, stages }) =>
      sharedRate(
        eggsThroughChain(
          k,
          conf,
          stages.map((s): StageRate => (s.type === 'fixed' ? { p: s.p } : { a: s.a, b: s.b })),
        ),
      ),
  ),
  plan_two_sex: adapter(
    z.object({
      k_female: birds,
      k_male: birds,
      conf: confidence,
      p_alive: z.number(),
      p_female: z.number(),
    }),
    (v) => {
      const need = eggsForBothSexes(v.k_female, v.k_male, v.conf, v.p_alive, v.p_female);
      return { n: need.n, prob_at_n: need.probAtN, prob_at_n_minus_1: need.probAtNMinus1 };
    },
  ),
  plan_multi_set: adapter(
    z.object({ k: birds, sets: z.int().min(1), mu: z.number(), rho: z.number(), conf: confidence }),
    ({ k, sets, mu, rho, conf }) => {
      const need = eggsPerSet(k, sets, mu, rho, conf);
      return {
        eggs_per_set: need.eggsPerSet,
        total: need.total,
        prob: need.prob,
        prob_one_less_per_set: need.probOneLessPerSet,
      };
    },
  ),
  yield_chain: adapter(
    z.object({
      stages: z.array(z.object({ x: z.number(), n: z.number() })),
      prior: z.tuple([z.number(), z.number()]),
    }),
    ({ stages, prior }) => {
      const chain = yieldChain(stages, prior);
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
  ),
};

function sharedRate(need: SharedRateNeed) {
  return {
    p_mean: need.pMean,
    n: need.n,
    prob_at_n: need.probAtN,
    prob_at_n_minus_1: need.probAtNMinus1,
    n_if_binomial_at_mean: need.nIfBinomialAtMean,
    prob_of_that_n: need.probOfThatN,
  };
}
