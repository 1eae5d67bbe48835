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
 */
import {
  type Axis,
  addTo,
  countTable,
  cumulated,
  firstAbove,
  type GridTable,
  gathered,
  likelihoodAt,
  logistic,
  logit,
  logSum,
  oddsAxis,
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
  /** Draws rates of several units together; `uniform` gives numbers from 0 to 1. */
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
  const logs = Float64Array.from({ length: axis.length }, (_, i) => {
    const z = axis.first + i * axis.step;
    return -strength * (mean * Math.log1p(Math.exp(z)) + (1 - mean) * Math.log1p(Math.exp(-z)));
  });
  const total = logSum(logs);
  return logs.map((log) => log - total);
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
  const scale = prior.mean * (1 - prior.mean);
  const sds = STEP_MULTIPLES.map(({ value, weight }) => ({
    weight,
    sd: Math.sqrt((value * (spread.between + spread.year)) / scale),
  }));
  const wanted = logit(prior.mean);
  let own = wanted;
  let made = priorOver(axis, prior);
  for (let i = 0; i < ROUNDS; i++) {
    const weights = made.map(Math.exp);
    const seen = sds.reduce(
      (sum, { sd, weight }) =>
        sum + weight * summaryOver(spreadOut(weights, axis, sd), axis, (z) => logistic(-z)).mean,
      0,
    );
    own += wanted - logit(seen);
    made = priorOver(axis, { mean: logistic(own), strength: prior.strength });
  }
  if (starts.size >= MOST_STARTS) starts.clear();
  starts.set(key, made);
  return made;
}

/** The table of a set over an axis: of its chance of failing, which storage and age move. */
function setTable(set: SetCount, axis: Axis, within: readonly WeightedPoint[]): GridTable {
  const n = Math.round(set.n);
  const failed = n - Math.min(n, Math.max(0, Math.round(set.x)));
  const plain = set.kept === 1 && set.power === 1;
  if (plain && axis === oddsAxis) return countTable(failed, n, within);
  const out = new Float64Array(within.length * axis.length);
  for (let i = 0; i < axis.length; i++) {
    const z = axis.first + i * axis.step;
    const chance = set.kept * logistic(-z) ** set.power;
    const own = plain ? z : logit(Math.min(1 - 1e-6, Math.max(1e-5, 1 - chance)));
    within.forEach(({ value }, k) => {
      out[k * axis.length + i] = likelihoodAt(failed, n, own, value);
    });
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
  weight: number;
  /** Log weights of the farm's level, all counts in. */
  farm: Float64Array;
  /** By year: what its units say of its level, and what it says of the farm's. */
  years: Map<string, { own: Float64Array; up: Float64Array }>;
  /** By unit: what its counts say of its level, and what it says of its year's. */
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
  for (const unit of units) {
    const counted = unit.sets.filter((set) => set.n > 0);
    if (counted.length === 0) continue;
    const sum = tables.get(unit.name) ?? new Float64Array(within.length * length);
    for (const set of counted) addTo(sum, setTable(set, axis, within));
    tables.set(unit.name, sum);
  }
  const scale = prior.mean * (1 - prior.mean);
  const combinations: Combination[] = [];
  within.forEach(({ weight }, k) => {
    for (const multiple of varies ? STEP_MULTIPLES : NONE) {
      const pen = Math.sqrt((multiple.value * spread.between) / scale);
      const year = Math.sqrt((multiple.value * spread.year) / scale);
      const made: Combination = {
        k,
        pen,
        year,
        weight: Math.log(weight * multiple.weight),
        farm: Float64Array.from(start),
        years: new Map(),
        units: new Map(),
      };
      for (const [name, table] of tables) {
        const own = table.slice(k * length, (k + 1) * length);
        const up = pen > 0 ? gathered(own, axis, pen) : own;
        made.units.set(name, { own, up });
        const key = yearOfUnit(name);
        const known = made.years.get(key) ?? { own: new Float64Array(length), up: start };
        addTo(known.own, up);
        made.years.set(key, known);
      }
      for (const one of made.years.values()) {
        one.up = year > 0 ? gathered(one.own, axis, year) : one.own;
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
    const rest = without ? logs.map((log, i) => log - without[i]!) : logs;
    const best = rest.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
    return spreadOut(
      rest.map((log) => Math.exp(log - best)),
      axis,
      sd,
    );
  };
  const known = new Map<string, Interval>();
  const passing = (z: number) => logistic(-z);

  return {
    unit(name) {
      const key = tables.has(name) || varies ? name : '';
      const ready = known.get(key);
      if (ready) return ready;
      const sum = new Float64Array(length);
      for (const one of kept) {
        const year = one.years.get(yearOfUnit(name));
        const own = one.units.get(name);
        const ofYear = down(one.farm, year?.up, one.year);
        const logs = ofYear.map((w, i) => Math.log(Math.max(1e-300, w)) + (year?.own[i] ?? 0));
        const ofUnit = down(logs, own?.up, one.pen);
        let total = 0;
        const best = own?.own.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY) ?? 0;
        for (let i = 0; i < length; i++) {
          ofUnit[i]! *= own ? Math.exp(own.own[i]! - best) : 1;
          total += ofUnit[i]!;
        }
        for (let i = 0; i < length; i++) sum[i]! += (one.weight * ofUnit[i]!) / total;
      }
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
      const chances = cumulated(Float64Array.from(kept, (one) => one.weight));
      const rates = names.map(() => new Float64Array(draws));
      const correlation = new Float64Array(draws);
      const ready = new Map<string, Float64Array>();
      /** Cumulated weights of a level around its parent's cell, with what its own counts say. */
      const around = (key: string, cell: number, sd: number, own: Float64Array | undefined) => {
        const at = `${key} ${cell}`;
        const done = ready.get(at);
        if (done) return done;
        const logs = new Float64Array(length);
        for (let i = 0; i < length; i++) {
          const z = ((i - cell) * axis.step) / Math.max(sd, axis.step / 8);
          logs[i] = -0.5 * z * z + (own?.[i] ?? 0);
        }
        const best = logs.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
        const made = cumulated(logs.map((log) => Math.exp(log - best)));
        ready.set(at, made);
        return made;
      };
      const farms = kept.map((one) => {
        const best = one.farm.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
        return cumulated(one.farm.map((log) => Math.exp(log - best)));
      });
      const years = [...new Set(names.map(yearOfUnit))];
      for (let i = 0; i < draws; i++) {
        const which = firstAbove(chances, uniform());
        const one = kept[which]!;
        correlation[i] = within[one.k]!.value;
        const farm = firstAbove(farms[which]!, uniform());
        // Anywhere in its cell, the same for all: cells are no finer than what they stand for.
        const shift = uniform() - 0.5;
        const cells = new Map<string, number>();
        for (const year of years)
          cells.set(
            year,
            one.year > 0
              ? firstAbove(
                  around(`${which} y ${year}`, farm, one.year, one.years.get(year)?.own),
                  uniform(),
                )
              : farm,
          );
        names.forEach((name, n) => {
          const year = cells.get(yearOfUnit(name))!;
          const cell =
            one.pen > 0
              ? firstAbove(
                  around(`${which} u ${name}`, year, one.pen, one.units.get(name)?.own),
                  uniform(),
                )
              : year;
          rates[n]![i] = passing(axis.first + (cell + shift) * axis.step);
        });
      }
      return { rates, within: correlation };
    },
  };
}

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
