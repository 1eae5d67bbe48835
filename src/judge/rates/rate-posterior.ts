/**
 * What counts say of one stage's rate, farm by pen by set.
 *
 * The rate of a set is Beta around that of its unit (a pen, or a line in a year) with intraclass
 * correlation `within`; a unit's is Beta around the farm's with correlation `between`; the farm's is
 * Beta with the prior's mean and strength. Both correlations are themselves unsure: `within` has a
 * wide prior around the expected one and is weighed by the beta-binomial likelihood of the sets
 * (Skellam 1948), `between` has three values. The posterior is worked out on a grid over farm rate,
 * unit rates and correlations, so that units borrow from each other (partial pooling) and the rates
 * of two pens drawn from it move together as far as what they share is unknown. Drawing each
 * pen from its own interval alone would make a sum over pens look surer than it is.
 */
/** Counts of one set: each of `n` passes with chance `kept × rate ^ power` of the set's rate. */
export interface SetCount {
  x: number;
  n: number;
  /** Share that storage leaves; 1 if none is lost. */
  kept: number;
  /** Share of the stage that lies behind: below 1 for birds not yet of age. */
  power: number;
}

export interface Unit {
  name: string;
  sets: readonly SetCount[];
}

export interface BetaPrior {
  mean: number;
  strength: number;
}

/** Mean, standard deviation and 95 % interval. */
export interface Interval {
  mean: number;
  sd: number;
  low: number;
  high: number;
}

export interface RatePosterior {
  /** Mean and 95 % interval of a unit's rate; a name without counts has the farm's, spread by pens. */
  unit(name: string): Interval;
  /** Correlation of eggs within a set. */
  within: Interval;
  /** Correlation of eggs within a unit. */
  between: number;
  /** Log of the probability of all counts, for comparing covariates. */
  logEvidence: number;
  /** Draws rates of several units together; `uniform` gives numbers from 0 to 1. */
  draw(
    units: readonly string[],
    draws: number,
    uniform: () => number,
  ): { rates: Float64Array[]; within: Float64Array };
}

// The grid of unit rates on the logit scale: wide enough for 0.25 % to 99.99 %, and finer than
// what some hundreds of counts can tell.
const LOWEST = -6;
const HIGHEST = 9;
const STEP = 0.125;
const CELLS = Math.round((HIGHEST - LOWEST) / STEP) + 1;
const logistic = (z: number) => 1 / (1 + Math.exp(-z));
const logit = (p: number) => Math.log(p / (1 - p));
/** Logs of the rates of a row of logits, and of their complements. */
const logRates = (logits: Float64Array) => ({
  passing: logits.map((z) => -Math.log1p(Math.exp(-z))),
  failing: logits.map((z) => -Math.log1p(Math.exp(z))),
});
const cells = logRates(Float64Array.from({ length: CELLS }, (_, i) => LOWEST + i * STEP));

/** Farm rates: so many points over what the prior holds possible. */
const FARM_POINTS = 41;
/** Tails of the prior left out on each side, in its standard deviations on the logit scale. */
const FARM_REACH = 4.5;

// Multiples of the expected correlation within sets, with the density of a lognormal of mean one
// and a twentieth for none at all; its long tail lets a farm be far more uneven than expected.
const WITHIN_MULTIPLES = [0.15, 0.3, 0.5, 0.8, 1.2, 1.8, 2.8, 4.5, 7] as const;
const WITHIN_SIGMA = 0.75;
const NO_SPREAD = 0.05;
const BETWEEN_MULTIPLES = [0.3, 1, 2.5] as const;
const BETWEEN_WEIGHTS = [0.3, 0.45, 0.25] as const;
const MOST_CORRELATION = 0.9;

/** A value tried, and how much it is believed. */
export interface Weighted {
  value: number;
  weight: number;
}

/** What is expected of the correlation within sets before any counts. */
export function withinPrior(expected: number): Weighted[] {
  if (expected <= 0) return [{ value: 0, weight: 1 }];
  const centre = -(WITHIN_SIGMA ** 2) / 2;
  const density = WITHIN_MULTIPLES.map((multiple, i) => {
    const at = (j: number) => Math.log(WITHIN_MULTIPLES[j] ?? WITHIN_MULTIPLES[i]!);
    const width = (at(i + 1) - at(i - 1)) / 2;
    return Math.exp(-0.5 * ((Math.log(multiple) - centre) / WITHIN_SIGMA) ** 2) * width;
  });
  const sum = density.reduce((a, b) => a + b, 0);
  return [
    { value: 0, weight: NO_SPREAD },
    ...WITHIN_MULTIPLES.map((multiple, i) => ({
      value: Math.min(MOST_CORRELATION, multiple * expected),
      weight: ((1 - NO_SPREAD) * density[i]!) / sum,
    })),
  ];
}

function betweenPrior(expected: number): Weighted[] {
  if (expected <= 0) return [{ value: 0, weight: 1 }];
  return BETWEEN_MULTIPLES.map((multiple, i) => ({
    value: Math.min(MOST_CORRELATION, multiple * expected),
    weight: BETWEEN_WEIGHTS[i]!,
  }));
}

/** Weights of Beta(a, b) over rates equally spaced on the logit scale, given their logs; sum 1. */
function betaWeights(passing: Float64Array, failing: Float64Array, a: number, b: number) {
  const out = new Float64Array(passing.length);
  let best = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < out.length; i++) {
    out[i] = a * passing[i]! + b * failing[i]!;
    if (out[i]! > best) best = out[i]!;
  }
  let sum = 0;
  for (let i = 0; i < out.length; i++) {
    out[i] = Math.exp(out[i]! - best);
    sum += out[i]!;
  }
  for (let i = 0; i < out.length; i++) out[i]! /= sum;
  return out;
}

interface Farm {
  /** Logits and weights of the farm's rate. */
  logits: Float64Array;
  weights: Float64Array;
  /** Width of a cell on the logit scale. */
  step: number;
  between: readonly Weighted[];
  /** Weights over unit rates, by correlation between units and farm rate; none where units are alike. */
  units: readonly (readonly Float64Array[])[] | null;
}

const farms = new Map<string, Farm>();
const MOST_FARMS = 500;

/** The grid of farm and unit rates before any counts: the same prior is asked for again and again. */
function farmOf(prior: BetaPrior, between: number): Farm {
  const key = `${prior.mean} ${prior.strength} ${between}`;
  const known = farms.get(key);
  if (known) return known;
  const a = prior.mean * prior.strength;
  const b = (1 - prior.mean) * prior.strength;
  // Standard deviation of the logit of a beta: near enough to say how far the grid must reach.
  const sd = Math.sqrt(1 / a + 1 / b);
  const low = Math.max(LOWEST, logit(prior.mean) - FARM_REACH * sd);
  const high = Math.min(HIGHEST, logit(prior.mean) + FARM_REACH * sd);
  const step = (high - low) / (FARM_POINTS - 1);
  const logits = Float64Array.from({ length: FARM_POINTS }, (_, i) => low + i * step);
  const own = logRates(logits);
  const weights = betaWeights(own.passing, own.failing, a, b);
  const correlations = betweenPrior(between);
  const units =
    between <= 0
      ? null
      : correlations.map(({ value }) =>
          Array.from(logits, (z) => {
            const strength = 1 / value - 1;
            const mean = logistic(z);
            return betaWeights(
              cells.passing,
              cells.failing,
              mean * strength,
              (1 - mean) * strength,
            );
          }),
        );
  const made = { logits, weights, step, between: correlations, units };
  if (farms.size >= MOST_FARMS) farms.clear();
  farms.set(key, made);
  return made;
}

/** Sums of logs for the beta-binomial at one mean and correlation, up to some count. */
interface LogTable {
  pass: Float64Array;
  fail: Float64Array;
}

/** Tables of one correlation by cell, kept: the same few are asked for by every stage and season. */
const tables = new Map<number, (LogTable | undefined)[]>();
/** Cells below LOWEST and above HIGHEST for chances that storage and age move off the row. */
const BELOW = Math.ceil(8 / STEP);
const ABOVE = Math.ceil(4 / STEP);
const ALL_CELLS = CELLS + BELOW + ABOVE;
const SMALLEST_TABLE = 64;

function logTable(theta: number, z: number, most: number): LogTable {
  let size = SMALLEST_TABLE;
  while (size < most) size *= 2;
  const mean = logistic(z);
  const rest = logistic(-z);
  const pass = new Float64Array(size + 1);
  const fail = new Float64Array(size + 1);
  for (let j = 0; j < size; j++) {
    pass[j + 1] = pass[j]! + Math.log(mean + j * theta);
    fail[j + 1] = fail[j]! + Math.log(rest + j * theta);
  }
  return { pass, fail };
}

/** The table of a cell of the row of unit rates; 0 is LOWEST. */
function tableOfCell(theta: number, cell: number, most: number): LogTable {
  let own = tables.get(theta);
  if (!own) {
    own = new Array<LogTable | undefined>(ALL_CELLS);
    tables.set(theta, own);
  }
  const known = own[cell + BELOW];
  if (known && known.pass.length > most) return known;
  const made = logTable(theta, LOWEST + cell * STEP, most);
  own[cell + BELOW] = made;
  return made;
}

/** Log likelihood of sets over a row of rates (as logits, equally spaced), one correlation after the other. */
function logLikelihoods(
  sets: readonly SetCount[],
  row: { first: number; step: number; length: number },
  within: readonly Weighted[],
): Float64Array[] {
  const most = sets.reduce((n, set) => Math.max(n, Math.round(set.n)), 0);
  const isCells = row.step === STEP && row.first === LOWEST;
  const counted = sets.filter((set) => set.n > 0);
  const plain = counted.filter((set) => set.kept === 1 && set.power === 1);
  const moved = counted
    .filter((set) => set.kept !== 1 || set.power !== 1)
    .map((set) => ({ set, at: positions(set, row) }));
  return within.map(({ value }) => {
    const theta = value / (1 - value);
    const every = new Float64Array(most + 1);
    for (let j = 0; j < most; j++) every[j + 1] = every[j]! + Math.log1p(j * theta);
    const out = new Float64Array(row.length);
    for (let i = 0; plain.length > 0 && i < row.length; i++) {
      const table = isCells
        ? tableOfCell(theta, i, most)
        : logTable(theta, row.first + i * row.step, most);
      for (const set of plain) {
        const n = Math.round(set.n);
        const x = Math.min(n, Math.round(set.x));
        out[i]! += table.pass[x]! + table.fail[n - x]! - every[n]!;
      }
    }
    for (const { set, at } of moved) {
      const n = Math.round(set.n);
      const x = Math.min(n, Math.round(set.x));
      for (let i = 0; i < row.length; i++) {
        const below = Math.floor(at[i]!);
        const share = at[i]! - below;
        const low = tableOfCell(theta, below, most);
        const high = tableOfCell(theta, below + 1, most);
        out[i]! +=
          (1 - share) * (low.pass[x]! + low.fail[n - x]!) +
          share * (high.pass[x]! + high.fail[n - x]!) -
          every[n]!;
      }
    }
    return out;
  });
}

/** Where a set's chance lies among the cells of unit rates: storage and age move it below its rate. */
function positions(set: SetCount, row: { first: number; step: number; length: number }) {
  const out = new Float64Array(row.length);
  for (let i = 0; i < out.length; i++) {
    const mean = set.kept * logistic(row.first + i * row.step) ** set.power;
    const z = logit(Math.min(1 - 1e-5, Math.max(1e-6, mean)));
    out[i] = Math.min(CELLS + ABOVE - 2, Math.max(-BELOW, (z - LOWEST) / STEP));
  }
  return out;
}

/** A likelihood scaled to a largest value of one, and the log taken out of it. */
function scaled(logs: Float64Array): { values: Float64Array; log: number } {
  let best = Number.NEGATIVE_INFINITY;
  for (const log of logs) if (log > best) best = log;
  return { values: logs.map((log) => Math.exp(log - best)), log: best };
}

/** Index of the first entry of a cumulative row above a number. */
function above(cumulative: Float64Array, value: number): number {
  let low = 0;
  let high = cumulative.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (cumulative[middle]! > value) high = middle;
    else low = middle + 1;
  }
  return low;
}

function cumulated(weights: Float64Array): Float64Array {
  const out = new Float64Array(weights.length);
  let sum = 0;
  for (let i = 0; i < out.length; i++) {
    sum += weights[i]!;
    out[i] = sum;
  }
  for (let i = 0; i < out.length; i++) out[i]! /= sum;
  return out;
}

/** Mean and 95 % interval of a distribution over cells of a logit row. */
function intervalOver(weights: Float64Array, first: number, step: number): Interval {
  const cumulative = cumulated(weights);
  let mean = 0;
  let square = 0;
  let before = 0;
  weights.forEach((_, i) => {
    const rate = logistic(first + i * step);
    mean += (cumulative[i]! - before) * rate;
    square += (cumulative[i]! - before) * rate * rate;
    before = cumulative[i]!;
  });
  const sd = Math.sqrt(Math.max(0, square - mean * mean));
  const quantile = (p: number): number => {
    const i = above(cumulative, p);
    const start = i === 0 ? 0 : cumulative[i - 1]!;
    const share = (p - start) / Math.max(1e-300, cumulative[i]! - start);
    return logistic(first + (i - 0.5 + share) * step);
  };
  return { mean, sd, low: quantile(0.025), high: quantile(0.975) };
}

export function intervalOf(points: readonly Weighted[]): Interval {
  const sorted = [...points].sort((a, b) => a.value - b.value);
  const quantile = (p: number): number => {
    let sum = 0;
    for (const { value, weight } of sorted) {
      sum += weight;
      if (sum >= p) return value;
    }
    return sorted.at(-1)!.value;
  };
  const mean = sorted.reduce((sum, { value, weight }) => sum + value * weight, 0);
  return {
    mean,
    sd: Math.sqrt(sorted.reduce((sum, { value, weight }) => sum + weight * (value - mean) ** 2, 0)),
    low: quantile(0.025),
    high: quantile(0.975),
  };
}

/** Combinations of grid points less likely than this share of the likeliest are left out. */
const NEGLIGIBLE = 1e-7;

/**
 * The posterior of a stage. `spread` holds the correlations expected within sets and between units;
 * both may be 0.
 */
export function ratePosterior(
  prior: BetaPrior,
  spread: { within: number; between: number },
  units: readonly Unit[],
): RatePosterior {
  const farm = farmOf(prior, spread.between);
  const within = withinPrior(spread.within);
  const counted = units.filter((unit) => unit.sets.some((set) => set.n > 0));
  const row = farm.units
    ? { first: LOWEST, step: STEP, length: CELLS }
    : { first: farm.logits[0]!, step: farm.step, length: FARM_POINTS };
  const likelihoods = new Map(
    counted.map((unit) => [unit.name, logLikelihoods(unit.sets, row, within).map(scaled)]),
  );

  // One combination: correlation within, correlation between, farm rate.
  const combos = within.length * farm.between.length * FARM_POINTS;
  const at = (c: number) => ({
    w: Math.floor(c / (farm.between.length * FARM_POINTS)),
    b: Math.floor(c / FARM_POINTS) % farm.between.length,
    m: c % FARM_POINTS,
  });
  const logs = new Float64Array(combos);
  for (let c = 0; c < combos; c++) {
    const { w, b, m } = at(c);
    logs[c] = Math.log(
      Math.max(1e-300, farm.weights[m]! * within[w]!.weight * farm.between[b]!.weight),
    );
  }
  // Likelihood of each unit's counts, averaged over its rate, by combination.
  const averages = new Map<string, Float64Array>();
  for (const [name, likelihood] of likelihoods) {
    const own = new Float64Array(combos);
    averages.set(name, own);
    for (let c = 0; c < combos; c++) {
      const { w, b, m } = at(c);
      const { values, log: scale } = likelihood[w]!;
      let sum = 0;
      if (farm.units) {
        const weights = farm.units[b]![m]!;
        for (let i = 0; i < CELLS; i++) sum += weights[i]! * values[i]!;
      } else sum = values[m]!;
      own[c] = Math.max(1e-300, sum);
      logs[c]! += Math.log(own[c]!) + scale;
    }
  }
  const best = logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  const raw = logs.map((log) => Math.exp(log - best));
  const total = raw.reduce((a, b) => a + b, 0);
  const weights = raw.map((weight) => (weight < NEGLIGIBLE ? 0 : weight / total));

  /** Weights over the unit's rates within one combination. */
  const weightsIn = (name: string, c: number): Float64Array => {
    const { w, b, m } = at(c);
    const out = Float64Array.from(farm.units![b]![m]!);
    const values = likelihoods.get(name)?.[w]?.values;
    if (values) for (let i = 0; i < CELLS; i++) out[i]! *= values[i]!;
    return out;
  };
  const known = new Map<string, Interval>();

  return {
    unit(name) {
      const key = likelihoods.has(name) ? name : '';
      const ready = known.get(key);
      if (ready) return ready;
      const sum = new Float64Array(row.length);
      const average = averages.get(name);
      const likelihood = likelihoods.get(name);
      const ofWithin = new Float64Array(row.length);
      for (let c = 0; c < combos; c++) {
        const { w, b, m } = at(c);
        if (weights[c] !== 0) {
          const weight = weights[c]! / (average?.[c] ?? 1);
          if (farm.units) {
            const base = farm.units[b]![m]!;
            for (let i = 0; i < CELLS; i++) ofWithin[i]! += weight * base[i]!;
          } else sum[m]! += weights[c]!;
        }
        // The last combination of one correlation within sets: its likelihood comes in.
        if ((c + 1) % (farm.between.length * FARM_POINTS) !== 0) continue;
        const values = likelihood?.[w]?.values;
        for (let i = 0; i < row.length; i++) {
          sum[i]! += ofWithin[i]! * (values?.[i] ?? 1);
          ofWithin[i] = 0;
        }
      }
      const made = intervalOver(sum, row.first, row.step);
      known.set(key, made);
      return made;
    },
    within: intervalOf(
      within.map(({ value }, w) => ({
        value,
        weight: weights.reduce((sum, weight, c) => (at(c).w === w ? sum + weight : sum), 0),
      })),
    ),
    between: weights.reduce((sum, weight, c) => sum + weight * farm.between[at(c).b]!.value, 0),
    logEvidence: best + Math.log(total),
    draw(names, draws, uniform) {
      const cumulative = cumulated(weights);
      const out = names.map(() => new Float64Array(draws));
      const correlation = new Float64Array(draws);
      const ready = names.map(() => new Map<number, Float64Array>());
      for (let i = 0; i < draws; i++) {
        const c = above(cumulative, uniform());
        const { w, m } = at(c);
        correlation[i] = within[w]!.value;
        if (!farm.units) {
          // One rate for all units, anywhere in its cell.
          const rate = logistic(farm.logits[m]! + (uniform() - 0.5) * farm.step);
          for (const one of out) one[i] = rate;
          continue;
        }
        names.forEach((name, k) => {
          let rows = ready[k]!.get(c);
          if (!rows) {
            rows = cumulated(weightsIn(name, c));
            ready[k]!.set(c, rows);
          }
          const cell = above(rows, uniform());
          out[k]![i] = logistic(LOWEST + (cell + uniform() - 0.5) * STEP);
        });
      }
      return { rates: out, within: correlation };
    },
  };
}
