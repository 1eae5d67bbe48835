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

/** Counts above this go by the gamma function: to multiply one by one would take longer. */
const MOST_FACTORS = 192;

/** ln Γ(x) but for a constant, for x > 0: by Stirling's series after shifting x up (Abramowitz & Stegun 6.1.41). */
function lnGamma(x: number): number {
  let shift = 0;
  let z = x;
  while (z < 10) {
    shift -= Math.log(z);
    z += 1;
  }
  const r = 1 / (z * z);
  return shift + (z - 0.5) * Math.log(z) - z + (1 / 12 - (1 / 360 - r / 1260) * r) / z;
}

/** ln Γ(x + n) - ln Γ(x) for x > 0. */
const logRising = (x: number, n: number): number => lnGamma(x + n) - lnGamma(x);

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

/** Chances of failing and of passing at each cell of `oddsAxis`. */
const cellsOf = (sign: number): readonly number[] =>
  Array.from({ length: oddsAxis.length }, (_, i) =>
    logistic(sign * (oddsAxis.first + i * oddsAxis.step)),
  );
const failing = cellsOf(1);
const passing = cellsOf(-1);

/** A product below this is put aside as a log, before it loses its digits. */
const LEAST_PRODUCT = 1e-200;

/** Factors that are multiplied before the product is looked at: none is so far from one that it matters. */
const AT_ONCE = 16;

/** ln of a (a + step) (a + 2 step) …, of so many factors. */
function logProduct(a: number, step: number, factors: number): number {
  let log = 0;
  let product = 1;
  for (let j = 0; j < factors; ) {
    for (const end = Math.min(factors, j + AT_ONCE); j < end; j++) product *= a + j * step;
    if (product > LEAST_PRODUCT && product < 1 / LEAST_PRODUCT) continue;
    log += Math.log(product);
    product = 1;
  }
  return log + Math.log(product);
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
    const theta = value / (1 - value);
    const many = most > MOST_FACTORS;
    if (many && value < LEAST_CORRELATION) {
      for (let i = 0; i < length; i++)
        out[k * length + i] = likelihoodAt(failed, most, oddsAxis.first + i * oddsAxis.step, value);
      return;
    }
    const strength = 1 / value - 1;
    const every = many ? logRising(strength, most) : logProduct(1, theta, most);
    for (let i = 0; i < length; i++)
      out[k * length + i] =
        (many
          ? logRising(failing[i]! * strength, failed) +
            logRising(passing[i]! * strength, most - failed)
          : logProduct(failing[i]!, theta, failed) +
            logProduct(passing[i]!, theta, most - failed)) - every;
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
    over(axis, (at) => {
      const z = (at - mean) / sd;
      return -0.5 * z * z;
    }),
  );
}

/** A row of what a function is at each cell of an axis. */
export function over(axis: Axis, of: (at: number) => number): Float64Array {
  const out = new Float64Array(axis.length);
  for (let i = 0; i < out.length; i++) out[i] = of(axis.first + i * axis.step);
  return out;
}

/** Logs shifted in their place so that they sum, as weights, to one. */
export function normalised(logs: Float64Array): Float64Array {
  const total = logSum(logs);
  for (let i = 0; i < logs.length; i++) logs[i]! -= total;
  return logs;
}

export function logSum(logs: ArrayLike<number>): number {
  const best = highest(logs);
  if (best === Number.NEGATIVE_INFINITY) return best;
  let sum = 0;
  for (let i = 0; i < logs.length; i++) if (logs[i]! > best - 40) sum += Math.exp(logs[i]! - best);
  return best + Math.log(sum);
}

/** A normal step on an axis: weights by the cells gone, either way, and of so many cells and more. */
type Kernel = {
  readonly reach: number;
  readonly weights: Float64Array;
  readonly beyond: Float64Array;
};

const kernels = new WeakMap<Axis, Map<number, Kernel>>();
const MOST_KERNELS = 1000;

/** The kernel of a normal step of this sd, four of them wide; all its weights sum to one. */
function kernelOf(axis: Axis, sd: number): Kernel {
  let own = kernels.get(axis);
  if (!own || own.size > MOST_KERNELS) {
    own = new Map();
    kernels.set(axis, own);
  }
  const known = own.get(sd);
  if (known) return known;
  const reach = Math.min(axis.length - 1, Math.ceil((4 * sd) / axis.step));
  const weights = new Float64Array(reach + 1);
  let sum = 0;
  for (let j = 0; j <= reach; j++) {
    weights[j] = sd > 0 ? Math.exp(-0.5 * ((j * axis.step) / sd) ** 2) : j === 0 ? 1 : 0;
    sum += (j === 0 ? 1 : 2) * weights[j]!;
  }
  const beyond = new Float64Array(reach + 2);
  for (let j = reach; j >= 0; j--) {
    weights[j]! /= sum;
    beyond[j] = beyond[j + 1]! + weights[j]!;
  }
  const made = { reach, weights, beyond };
  own.set(sd, made);
  return made;
}

/** A row with room for a kernel at both ends, in one place for all: it is read before the next is made. */
let padded = new Float64Array(512);

/** The mean around each cell of the padded row, weighed by a kernel. */
function smoothed({ reach, weights }: Kernel, into: Float64Array): Float64Array {
  const row = padded;
  const middle = weights[0]!;
  for (let i = 0; i < into.length; i++) {
    const at = i + reach;
    let sum = middle * row[at]!;
    for (let j = 1; j <= reach; j++) sum += weights[j]! * (row[at - j]! + row[at + j]!);
    into[i] = sum;
  }
  return into;
}

/** Weights (not logs) spread by a normal of `sd`; what would fall off an end stays at it. */
export function spreadOut(weights: Float64Array, axis: Axis, sd: number): Float64Array {
  if (sd < axis.step / 8) return weights;
  const kernel = kernelOf(axis, sd);
  const { reach, beyond } = kernel;
  const { length } = weights;
  if (padded.length < length + 2 * reach) padded = new Float64Array(length + 2 * reach);
  padded.fill(0, 0, reach);
  padded.set(weights, reach);
  padded.fill(0, reach + length, length + 2 * reach);
  const out = smoothed(kernel, new Float64Array(length));
  for (let i = 0; i < reach; i++) {
    out[0]! += weights[i]! * beyond[i + 1]!;
    out[length - 1]! += weights[length - 1 - i]! * beyond[i + 1]!;
  }
  return out;
}

/** A row with room for a kernel at both ends, in which the ends go on as they are. */
function endsHeld({ reach }: Kernel, length: number, of: (i: number) => number): void {
  const end = reach + length;
  if (padded.length < end + reach) padded = new Float64Array(end + reach);
  for (let i = 0; i < length; i++) padded[i + reach] = of(i);
  padded.fill(padded[reach]!, 0, reach);
  padded.fill(padded[end - 1]!, end, end + reach);
}

/** What is expected of values after a normal step of `sd` from each cell: `spreadOut` seen from there. */
export function afterStep(values: Float64Array, axis: Axis, sd: number): Float64Array {
  const kernel = kernelOf(axis, sd);
  endsHeld(kernel, values.length, (i) => values[i]!);
  return smoothed(kernel, new Float64Array(values.length));
}

/**
 * What a child at `u` says of its parent, a normal step of `sd` away: logs in, logs out. It is the
 * transpose of `spreadOut`. `into`, where given, takes the result.
 */
export function saidOfParent(
  logs: Float64Array,
  axis: Axis,
  sd: number,
  into = new Float64Array(logs.length),
): Float64Array {
  const best = highest(logs);
  const kernel = kernelOf(axis, sd);
  endsHeld(kernel, logs.length, (i) => Math.exp(logs[i]! - best));
  smoothed(kernel, into);
  for (let i = 0; i < into.length; i++) into[i] = Math.log(Math.max(1e-300, into[i]!)) + best;
  return into;
}

/** The largest of a row; -Infinity of none. */
export function highest(row: ArrayLike<number>): number {
  let best = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < row.length; i++) if (row[i]! > best) best = row[i]!;
  return best;
}

/** Index of the first entry of a cumulated row above a number. */
export function firstAbove(row: readonly number[], value: number): number {
  let low = 0;
  let high = row.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (row[middle]! > value) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Running sums of weights, scaled to end at one, in their place. */
export function cumulated(weights: number[]): readonly number[] {
  let sum = 0;
  for (let i = 0; i < weights.length; i++) {
    sum += weights[i]!;
    weights[i] = sum;
  }
  for (let i = 0; i < weights.length; i++) weights[i]! /= sum;
  return weights;
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
