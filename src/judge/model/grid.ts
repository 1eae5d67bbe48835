/**
 * Likelihoods as tables: over a stretch cut into equal cells (log-odds of failing, hours, percent)
 * and over a few values of the scatter between sets. A hypothesis that moves a rate is the same
 * table read so many cells further on.
 */

/** A stretch cut into equal cells; `first` is the middle of the first. */
export type Axis = { readonly first: number; readonly step: number; readonly length: number };

/** A value tried, and how much it is believed. */
export type WeightedPoint = { readonly value: number; readonly weight: number };

/** Log likelihoods: one row of the axis after the other, a row for each scatter. */
export type GridTable = Float64Array;

/** Log-odds of failing: from 0.03 % to 99 %. */
export const oddsAxis: Axis = { first: -8, step: 0.15, length: 84 };

export const logistic = (z: number): number => 1 / (1 + Math.exp(-z));
export const logit = (p: number): number => Math.log(p / (1 - p));

/** Sums of logs up to some count, for one cell and correlation; grown when a longer one is asked. */
type LogSums = { fail: Float64Array; pass: Float64Array };
const sums = new Map<number, LogSums[]>();
const every = new Map<number, Float64Array>();
/** Counts above this go by the gamma function: a long table would cost more than it saves. */
const LONGEST_TABLE = 512;

function logSums(rho: number, cell: number, most: number): LogSums {
  const key = rho;
  const own = sums.get(key) ?? [];
  sums.set(key, own);
  const known = own[cell];
  if (known && known.fail.length > most) return known;
  let size = 64;
  while (size < most) size *= 2;
  const theta = rho / (1 - rho);
  const z = oddsAxis.first + cell * oddsAxis.step;
  const failing = logistic(z);
  const passing = logistic(-z);
  const fail = new Float64Array(size + 1);
  const pass = new Float64Array(size + 1);
  for (let j = 0; j < size; j++) {
    fail[j + 1] = fail[j]! + Math.log(failing + j * theta);
    pass[j + 1] = pass[j]! + Math.log(passing + j * theta);
  }
  const made = { fail, pass };
  own[cell] = made;
  return made;
}

function everySums(rho: number, most: number): Float64Array {
  const known = every.get(rho);
  if (known && known.length > most) return known;
  let size = 64;
  while (size < most) size *= 2;
  const theta = rho / (1 - rho);
  const out = new Float64Array(size + 1);
  for (let j = 0; j < size; j++) out[j + 1] = out[j]! + Math.log1p(j * theta);
  every.set(rho, out);
  return out;
}

/** ln Γ(x + n) - ln Γ(x) for x > 0, by Stirling's series after shifting x up (Abramowitz & Stegun 6.1.41). */
function logRising(x: number, n: number): number {
  const lnGamma = (y: number): number => {
    let shift = 0;
    let z = y;
    while (z < 10) {
      shift -= Math.log(z);
      z += 1;
    }
    const r = 1 / (z * z);
    return shift + (z - 0.5) * Math.log(z) - z + (1 / 12 - (1 / 360 - r / 1260) * r) / z;
  };
  return lnGamma(x + n) - lnGamma(x);
}

/**
 * Log likelihood of `x` failures among `n` at a log-odds and a correlation within the unit: the
 * beta-binomial (Skellam 1948, J. R. Stat. Soc. B 10:257) without its binomial coefficient.
 */
export function likelihoodAt(x: number, n: number, z: number, rho: number): number {
  if (rho < LEAST_CORRELATION) {
    // So little scatter: a binomial of the effective number.
    const thin = 1 / (1 + (n - 1) * rho);
    return -thin * (x * Math.log1p(Math.exp(-z)) + (n - x) * Math.log1p(Math.exp(z)));
  }
  const strength = 1 / rho - 1;
  const a = logistic(z) * strength;
  const b = logistic(-z) * strength;
  return logRising(a, x) + logRising(b, n - x) - logRising(strength, n);
}

/** Below this the gamma functions of the beta-binomial cancel each other's digits. */
const LEAST_CORRELATION = 1e-3;

/** The same at a cell of the log-odds axis: from tables where counts are small. */
function likelihoodIn(x: number, n: number, cell: number, rho: number): number {
  if (n > LONGEST_TABLE) return likelihoodAt(x, n, oddsAxis.first + cell * oddsAxis.step, rho);
  const table = logSums(rho, cell, n);
  return table.fail[x]! + table.pass[n - x]! - everySums(rho, n)[n]!;
}

/** Tables of counts already worked out: the same small counts come again and again. */
const countTables = new Map<readonly WeightedPoint[], Map<number, GridTable>>();
const MOST_TABLES = 4000;

/** The table of one unit's counts over `oddsAxis`, for each correlation. Shared: do not change it. */
export function countTable(
  x: number,
  n: number,
  correlations: readonly WeightedPoint[],
): GridTable {
  const most = Math.round(n);
  const failed = Math.min(most, Math.max(0, Math.round(x)));
  const key = most * 1e7 + failed;
  let own = countTables.get(correlations);
  if (!own || own.size > MOST_TABLES) {
    own = new Map();
    countTables.set(correlations, own);
  }
  const known = own.get(key);
  if (known) return known;
  const made = countTableOf(failed, most, correlations);
  own.set(key, made);
  return made;
}

function countTableOf(
  failed: number,
  most: number,
  correlations: readonly WeightedPoint[],
): GridTable {
  const { length } = oddsAxis;
  const out = new Float64Array(correlations.length * length);
  correlations.forEach(({ value }, k) => {
    for (let i = 0; i < length; i++) out[k * length + i] = likelihoodIn(failed, most, i, value);
  });
  return out;
}

/** A table moved so that what stood at `u + by` stands at `u`; the ends are held. */
export function moved(table: GridTable, axis: Axis, by: number): GridTable {
  const cells = by / axis.step;
  const whole = Math.floor(cells);
  const part = cells - whole;
  const { length } = axis;
  const out = new Float64Array(table.length);
  for (let k = 0; k < table.length; k += length)
    for (let i = 0; i < length; i++) {
      const low = Math.min(length - 1, Math.max(0, i + whole));
      const high = Math.min(length - 1, low + (i + whole < 0 ? 0 : 1));
      out[k + i] = (1 - part) * table[k + low]! + part * table[k + high]!;
    }
  return out;
}

export function addTo(sum: GridTable, more: GridTable, sign = 1): GridTable {
  for (let i = 0; i < sum.length; i++) sum[i]! += sign * more[i]!;
  return sum;
}

/** Log weights over an axis of a normal distribution; they sum to one. */
export function normalWeights(axis: Axis, mean: number, sd: number): Float64Array {
  return normalised(
    Float64Array.from({ length: axis.length }, (_, i) => {
      const z = (axis.first + i * axis.step - mean) / sd;
      return -0.5 * z * z;
    }),
  );
}

/** Logs shifted so that they sum, as weights, to one. */
export function normalised(logs: Float64Array): Float64Array {
  const total = logSum(logs);
  return logs.map((log) => log - total);
}

export function logSum(logs: ArrayLike<number>): number {
  let best = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < logs.length; i++) if (logs[i]! > best) best = logs[i]!;
  if (best === Number.NEGATIVE_INFINITY) return best;
  let sum = 0;
  for (let i = 0; i < logs.length; i++) if (logs[i]! > best - 40) sum += Math.exp(logs[i]! - best);
  return best + Math.log(sum);
}

/** The kernel of a normal step of this sd on an axis, as weights from -reach to reach cells. */
function kernelOf(axis: Axis, sd: number): Float64Array {
  const reach = Math.min(axis.length - 1, Math.ceil((4 * sd) / axis.step));
  const raw = Float64Array.from({ length: 2 * reach + 1 }, (_, i) =>
    sd <= 0 ? (i === reach ? 1 : 0) : Math.exp(-0.5 * (((i - reach) * axis.step) / sd) ** 2),
  );
  const sum = raw.reduce((a, b) => a + b, 0);
  return raw.map((w) => w / sum);
}

/** Weights (not logs) spread by a normal of `sd`; what would fall off an end stays at it. */
export function spreadOut(weights: Float64Array, axis: Axis, sd: number): Float64Array {
  if (sd < axis.step / 8) return weights;
  const kernel = kernelOf(axis, sd);
  const reach = (kernel.length - 1) / 2;
  const out = new Float64Array(weights.length);
  const last = weights.length - 1;
  for (let i = 0; i <= last; i++) {
    const from = weights[i]!;
    if (from === 0) continue;
    for (let j = -reach; j <= reach; j++)
      out[Math.min(last, Math.max(0, i + j))]! += from * kernel[j + reach]!;
  }
  return out;
}

/**
 * What a child at `u` says of its parent, a normal step of `sd` away: logs in, logs out. It is the
 * transpose of `spreadOut`.
 */
export function gathered(logs: Float64Array, axis: Axis, sd: number): Float64Array {
  const best = logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  const from = logs.map((log) => Math.exp(log - best));
  const kernel = kernelOf(axis, sd);
  const reach = (kernel.length - 1) / 2;
  const last = logs.length - 1;
  return from.map((_, i) => {
    let sum = 0;
    for (let j = -reach; j <= reach; j++)
      sum += kernel[j + reach]! * from[Math.min(last, Math.max(0, i + j))]!;
    return Math.log(Math.max(1e-300, sum)) + best;
  });
}

/** Index of the first entry of a cumulated row above a number. */
export function firstAbove(row: Float64Array, value: number): number {
  let low = 0;
  let high = row.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (row[middle]! > value) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Running sums of weights, scaled to end at one. */
export function cumulated(weights: Float64Array): Float64Array {
  const out = new Float64Array(weights.length);
  let sum = 0;
  for (let i = 0; i < out.length; i++) {
    sum += weights[i]!;
    out[i] = sum;
  }
  for (let i = 0; i < out.length; i++) out[i]! /= sum;
  return out;
}

/** Mean, standard deviation and 95 % interval of a distribution over an axis, through `of`. */
export function summaryOver(
  weights: Float64Array,
  axis: Axis,
  of: (at: number) => number,
): { mean: number; sd: number; low: number; high: number } {
  let total = 0;
  let mean = 0;
  let square = 0;
  for (let i = 0; i < weights.length; i++) {
    const value = of(axis.first + i * axis.step);
    total += weights[i]!;
    mean += weights[i]! * value;
    square += weights[i]! * value * value;
  }
  mean /= total;
  const quantile = (p: number): number => {
    let sum = 0;
    for (let i = 0; i < weights.length; i++) {
      const next = sum + weights[i]! / total;
      if (next >= p || i === weights.length - 1) {
        const part = weights[i]! > 0 ? (p - sum) / (weights[i]! / total) : 0.5;
        return of(axis.first + (i - 0.5 + part) * axis.step);
      }
      sum = next;
    }
    return of(axis.first);
  };
  const ends = [quantile(0.025), quantile(0.975)].sort((a, b) => a - b);
  return {
    mean,
    sd: Math.sqrt(Math.max(0, square / total - mean * mean)),
    low: ends[0]!,
    high: ends[1]!,
  };
}
