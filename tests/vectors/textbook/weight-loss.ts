import { CONFIDENCE, type ProportionBounds } from '../../../src/judge/statistics/proportion.ts';
import { lineFitOrigin, predictLine } from './line-fit.ts';

/** One weighing: days after setting, and the net mass of eggs all present from the start. */
export type Weighing = { day: number; mass_g: number };

export type LossLine = {
  /** Loss at each weighing, percent of the mass at setting. */
  lossPercent: number[];
  /** Percent of set mass a day, through nothing lost on day 0. */
  slope: number;
  /** Forecast at the day of transfer, percent, with its prediction interval (`null`: one weighing). */
  forecast: number;
  interval: ProportionBounds | null;
};

/**
 * Water lost by eggs: least squares through the origin of percent lost on days after setting. Loss
 * is divided by the *set* mass, net of the tray (trap: initial / loss is right at 10 % only).
 * The first weighing is the one at setting; it counts as a row, as in R's lm(loss ~ 0 + day).
 * `null` without a later weighing. Throws RangeError when the net mass at setting is not above 0.
 */
export function lossLine(
  weighings: readonly Weighing[],
  transferDay: number,
  tare_g = 0,
  confidence = CONFIDENCE,
): LossLine | null {
  const first = weighings[0];
  const last = weighings.at(-1);
  if (!first || !last || last.day <= 0) return null;
  const net = first.mass_g - tare_g;
  if (!(net > 0)) throw new RangeError(`net mass at setting must be above 0, found ${net} g`);
  const lossPercent = weighings.map((w) => (100 * (first.mass_g - w.mass_g)) / net);
  const fit = lineFitOrigin(
    weighings.map((w) => w.day),
    lossPercent,
  );
  if (!fit) return null;
  const at = predictLine(fit, transferDay, confidence);
  return {
    lossPercent,
    slope: fit.slope,
    forecast: at.fit,
    interval: at.prediction,
  };
}
