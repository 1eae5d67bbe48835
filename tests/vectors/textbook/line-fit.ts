import { studentQuantile } from '../../../src/judge/statistics/distributions.ts';
import { CONFIDENCE, type ProportionBounds } from '../../../src/judge/statistics/proportion.ts';
import { studentTwoSided } from './distributions.ts';

export type LineFit = {
  /** 0 in a fit through the origin. */
  intercept: number;
  seIntercept: number | null;
  slope: number;
  /** `null`, like all that needs it, when no row is left over to measure scatter. */
  seSlope: number | null;
  tSlope: number | null;
  pSlope: number | null;
  residualSd: number | null;
  df: number;
  /** Share of the variance the line explains; `null` through the origin or without variance. */
  r2: number | null;
};

type Fitted = LineFit & { mean: number; spread: number; rows: number; throughOrigin: boolean };

function finish(
  base: { intercept: number; slope: number; mean: number; spread: number; rows: number },
  squares: number,
  throughOrigin: boolean,
  r2: number | null,
): Fitted {
  const df = base.rows - (throughOrigin ? 1 : 2);
  const residualSd = df > 0 ? Math.sqrt(squares / df) : null;
  const seSlope = residualSd === null ? null : residualSd / Math.sqrt(base.spread);
  const tSlope = seSlope ? base.slope / seSlope : null;
  return {
    ...base,
    throughOrigin,
    seIntercept:
      residualSd === null || throughOrigin
        ? null
        : residualSd * Math.sqrt(1 / base.rows + base.mean ** 2 / base.spread),
    seSlope,
    tSlope,
    pSlope: tSlope === null ? null : studentTwoSided(tSlope, df),
    residualSd,
    df,
    r2,
  };
}

/**
 * Least-squares line y = a + b x; df = rows - 2. `null` when all x are equal or there are fewer
 * than two rows.
 */
export function lineFit(x: readonly number[], y: readonly number[]): Fitted | null {
  const rows = x.length;
  if (rows < 2) return null;
  const mean = x.reduce((s, v) => s + v, 0) / rows;
  const meanY = y.reduce((s, v) => s + v, 0) / rows;
  const spread = x.reduce((s, v) => s + (v - mean) ** 2, 0);
  if (spread === 0) return null;
  const slope = x.reduce((s, v, i) => s + (v - mean) * (y[i]! - meanY), 0) / spread;
  const intercept = meanY - slope * mean;
  const squares = x.reduce((s, v, i) => s + (y[i]! - meanY - slope * (v - mean)) ** 2, 0);
  const total = y.reduce((s, v) => s + (v - meanY) ** 2, 0);
  return finish(
    { intercept, slope, mean, spread, rows },
    squares,
    false,
    total > 0 ? 1 - squares / total : null,
  );
}

/** Least-squares line y = b x; df = rows - 1. `null` when every x is 0 or there are no rows. */
export function lineFitOrigin(x: readonly number[], y: readonly number[]): Fitted | null {
  const spread = x.reduce((s, v) => s + v * v, 0);
  if (spread === 0) return null;
  const slope = x.reduce((s, v, i) => s + v * y[i]!, 0) / spread;
  const squares = x.reduce((s, v, i) => s + (y[i]! - slope * v) ** 2, 0);
  return finish({ intercept: 0, slope, mean: 0, spread, rows: x.length }, squares, true, null);
}

/** The line's value at `at`, with the interval for its mean and the one for a new observation. */
export function predictLine(
  fit: Fitted,
  at: number,
  confidence = CONFIDENCE,
): { fit: number; mean: ProportionBounds | null; prediction: ProportionBounds | null } {
  const value = fit.intercept + fit.slope * at;
  if (fit.residualSd === null) return { fit: value, mean: null, prediction: null };
  const t = studentQuantile((1 + confidence) / 2, fit.df);
  const lever = (fit.throughOrigin ? 0 : 1 / fit.rows) + (at - fit.mean) ** 2 / fit.spread;
  const narrow = t * fit.residualSd * Math.sqrt(lever);
  const wide = t * fit.residualSd * Math.sqrt(1 + lever);
  return {
    fit: value,
    mean: [value - narrow, value + narrow],
    prediction: [value - wide, value + wide],
  };
}
