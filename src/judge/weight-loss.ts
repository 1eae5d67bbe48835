import { studentQuantile } from './statistics/distributions.ts';
import { lineFitOrigin, predictLine } from './statistics/line-fit.ts';
import { CONFIDENCE, type ProportionBounds } from './statistics/proportion.ts';
import { maximise } from './statistics/search.ts';

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
  /** What the last weighing alone would say. */
  twoPoint: number;
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
    twoPoint: (lossPercent.at(-1)! * transferDay) / last.day,
  };
}

/** A weighing of `eggs` eggs. */
export type GroupWeighing = Weighing & { eggs: number };

export type GroupLoss = {
  /** Percent of set mass lost at the last weighing. */
  lost: number;
  lastDay: number;
  slope: number;
  forecast: number;
  /** `null` when no weighing is left over to measure scatter. */
  interval: ProportionBounds | null;
  /** Weighings used, the one at setting included. */
  weighings: number;
  /** How the eggs taken out were dealt with. */
  basis: 'same eggs' | 'line begun anew' | 'mean mass of an egg';
};

/**
 * The loss of a share whose eggs may grow fewer: whenever their number changes the line is begun
 * anew, for an egg taken out is not water lost. Weighings of one number of eggs are one stretch,
 * m = M (1 - slope day) with its own set mass M, and one slope serves all. Only when no stretch
 * has two weighings is the mean mass of an egg followed instead. `null` when that is not possible
 * either (a single weighing). Days are of incubation; loss is percent of set mass.
 */
export function groupLoss(
  weighings: readonly GroupWeighing[],
  transferDay: number,
  confidence = CONFIDENCE,
): GroupLoss | null {
  const rows = [...weighings]
    .filter((w) => w.eggs > 0 && w.mass_g > 0)
    .sort((a, b) => a.day - b.day);
  const last = rows.at(-1);
  if (!last || last.day <= 0) return null;
  // Eggs are only ever taken out: the number on the scale names the stretch.
  const stretches = new Map<number, GroupWeighing[]>();
  for (const row of rows) stretches.set(row.eggs, [...(stretches.get(row.eggs) ?? []), row]);
  const useful = [...stretches.values()].filter((s) => new Set(s.map((w) => w.day)).size > 1);
  const only = useful[0];
  if (useful.length === 1 && only![0]!.day === 0) {
    const line = lossLine(only!, transferDay)!;
    // The row at setting is nothing lost by definition: it measures no scatter.
    const fit = lineFitOrigin(
      only!.slice(1).map((w) => w.day),
      line.lossPercent.slice(1),
    )!;
    return {
      lost: fit.slope * last.day,
      lastDay: last.day,
      slope: fit.slope,
      forecast: fit.slope * transferDay,
      interval: predictLine(fit, transferDay, confidence).prediction,
      weighings: only!.length,
      basis: stretches.size === 1 ? 'same eggs' : 'line begun anew',
    };
  }
  const groups =
    useful.length > 0
      ? useful
      : [rows.map((w) => ({ ...w, mass_g: w.mass_g / w.eggs, eggs: 1 }))].filter(
          (g) => new Set(g.map((w) => w.day)).size > 1,
        );
  if (groups.length === 0) return null;
  /** Set mass of a stretch at a slope (share of set mass a day), by least squares. */
  const massAt = (group: readonly GroupWeighing[], slope: number): number => {
    let top = 0;
    let bottom = 0;
    for (const w of group) {
      const left = 1 - slope * w.day;
      top += left * w.mass_g;
      bottom += left * left;
    }
    return top / bottom;
  };
  const squares = (slope: number): number => {
    let sum = 0;
    for (const group of groups) {
      const mass = massAt(group, slope);
      for (const w of group) sum += ((w.mass_g - mass * (1 - slope * w.day)) / mass) ** 2;
    }
    return sum;
  };
  // Nothing loses more than its whole mass by transfer; a gain is a slip of the scale, kept visible.
  const reach = 1 / Math.max(last.day, transferDay) / 1.05;
  const slope = maximise((s) => -squares(s), -reach, reach, 200).at;
  const count = groups.reduce((s, g) => s + g.length, 0);
  const df = count - groups.length - 1;
  let interval: ProportionBounds | null = null;
  if (df > 0) {
    const variance = squares(slope) / df;
    const spread = groups.reduce((s, g) => {
      const mean = g.reduce((t, w) => t + w.day, 0) / g.length;
      return s + g.reduce((t, w) => t + (w.day - mean) ** 2, 0);
    }, 0);
    const half =
      studentQuantile((1 + confidence) / 2, df) *
      Math.sqrt(variance * (1 + transferDay ** 2 / spread)) *
      100;
    interval = [100 * slope * transferDay - half, 100 * slope * transferDay + half];
  }
  return {
    lost: 100 * slope * last.day,
    lastDay: last.day,
    slope: 100 * slope,
    forecast: 100 * slope * transferDay,
    interval,
    weighings: count,
    basis:
      useful.length === 0
        ? 'mean mass of an egg'
        : stretches.size === 1
          ? 'same eggs'
          : 'line begun anew',
  };
}

/**
 * The humidity to aim for, percent, so that eggs losing `rate` a day lose `wanted` a day instead:
 * loss goes with the vapour gap between shell and air, (100 - new) = (100 - old) x wanted / rate
 * (from the conductance of Ar & Rahn, from memory). Kept within 1 to 99, and one change within
 * `step` points. `null` when the rate is not above 0.
 */
export function humidityFor(
  rh: number,
  rate: number,
  wanted: number,
  step: number,
): { aim: number; next: number } | null {
  if (!(rate > 0)) return null;
  const aim = Math.min(99, Math.max(1, 100 - ((100 - rh) * Math.max(0, wanted)) / rate));
  return { aim, next: rh + Math.min(step, Math.max(-step, aim - rh)) };
}
