import { largest, smallest } from '../../text/lists.ts';
import { normalBetween, normalDensity } from './hatch-spread.ts';
import { maximise } from './search.ts';

export type TimedCell = { readonly from: number; readonly to: number; readonly count: number };

/** Events counted in intervals, of a unit that belongs to a group (a share of a set). */
export type TimedUnit = { readonly group: string; readonly cells: readonly TimedCell[] };

export type UnitMean = {
  unit: number;
  group: string;
  mean: number;
  information: number;
  count: number;
};

export type PooledTimes = {
  /** Spread within a unit, of one standard deviation for all. */
  sd: number;
  /** Standard error of ln sd, from the scatter of the groups' own scores; null with one group. */
  seLogSd: number | null;
  /** Mean over groups, weighted by what each can tell. */
  shift: number;
  seShift: number | null;
  /** Standard deviation between groups. */
  between: number;
  groups: number;
  units: UnitMean[];
  /** The counts themselves tell the sd; else it was given, or is only the least that fits. */
  sdKnown: boolean;
};

function logLikelihood(cells: readonly TimedCell[], mean: number, sd: number): number {
  let sum = 0;
  for (const { from, to, count } of cells) {
    const mass = normalBetween((from - mean) / sd, (to - mean) / sd);
    sum += count * Math.log(Math.max(mass, 1e-300));
  }
  return sum;
}

/** First and (negative) second derivative of the log likelihood in the mean. */
function slopeAt(
  cells: readonly TimedCell[],
  mean: number,
  sd: number,
): { score: number; information: number } {
  let score = 0;
  let information = 0;
  for (const { from, to, count } of cells) {
    const a = (from - mean) / sd;
    const b = (to - mean) / sd;
    const mass = Math.max(normalBetween(a, b), 1e-300);
    const m = (normalDensity(a) - normalDensity(b)) / mass;
    const v = (a * normalDensity(a) - b * normalDensity(b)) / mass;
    score += (count * m) / sd;
    information += (count * (m * m - v)) / (sd * sd);
  }
  return { score, information };
}

/** The likeliest mean of a unit at a given sd: the log likelihood is concave in it. */
function meanOf(cells: readonly TimedCell[], sd: number): number {
  let low = smallest(cells.map((c) => c.from)) - 4 * sd;
  let high = largest(cells.map((c) => c.to)) + 4 * sd;
  let mean = 0;
  const n = cells.reduce((s, c) => s + c.count, 0);
  mean = cells.reduce((s, c) => s + (c.count * (c.from + c.to)) / 2, 0) / n;
  for (let i = 0; i < 60; i++) {
    const { score, information } = slopeAt(cells, mean, sd);
    if (score > 0) low = mean;
    else high = mean;
    let next = information > 1e-12 ? mean + score / information : (low + high) / 2;
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - mean) < 1e-8) return next;
    mean = next;
  }
  return mean;
}

/**
 * Times seen only as intervals, in units that belong to groups: a normal with one sd within units,
 * by maximum likelihood, each unit with its own mean; then the mean of groups by weights that
 * allow for scatter between groups (DerSimonian & Laird 1986, Control. Clin. Trials 7:177), with
 * the standard error of Hartung and Knapp (Stat. Med. 2001, 20:3875). The standard error of the sd
 * is the sandwich over groups. A unit found whole in one wide interval tells little and weighs
 * little. `givenSd` is used instead of an sd of its own. `null` without any.
 */
export function pooledTimes(
  units: readonly TimedUnit[],
  givenSd: number | null = null,
): PooledTimes | null {
  const used = units.filter((u) => u.cells.some((c) => c.count > 0));
  if (used.length === 0) return null;
  const widest = largest(used.flatMap((u) => u.cells.map((c) => c.to - c.from)));
  const profile = (logSd: number): number => {
    const sd = Math.exp(logSd);
    return used.reduce((s, u) => s + logLikelihood(u.cells, meanOf(u.cells, sd), sd), 0);
  };
  const floor = Math.log(Math.max(widest / 20, 0.1));
  const ceiling = Math.log(Math.max(4 * widest, 48));
  const best =
    givenSd === null
      ? maximise(profile, floor, ceiling, 16, 1e-5)
      : { at: Math.log(givenSd), value: 0 };
  const sd = Math.exp(best.at);
  // Two intervals of a unit leave its mean and the sd free to trade against each other.
  const sdKnown = givenSd === null && best.at > floor + 1e-3 && best.at < ceiling - 1e-3;

  const means: UnitMean[] = used.map((u) => {
    const mean = meanOf(u.cells, sd);
    return {
      unit: units.indexOf(u),
      group: u.group,
      mean,
      information: Math.max(0, slopeAt(u.cells, mean, sd).information),
      count: u.cells.reduce((s, c) => s + c.count, 0),
    };
  });
  const groups = new Map<string, { weight: number; sum: number }>();
  for (const m of means) {
    const g = groups.get(m.group) ?? { weight: 0, sum: 0 };
    g.weight += m.information;
    g.sum += m.information * m.mean;
    groups.set(m.group, g);
  }
  const told = [...groups.values()]
    .filter((g) => g.weight > 1e-6)
    .map((g) => ({ mean: g.sum / g.weight, variance: 1 / g.weight }));
  if (told.length === 0) return null;
  const fixed = weighted(told.map((g) => ({ mean: g.mean, weight: 1 / g.variance })));
  const k = told.length;
  const q = told.reduce((s, g) => s + (g.mean - fixed.mean) ** 2 / g.variance, 0);
  const w1 = told.reduce((s, g) => s + 1 / g.variance, 0);
  const w2 = told.reduce((s, g) => s + 1 / g.variance ** 2, 0);
  const tau2 = k > 1 ? Math.max(0, (q - (k - 1)) / (w1 - w2 / w1)) : 0;
  const random = told.map((g) => ({ mean: g.mean, weight: 1 / (g.variance + tau2) }));
  const all = weighted(random);
  const scatter =
    k > 1 ? random.reduce((s, g) => s + g.weight * (g.mean - all.mean) ** 2, 0) / (k - 1) : 1;
  // Hartung and Knapp's factor is not used to claim extra precision.
  const seShift = k > 1 ? Math.sqrt(Math.max(1, scatter) / all.weight) : null;

  let seLogSd: number | null = null;
  if (sdKnown && k > 1) {
    const step = 0.02;
    const scores = new Map<string, number>();
    for (const u of used) {
      const at = (l: number): number => {
        const s = Math.exp(l);
        return logLikelihood(u.cells, meanOf(u.cells, s), s);
      };
      const score = (at(best.at + step) - at(best.at - step)) / (2 * step);
      scores.set(u.group, (scores.get(u.group) ?? 0) + score);
    }
    const information =
      -(profile(best.at + step) - 2 * profile(best.at) + profile(best.at - step)) / step ** 2;
    const squares = [...scores.values()].reduce((s, v) => s + v * v, 0);
    if (information > 0)
      seLogSd = Math.sqrt(Math.max(information, (squares * k) / (k - 1)) / information ** 2);
  }
  return {
    sd,
    seLogSd,
    shift: all.mean,
    seShift,
    between: Math.sqrt(tau2),
    groups: k,
    units: means,
    sdKnown,
  };
}

function weighted(list: readonly { mean: number; weight: number }[]): {
  mean: number;
  weight: number;
} {
  const weight = list.reduce((s, g) => s + g.weight, 0);
  return { mean: list.reduce((s, g) => s + g.weight * g.mean, 0) / weight, weight };
}
