import * as z from 'zod';
import { freemanHalton } from '../../src/judge/statistics/exact.ts';
import { type Count, heterogeneity } from '../../src/judge/statistics/heterogeneity.ts';
import { type Adapter, adapter, confidence, numbers } from './shared.ts';
import { betaBinomialFit, betaBinomialMoments, shrink } from './textbook/beta-binomial.ts';
import {
  exactLimits,
  exactSignals,
  laneyChart,
  pChart,
  type Signals,
} from './textbook/control-chart.ts';
import { scatterOf } from './textbook/heterogeneity.ts';

const counted = z.object({ x: numbers, n: numbers });
const tallied = z.object({ size: z.number(), freq: numbers });

const pairs = (inputs: z.infer<typeof counted>): Count[] =>
  inputs.x.map((x, i) => ({ x, n: inputs.n[i]! }));

const signalsOf = (s: Signals): unknown => ({ signals_high: s.high, signals_low: s.low });

function shrunk(counts: Count[], alpha: number, beta: number, conf: number): unknown {
  const all = shrink(counts, alpha, beta, conf);
  return {
    alpha,
    beta,
    posterior_mean: all.map((s) => s.mean),
    lower: all.map((s) => s.low),
    upper: all.map((s) => s.high),
    weight_on_own_data: all.map((s) => s.weightOnOwnData),
  };
}

/** Scatter between sets, and the charts that watch it. */
export const adapters: Record<string, Adapter> = {
  heterogeneity: adapter(counted.extend({ exact: z.boolean().optional() }), (inputs) => {
    const h = heterogeneity(pairs(inputs));
    const { g, gP, icc } = scatterOf(pairs(inputs));
    return {
      pooled: h.pooled,
      pearson_x2: h.pearson,
      df: h.df,
      pearson_p: h.pearsonP,
      g,
      g_p: gP,
      variance_ratio: h.varianceRatio,
      tarone_z: h.taroneZ,
      tarone_p_upper: h.taroneP,
      icc_anova: icc,
      ...(inputs.exact && {
        exact_p: freemanHalton(pairs(inputs).map(({ x, n }) => [x, n - x])),
      }),
    };
  }),
  betabinom_mle: adapter(z.union([counted, tallied]), (inputs) => {
    const fit = betaBinomialFit(
      'size' in inputs
        ? inputs.freq.map((times, x) => ({ x, n: inputs.size, times }))
        : pairs(inputs),
    );
    return (
      fit && {
        mu: fit.mu,
        rho: fit.rho,
        alpha: fit.alpha,
        beta: fit.beta,
        loglik: fit.logLikelihood,
        loglik_binomial: fit.logLikelihoodBinomial,
        lr: fit.likelihoodRatio,
        lr_p_boundary: fit.likelihoodRatioP,
        icc_anova: fit.icc,
        boundary: fit.boundary,
      }
    );
  }),
  betabinom_moments: adapter(tallied, ({ size, freq }) => betaBinomialMoments(size, freq)),
  eb_given: adapter(
    counted.extend({ alpha: z.number(), beta: z.number(), conf: confidence }),
    (inputs) => shrunk(pairs(inputs), inputs.alpha, inputs.beta, inputs.conf),
  ),
  eb_mle: adapter(counted.extend({ conf: confidence }), (inputs) => {
    const fit = betaBinomialFit(pairs(inputs));
    if (fit?.alpha == null || fit.beta == null) return null;
    return shrunk(pairs(inputs), fit.alpha, fit.beta, inputs.conf);
  }),
  p_chart: adapter(
    counted.extend({ k_sigma: z.number().default(3), p0: z.number().nullish() }),
    (inputs) => {
      const chart = pChart(pairs(inputs), inputs.k_sigma, inputs.p0 ?? null);
      return {
        pbar: chart.pooled,
        lcl: chart.lower,
        ucl: chart.upper,
        ...(signalsOf(chart.signals) as object),
      };
    },
  ),
  exact_limits: adapter(
    z.object({ x: numbers.optional(), n: numbers, p0: z.number(), alpha_each: z.number() }),
    (inputs) => {
      const limits = exactLimits(inputs.n, inputs.p0, inputs.alpha_each);
      return {
        lcl_count: limits.lower,
        ucl_count: limits.upper,
        ...(inputs.x && (signalsOf(exactSignals(inputs.x, limits)) as object)),
      };
    },
  ),
  laney_p: adapter(counted, (inputs) => {
    const chart = laneyChart(pairs(inputs));
    return {
      pbar: chart.pooled,
      sigma_z: chart.sigmaZ,
      lcl: chart.lower,
      ucl: chart.upper,
      ...(signalsOf(chart.signals) as object),
    };
  }),
};
