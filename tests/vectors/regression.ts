import * as z from 'zod';
import { lossPerDay } from '../../src/facts/water-loss.ts';
import { chiSquareUpper } from '../../src/judge/statistics/distributions.ts';
import { heterogeneity } from '../../src/judge/statistics/heterogeneity.ts';
import { cochranArmitage } from '../../src/judge/statistics/trend.ts';
import { type Adapter, adapter, confidence, numbers } from './shared.ts';
import { lineFit, lineFitOrigin, predictLine } from './textbook/line-fit.ts';
import { isSeparated, logistic, predict, separation } from './textbook/logistic.ts';
import { lossLine } from './textbook/weight-loss.ts';

const line = z.object({
  x: numbers,
  y: numbers,
  predict_at: z.number().nullish(),
  conf: confidence,
});

function lineOf(fit: ReturnType<typeof lineFit>, inputs: z.infer<typeof line>): unknown {
  if (!fit) return null;
  const at = inputs.predict_at == null ? null : predictLine(fit, inputs.predict_at, inputs.conf);
  return {
    intercept: fit.intercept,
    se_intercept: fit.seIntercept,
    r2: fit.r2,
    slope: fit.slope,
    se_slope: fit.seSlope,
    t_slope: fit.tSlope,
    p_slope: fit.pSlope,
    residual_sd: fit.residualSd,
    df: fit.df,
    fit: at?.fit ?? null,
    confidence_interval: at?.mean ?? null,
    prediction_interval: at?.prediction ?? null,
  };
}

/** Trends, logistic models, straight lines, and weight loss on them. */
export const adapters: Record<string, Adapter> = {
  cochran_armitage: adapter(z.object({ x: numbers, n: numbers, scores: numbers }), (inputs) => {
    const groups = inputs.x.map((x, i) => ({ x, n: inputs.n[i]!, score: inputs.scores[i]! }));
    const t = cochranArmitage(groups);
    // Pearson's heterogeneity over all groups, and what of it the straight line leaves.
    const total = heterogeneity(groups).pearson ?? 0;
    const departure = total - (t?.chiSquare ?? 0);
    const df = groups.filter((one) => one.n > 0).length - 2;
    return (
      t && {
        z: t.z,
        chi2: t.chiSquare,
        p: t.p,
        total_chi2: total,
        departure_chi2: departure,
        departure_df: df,
        departure_p: df > 0 ? chiSquareUpper(departure, df) : null,
      }
    );
  }),
  logistic: adapter(
    z.object({
      x: numbers,
      n: numbers,
      covariates: z.record(z.string(), numbers),
      predict_at: z.record(z.string(), numbers).optional(),
    }),
    (inputs) => {
      const fit = logistic({ x: inputs.x, n: inputs.n, columns: inputs.covariates });
      if (isSeparated(fit)) return fit;
      const places = Object.entries(inputs.predict_at ?? {});
      const rows = places[0]?.[1].length ?? 0;
      return {
        coefficients: Object.fromEntries(
          Object.entries(fit.coefficients).map(([name, c]) => [
            name,
            {
              estimate: c.estimate,
              se: c.se,
              z: c.z,
              p: c.p,
              quasi_se: c.quasiSe,
              quasi_t: c.quasiT,
              quasi_p: c.quasiP,
            },
          ]),
        ),
        deviance: fit.deviance,
        null_deviance: fit.nullDeviance,
        df_residual: fit.dfResidual,
        pearson_x2: fit.pearson,
        dispersion_phi: fit.dispersion,
        lr_chi2: fit.likelihoodRatio,
        lr_df: fit.likelihoodRatioDf,
        lr_p: fit.likelihoodRatioP,
        predicted: Array.from({ length: rows }, (_, i) => {
          const at = predict(fit, Object.fromEntries(places.map(([name, v]) => [name, v[i]!])));
          return { p: at.p, lower: at.low, upper: at.high };
        }),
      };
    },
  ),
  separation: adapter(
    z.object({
      x: numbers,
      n: numbers,
      covariate: numbers.optional(),
      covariates: z.record(z.string(), numbers).optional(),
    }),
    ({ x, n, covariate, covariates }) => ({
      finite_mle_exists:
        separation({ x, n, columns: covariates ?? { covariate: covariate ?? [] } }) === null,
    }),
  ),
  line_fit: adapter(line, (inputs) => lineOf(lineFit(inputs.x, inputs.y), inputs)),
  line_fit_origin: adapter(line, (inputs) => lineOf(lineFitOrigin(inputs.x, inputs.y), inputs)),
  weight_loss: adapter(
    z.object({
      days: numbers,
      weights: numbers,
      tare: z.number().default(0),
      transfer_day: z.number(),
      conf: confidence,
    }),
    (inputs) => {
      const loss = lossLine(
        inputs.days.map((day, i) => ({ day, mass_g: inputs.weights[i]! })),
        inputs.transfer_day,
        inputs.tare,
        inputs.conf,
      );
      return (
        loss && {
          loss_pct: loss.lossPercent,
          slope_pct_per_day: loss.slope,
          predicted_pct: loss.forecast,
          prediction_interval: loss.interval,
          // What the program says: of the last weighing, carried on to transfer.
          two_point_pct:
            inputs.transfer_day *
            lossPerDay(
              { days: inputs.days[0]!, mass: inputs.weights[0]! - inputs.tare },
              { days: inputs.days.at(-1)!, mass: inputs.weights.at(-1)! - inputs.tare },
            ),
        }
      );
    },
  ),
};
