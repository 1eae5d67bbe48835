/** Measured streams as tables: hours to hatch, spread of a hatch, water loss, what gauges read. */
import type { TimedCell } from '../hatch-times.ts';
import { levelFrom } from './counted.ts';
import { type Axis, type GridTable, logSum, saidOfParent } from './grid.ts';
import { seeds } from './priors.ts';

export const measured = ['hours', 'spread', 'loss', 'temperature', 'humidity'] as const;
export type MeasureName = (typeof measured)[number];

/** Deviations from what is expected: hours, log of the spread, percent of set mass, °C, points. */
export const axes: Readonly<Record<MeasureName, Axis>> = {
  hours: { first: -75, step: 1.5, length: 101 },
  spread: { first: -2.4, step: 0.06, length: 81 },
  loss: { first: -12, step: 0.25, length: 97 },
  temperature: { first: -3, step: 0.05, length: 121 },
  humidity: { first: -40, step: 1, length: 81 },
};

/** Hours a hatch is from those expected, from the tables of its sets: see `levelFrom`. */
export const hoursFrom = (table: GridTable): ReturnType<typeof levelFrom> =>
  levelFrom(
    table,
    axes.hours,
    seeds.measures.hours.scatter,
    { centre: 0, sd: seeds.measures.hours.level_sd },
    (hours) => hours,
  );

const at = (axis: Axis, i: number): number => axis.first + i * axis.step;

/** A value known up to a standard error, for each scatter of the stream. */
export function valueTable(stream: MeasureName, value: number, se: number): GridTable {
  const axis = axes[stream];
  const { scatter } = seeds.measures[stream];
  const out = new Float64Array(scatter.length * axis.length);
  scatter.forEach((one, k) => {
    const variance = se * se + one.value ** 2;
    for (let i = 0; i < axis.length; i++) {
      const d = value - at(axis, i);
      // One wild value must not decide: tails of Student's t with four degrees of freedom.
      out[k * axis.length + i] =
        -2.5 * Math.log1p((d * d) / variance / 4) - 0.5 * Math.log(variance);
    }
  });
  return out;
}

/** Spreads of a hatch that are tried beside its mean: the usual, and two either side. */
const SPREADS = [-1.6, -0.8, 0, 0.8, 1.6] as const;
const BAND = [0.06, 0.24, 0.4, 0.24, 0.06] as const;

/** P(Z <= z), good to 1e-7: Abramowitz & Stegun 26.2.17. Tables need no more, and need many. */
function normalBelow(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    0.3989422804014327 *
    Math.exp(-0.5 * z * z) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z < 0 ? tail : 1 - tail;
}

/** A chick that no spread explains (a hand that slipped) counts as this likely, not as impossible. */
const STRAY = 1e-5;

/** Log likelihood of cells at a mean and a spread. Shares of a set have edges in common: each is worked out once. */
function likelihoodOf(cells: readonly TimedCell[]): (mean: number, sd: number) => number {
  const edges = [...new Set(cells.flatMap(({ from, to }) => [from, to]))];
  const below = new Float64Array(edges.length);
  const spans: { from: number; to: number; log: number }[] = [];
  const chicks = cells.map(({ from, to, count }) => {
    const [first, last] = [edges.indexOf(from), edges.indexOf(to)];
    const known = spans.find((one) => one.from === first && one.to === last);
    const span = known ?? { from: first, to: last, log: 0 };
    if (!known) spans.push(span);
    return { span, count };
  });
  return (mean, sd) => {
    for (let i = 0; i < below.length; i++) below[i] = normalBelow((edges[i]! - mean) / sd);
    for (const span of spans) span.log = Math.log(STRAY + below[span.to]! - below[span.from]!);
    let sum = 0;
    for (const { span, count } of chicks) sum += count * span.log;
    return sum;
  };
}

/** Means that are tried beside a spread: a wide normal around the hour expected, in standard deviations. */
const MEAN_SD = 12;
const MEANS = Array.from({ length: 25 }, (_, i) => (i - 12) / 4);

/** Chicks of one set are alike by more than chance, so they count as fewer. */
const CHICKS_COUNT_AS = 12;

/** A table smoothed by each scatter of its stream. */
function smoothed(stream: 'hours' | 'spread', logs: Float64Array): GridTable {
  const { scatter } = seeds.measures[stream];
  const out = new Float64Array(scatter.length * logs.length);
  scatter.forEach((one, k) => {
    saidOfParent(
      logs,
      axes[stream],
      one.value,
      out.subarray(k * logs.length, (k + 1) * logs.length),
    );
  });
  return out;
}

/**
 * Hours (beyond those expected) of one set, from chicks counted between looks: an interval-censored
 * normal likelihood, its spread integrated out.
 */
export function hoursTable(cells: readonly TimedCell[]): GridTable {
  const { hours } = axes;
  const { usual, level_sd: sd } = seeds.measures.spread;
  const chicks = cells.reduce((sum, cell) => sum + cell.count, 0);
  const thin = Math.min(1, CHICKS_COUNT_AS / Math.max(1, chicks));
  const likelihood = likelihoodOf(cells.map((cell) => ({ ...cell, count: cell.count * thin })));
  const bands = SPREADS.map((z, j) => ({
    log: Math.log(BAND[j]!),
    sd: usual * Math.exp(1.5 * sd * z),
  }));
  const ofMean = Float64Array.from({ length: hours.length }, (_, i) =>
    logSum(bands.map((band) => band.log + likelihood(at(hours, i), band.sd))),
  );
  return smoothed('hours', ofMean);
}

/** The same of the log spread (beyond the usual), the mean integrated out. */
export function spreadTable(cells: readonly TimedCell[]): GridTable {
  const { spread } = axes;
  const { usual } = seeds.measures.spread;
  const likelihood = likelihoodOf(cells);
  // The spread is smooth, so every third cell is worked out and the others lie between. The first
  // cell reaches back to transfer, so its middle says nothing of the mean: that is integrated out.
  const coarse = Float64Array.from({ length: Math.ceil(spread.length / 3) + 1 }, (_, i) => {
    const own = usual * Math.exp(spread.first + 3 * i * spread.step);
    return logSum(MEANS.map((z) => likelihood(MEAN_SD * z, own) - 0.5 * z * z));
  });
  const ofSpread = Float64Array.from({ length: spread.length }, (_, i) => {
    const low = Math.floor(i / 3);
    const part = i / 3 - low;
    return (1 - part) * coarse[low]! + part * coarse[low + 1]!;
  });
  return smoothed('spread', ofSpread);
}
