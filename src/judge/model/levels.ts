/**
 * The fit of one rate: kind → farm → year → unit (a pen or a line in that year) → set.
 *
 * All levels lie on the log-odds. The farm's is expected where the prior of the kind is, a Beta; a
 * year's lies a normal step from the farm's, a unit's a normal step from its year's, and eggs of a set
 * are alike by an intraclass correlation (beta-binomial: Skellam 1948, J. R. Stat. Soc. B 10:257). Sizes
 * of the steps and the correlation are unsure themselves, and are integrated out. As the levels form a
 * tree and each is cut into cells, the posterior is worked out by passing messages up and down it
 * (Pearl 1988, Probabilistic Reasoning in Intelligent Systems, ch. 4), exact but for the cells. What is
 * unknown of a year is unknown of all its pens at once: pens drawn from it have their bad years together.
 * A male who was here before brings what he showed then: see `Unit`.
 */
import {
  type Axis,
  addTo,
  afterStep,
  countTable,
  cumulated,
  firstAbove,
  type GridTable,
  highest,
  likelihoodAt,
  logistic,
  logit,
  logSum,
  normalised,
  oddsAxis,
  over,
  saidOfParent,
  spreadOut,
  summaryOver,
  type WeightedPoint,
} from './grid.ts';

/** Counts of one set: each of `n` passes with chance `kept × rate ^ power` of the set's rate. */
export interface SetCount {
  x: number;
  n: number;
  /** Share that storage leaves; 1 if none is lost. */
  kept: number;
  /** Share of the stage that lies behind: below 1 for birds not yet of age. */
  power: number;
}

/** Counts whose sets share a level: `name` begins with its year and a slash. */
export interface Unit {
  name: string;
  sets: readonly SetCount[];
  /** The unit of this season that has the same male: his earlier seasons hang from it, two years' steps away. */
  under?: string;
}

export interface BetaPrior {
  mean: number;
  strength: number;
}

/** Correlations expected before any counts: of eggs within a set, a unit and a year. */
export interface Spread {
  within: number;
  between: number;
  year: number;
}

/** Mean, standard deviation and 95 % interval. */
export interface Interval {
  mean: number;
  sd: number;
  low: number;
  high: number;
}

export interface RatePosterior {
  /** Mean and 95 % interval of a unit's rate; one without counts has its year's, else the farm's. */
  unit(name: string): Interval;
  /** Correlation of eggs within a set. */
  within: Interval;
  /** Log of the probability of all counts, for comparing covariates. */
  logEvidence: number;
  /** Draws rates of several units together, none under another; `uniform` gives numbers from 0 to 1. */
  draw(
    units: readonly string[],
    draws: number,
    uniform: () => number,
  ): { rates: Float64Array[]; within: Float64Array };
}

// Multiples of the expected correlation within sets, with the density of a lognormal of mean one
// and a twentieth for none at all; its long tail lets a farm be far more uneven than expected.
const WITHIN_MULTIPLES = [0.2, 0.5, 1, 2, 4, 7] as const;
const WITHIN_SIGMA = 0.75;
const NO_SPREAD = 0.05;
/** Multiples of the variance expected between units and between years. */
const STEP_MULTIPLES: readonly WeightedPoint[] = [
  { value: 0.3, weight: 0.3 },
  { value: 1, weight: 0.45 },
  { value: 2.5, weight: 0.25 },
];
const MOST_CORRELATION = 0.9;
const NONE: readonly WeightedPoint[] = [{ value: 0, weight: 1 }];

const withins = new Map<number, readonly WeightedPoint[]>();

/** What is expected of the correlation within sets before any counts. */
export function withinPrior(expected: number): readonly WeightedPoint[] {
  if (expected <= 0) return NONE;
  const known = withins.get(expected);
  if (known) return known;
  const centre = -(WITHIN_SIGMA ** 2) / 2;
  const density = WITHIN_MULTIPLES.map((multiple, i) => {
    const at = (j: number) => Math.log(WITHIN_MULTIPLES[j] ?? WITHIN_MULTIPLES[i]!);
    const width = (at(i + 1) - at(i - 1)) / 2;
    return Math.exp(-0.5 * ((Math.log(multiple) - centre) / WITHIN_SIGMA) ** 2) * width;
  });
  const sum = density.reduce((a, b) => a + b, 0);
  const made = [
    { value: 0, weight: NO_SPREAD },
    ...WITHIN_MULTIPLES.map((multiple, i) => ({
      value: Math.min(MOST_CORRELATION, multiple * expected),
      weight: ((1 - NO_SPREAD) * density[i]!) / sum,
    })),
  ];
  withins.set(expected, made);
  return made;
}

const passing = (z: number): number => logistic(-z);

/** The step, on the log-odds, that makes eggs around a mean rate alike by a correlation. */
export const sizeOfStep = (correlation: number, mean: number): number =>
  Math.sqrt(correlation / (mean * (1 - mean)));

/** From a male's season to another of his: a step of each of the two years. */
export const carryOf = (year: number): number => Math.SQRT2 * year;

/** Points of a farm's rate where all units share it, over what the prior holds possible. */
const FARM_POINTS = 81;
const FARM_REACH = 4.5;

/** The axis of levels: the common one, or a finer one around the prior where nothing but it varies. */
function axisOf(prior: BetaPrior, varies: boolean): Axis {
  if (varies) return oddsAxis;
  // Standard deviation of the log-odds of a beta: near enough to say how far the axis must reach.
  const sd = Math.sqrt(1 / (prior.mean * prior.strength) + 1 / ((1 - prior.mean) * prior.strength));
  const centre = logit(1 - prior.mean);
  const step = (2 * FARM_REACH * sd) / (FARM_POINTS - 1);
  return { first: centre - FARM_REACH * sd, step, length: FARM_POINTS };
}

/** Log weights of the prior's Beta over the log-odds of failing; they sum to one. */
function priorOver(axis: Axis, { mean, strength }: BetaPrior): Float64Array {
  return normalised(
    over(
      axis,
      (z) => -strength * (mean * Math.log1p(Math.exp(z)) + (1 - mean) * Math.log1p(Math.exp(-z))),
    ),
  );
}

const starts = new Map<string, Float64Array>();
const MOST_STARTS = 500;
const ROUNDS = 4;

/**
 * The farm's level before any counts. The table's mean is that of the rates seen, units and years with
 * their steps; steps on the log-odds pull the mean of the rates towards one half, so the farm's own
 * prior stands as much further out.
 */
function startOver(axis: Axis, prior: BetaPrior, spread: Spread): Float64Array {
  if (axis !== oddsAxis) return priorOver(axis, prior);
  const key = `${prior.mean} ${prior.strength} ${spread.between} ${spread.year}`;
  const known = starts.get(key);
  if (known) return known;
  // The rate to expect of a unit, by the farm's level.
  const rates = new Float64Array(axis.length);
  for (const { value, weight } of STEP_MULTIPLES) {
    const sd = sizeOfStep(value * (spread.between + spread.year), prior.mean);
    addTo(rates, afterStep(over(axis, passing), axis, sd), weight);
  }
  const wanted = logit(prior.mean);
  let own = wanted;
  let made = priorOver(axis, prior);
  for (let i = 0; i < ROUNDS; i++) {
    let seen = 0;
    for (let j = 0; j < made.length; j++) seen += Math.exp(made[j]!) * rates[j]!;
    own += wanted - logit(seen);
    made = priorOver(axis, { mean: logistic(own), strength: prior.strength });
  }
  if (starts.size >= MOST_STARTS) starts.clear();
  starts.set(key, made);
  return made;
}

/**
 * The table of a set over an axis: of its chance of failing, which storage and age move. What they move
 * is read between the cells of the counts' own table, by a cubic through the four around it: the log
 * likelihood of a count is that smooth.
 */
function setTable(set: SetCount, axis: Axis, within: readonly WeightedPoint[]): GridTable {
  const n = Math.round(set.n);
  const failed = n - Math.min(n, Math.max(0, Math.round(set.x)));
  const plain = set.kept === 1 && set.power === 1;
  if (plain && axis === oddsAxis) return countTable(failed, n, within);
  const table = countTable(failed, n, within);
  const { length } = oddsAxis;
  const out = new Float64Array(within.length * axis.length);
  for (let i = 0; i < axis.length; i++) {
    const z = axis.first + i * axis.step;
    const chance = set.kept * (set.power === 1 ? passing(z) : passing(z) ** set.power);
    const own = plain ? z : logit(Math.min(1 - 1e-6, Math.max(1e-5, 1 - chance)));
    const cells = (own - oddsAxis.first) / oddsAxis.step;
    const low = Math.floor(cells);
    if (low < 1 || low > length - 3) {
      within.forEach(({ value }, k) => {
        out[k * axis.length + i] = likelihoodAt(failed, n, own, value);
      });
      continue;
    }
    const u = cells - low;
    // Lagrange's weights for -1, 0, 1 and 2.
    const a = (-u * (u - 1) * (u - 2)) / 6;
    const b = ((u + 1) * (u - 1) * (u - 2)) / 2;
    const c = (-(u + 1) * u * (u - 2)) / 2;
    const d = ((u + 1) * u * (u - 1)) / 6;
    for (let k = 0, at = low; k < within.length; k++, at += length)
      out[k * axis.length + i] =
        a * table[at - 1]! + b * table[at]! + c * table[at + 1]! + d * table[at + 2]!;
  }
  return out;
}

const yearOfUnit = (name: string): string => name.slice(0, Math.max(0, name.lastIndexOf('/')));

/** Combinations less likely than this share of the likeliest are left out. */
const NEGLIGIBLE = 1e-6;

/** One combination of correlation and steps, with what its tree says. */
type Combination = {
  readonly k: number;
  readonly pen: number;
  readonly year: number;
  readonly carry: number;
  weight: number;
  /** Log weights of the farm's level, all counts in. */
  farm: Float64Array;
  /** By year: what its units say of its level, and what it says of the farm's. */
  years: Map<string, { own: Float64Array; up: Float64Array }>;
  /** By year: its level, once it was asked for. */
  readonly levels: Map<string, Float64Array>;
  /** By unit: what its counts say of its level, and what it says of its year's, or of the unit it is under. */
  units: Map<string, { own: Float64Array; up: Float64Array }>;
};

/**
 * The posterior of a stage. Correlations of `spread` that are 0 leave nothing to vary there.
 */
export function ratePosterior(
  prior: BetaPrior,
  spread: Spread,
  units: readonly Unit[],
): RatePosterior {
  const varies = spread.between > 0 || spread.year > 0;
  const axis = axisOf(prior, varies);
  const within = withinPrior(spread.within);
  const start = startOver(axis, prior, spread);
  const { length } = axis;
  const tables = new Map<string, GridTable>();
  const above = new Map<string, string>();
  const tableFor = (name: string): GridTable => {
    const known = tables.get(name) ?? new Float64Array(within.length * length);
    tables.set(name, known);
    return known;
  };
  for (const unit of units) {
    const counted = unit.sets.filter((set) => set.n > 0);
    if (counted.length === 0) continue;
    const sum = tableFor(unit.name);
    for (const set of counted) addTo(sum, setTable(set, axis, within));
    if (!varies || unit.under === undefined) continue;
    above.set(unit.name, unit.under);
    tableFor(unit.under);
  }
  const combinations: Combination[] = [];
  const steps = varies ? STEP_MULTIPLES : NONE;
  // One block for what all units say in all combinations: many short rows cost more to make than to fill.
  const said = new Float64Array(within.length * steps.length * tables.size * length);
  let filled = 0;
  const row = () => {
    filled += length;
    return said.subarray(filled - length, filled);
  };
  within.forEach(({ weight }, k) => {
    for (const multiple of steps) {
      const pen = sizeOfStep(multiple.value * spread.between, prior.mean);
      const year = sizeOfStep(multiple.value * spread.year, prior.mean);
      const made: Combination = {
        k,
        pen,
        year,
        carry: carryOf(year),
        weight: Math.log(weight * multiple.weight),
        farm: start.slice(),
        years: new Map(),
        levels: new Map(),
        units: new Map(),
      };
      const ownOf = (name: string) => tables.get(name)!.subarray(k * length, (k + 1) * length);
      const below = new Map<string, Float64Array>();
      for (const [name, unit] of above) {
        const own = ownOf(name);
        const up = year > 0 ? saidOfParent(own, axis, made.carry, row()) : own;
        made.units.set(name, { own, up });
        below.set(unit, addTo(below.get(unit) ?? ownOf(unit).slice(), up));
      }
      for (const name of tables.keys()) {
        if (above.has(name)) continue;
        const own = below.get(name) ?? ownOf(name);
        const up = pen > 0 ? saidOfParent(own, axis, pen, row()) : own;
        made.units.set(name, { own, up });
        const key = yearOfUnit(name);
        const known = made.years.get(key) ?? { own: new Float64Array(length), up: start };
        addTo(known.own, up);
        made.years.set(key, known);
      }
      for (const one of made.years.values()) {
        one.up = year > 0 ? saidOfParent(one.own, axis, year) : one.own;
        addTo(made.farm, one.up);
      }
      made.weight += logSum(made.farm);
      combinations.push(made);
    }
  });
  const logEvidence = logSum(combinations.map((one) => one.weight));
  const kept = combinations.filter((one) => {
    one.weight = Math.exp(one.weight - logEvidence);
    return one.weight >= NEGLIGIBLE;
  });

  /** Weights of a parent's level with one child left out, passed down a step. */
  const down = (
    logs: Float64Array,
    without: Float64Array | undefined,
    sd: number,
  ): Float64Array => {
    const rest = logs.slice();
    if (without) addTo(rest, without, -1);
    const best = highest(rest);
    for (let i = 0; i < length; i++) rest[i] = Math.exp(rest[i]! - best);
    return spreadOut(rest, axis, sd);
  };
  /** Log weights of a year's level, all counts in: the same for all its units. */
  const yearIn = (one: Combination, name: string): Float64Array => {
    const ready = one.levels.get(name);
    if (ready) return ready;
    const year = one.years.get(name);
    const logs = logsOf(down(one.farm, year?.up, one.year));
    if (year) addTo(logs, year.own);
    one.levels.set(name, logs);
    return logs;
  };
  /** Weights of a unit's level, all counts in; they sum to one. */
  const unitIn = (one: Combination, name: string): Float64Array => {
    const own = one.units.get(name);
    const parent = above.get(name);
    const weights =
      parent === undefined
        ? down(yearIn(one, yearOfUnit(name)), own?.up, one.pen)
        : down(logsOf(unitIn(one, parent)), own?.up, one.carry);
    const best = own ? highest(own.own) : 0;
    let total = 0;
    for (let i = 0; i < length; i++) {
      weights[i]! *= own ? Math.exp(own.own[i]! - best) : 1;
      total += weights[i]!;
    }
    for (let i = 0; i < length; i++) weights[i]! /= total;
    return weights;
  };
  const known = new Map<string, Interval>();

  return {
    unit(name) {
      // Where nothing varies, all units have the farm's rate.
      const key = varies ? name : '';
      const ready = known.get(key);
      if (ready) return ready;
      const sum = new Float64Array(length);
      for (const one of kept) addTo(sum, unitIn(one, key), one.weight);
      const made = summaryOver(sum, axis, passing);
      known.set(key, made);
      return made;
    },
    within: intervalOf(
      within.map(({ value }, k) => ({
        value,
        weight: kept.reduce((sum, one) => sum + (one.k === k ? one.weight : 0), 0),
      })),
    ),
    logEvidence,
    draw(names, draws, uniform) {
      const chances = cumulated(kept.map((one) => one.weight));
      const rates = names.map(() => new Float64Array(draws));
      const correlation = new Float64Array(draws);
      const years = [...new Set(names.map(yearOfUnit))];
      const yearOfName = names.map((name) => years.indexOf(yearOfUnit(name)));
      /** Of each combination: the farm's level, and how its years and units lie around their parents. */
      const ways = kept.map((one) => ({
        farm: cumulated(weightsOf(one.farm)),
        years: years.map((year) => new Around(axis, one.year, one.years.get(year)?.own)),
        units: names.map((name) => new Around(axis, one.pen, one.units.get(name)?.own)),
      }));
      const cells = years.map(() => 0);
      for (let i = 0; i < draws; i++) {
        const which = firstAbove(chances, uniform());
        const way = ways[which]!;
        correlation[i] = within[kept[which]!.k]!.value;
        const farm = firstAbove(way.farm, uniform());
        // Anywhere in its cell, the same for all: cells are no finer than what they stand for.
        const shift = uniform() - 0.5;
        for (let y = 0; y < cells.length; y++) cells[y] = way.years[y]!.draw(farm, uniform);
        for (let n = 0; n < names.length; n++) {
          const cell = way.units[n]!.draw(cells[yearOfName[n]!]!, uniform);
          rates[n]![i] = passing(axis.first + (cell + shift) * axis.step);
        }
      }
      return { rates, within: correlation };
    },
  };
}

/** Weights as logs. */
function logsOf(weights: Float64Array): Float64Array {
  const out = new Float64Array(weights.length);
  for (let i = 0; i < out.length; i++) out[i] = Math.log(Math.max(1e-300, weights[i]!));
  return out;
}

/** Logs as weights, the largest one. */
function weightsOf(logs: ArrayLike<number>): number[] {
  const best = highest(logs);
  const out: number[] = [];
  for (let i = 0; i < logs.length; i++) out.push(Math.exp(logs[i]! - best));
  return out;
}

/** A level a normal step around its parent's cell, with what its own counts say. */
class Around {
  readonly #rows: (readonly number[] | undefined)[] = [];
  readonly #bell: readonly number[];
  readonly #own: readonly number[] | null;

  constructor(
    readonly axis: Axis,
    readonly sd: number,
    readonly logs: Float64Array | undefined,
  ) {
    this.#bell = sd > 0 ? bellOf(axis, sd) : [];
    this.#own = logs && sd > 0 ? weightsOf(logs) : null;
  }

  /** A cell, given the parent's: the same one where there is no step. */
  draw(parent: number, uniform: () => number): number {
    if (!(this.sd > 0)) return parent;
    const row = this.#rows[parent] ?? this.#rowOf(parent);
    return firstAbove(row, uniform());
  }

  #rowOf(parent: number): readonly number[] {
    const bell = this.#bell;
    const own = this.#own;
    const weights: number[] = [];
    let sum = 0;
    for (let i = 0; i < bell.length; i++) {
      const weight = bell[Math.abs(i - parent)]! * (own === null ? 1 : own[i]!);
      sum += weight;
      weights.push(weight);
    }
    // Where counts and parent lie far apart, only their logs can be added.
    const made = cumulated(sum > LEAST_WEIGHT ? weights : weightsOf(this.#logsOf(parent)));
    this.#rows[parent] = made;
    return made;
  }

  #logsOf(parent: number): number[] {
    const step = stepOf(this.axis, this.sd);
    return this.#bell.map((_, i) => -0.5 * ((i - parent) * step) ** 2 + (this.logs?.[i] ?? 0));
  }
}

/** Cells of an axis in standard deviations, which are no smaller than an eighth of a cell. */
const stepOf = (axis: Axis, sd: number): number => axis.step / Math.max(sd, axis.step / 8);

let lastBell: { axis: Axis; sd: number; made: readonly number[] } | null = null;

/** The density of a normal step by the cells it goes, against none. The last one is kept: years and units ask in turn. */
function bellOf(axis: Axis, sd: number): readonly number[] {
  if (lastBell?.axis === axis && lastBell.sd === sd) return lastBell.made;
  const step = stepOf(axis, sd);
  const made = Array.from({ length: axis.length }, (_, i) => Math.exp(-0.5 * (i * step) ** 2));
  lastBell = { axis, sd, made };
  return made;
}

/** A sum of weights below this has lost its digits. */
const LEAST_WEIGHT = 1e-200;

export function intervalOf(points: readonly WeightedPoint[]): Interval {
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
