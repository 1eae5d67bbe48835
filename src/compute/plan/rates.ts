/**
 * From expected rates and counts to what may be expected of the next set.
 *
 * A set's rate is Beta around its pen's (or line's) rate, with intraclass correlation `within`; a
 * pen's is Beta around the farm's, with correlation `between`; the farm's is Beta with the seed's
 * mean and strength. Counts enter by their effective size, n / (1 + (n - 1) rho), the design effect
 * of Kish (Survey Sampling, 1965, §5.4); the correlation within sets has a prior of its own and is
 * weighed by the beta-binomial likelihood of the sets, so that few sets leave it unsure.
 */
import betaCdf from '@stdlib/stats-base-dists-beta-cdf';
import { logLikelihood } from '../statistics/beta-binomial.ts';
import { type Prior, type Stage, seedSpread } from './stages.ts';

/** Counts of one stage from one set (or one week of a pen, for lay). */
export interface Evidence {
  stage: Stage;
  species: string;
  /** Pen or line and season the counts belong to: those of one unit share a rate. */
  unit: string;
  /** Passed, of entered. */
  x: number;
  n: number;
  /** Expected share of the rate that storage left these eggs (1: none lost). */
  kept?: number;
  /** True if from an earlier season. */
  earlier: boolean;
}

/** One of the beta distributions that together describe what is known. */
interface Component {
  weight: number;
  /** Correlation within sets under this component. */
  rho: number;
  a: number;
  b: number;
}

export interface Rate {
  stage: Stage;
  prior: Prior;
  /** Counts that were used: of this unit, and of the others of its species. */
  own: { x: number; n: number; sets: number };
  others: { x: number; n: number; sets: number };
  /** True if counts of earlier seasons were used. */
  earlier: boolean;
  components: readonly Component[];
  mean: number;
  /** 95 % interval of the unit's rate. */
  low: number;
  high: number;
  /** Expected correlation within sets, given the counts. */
  spread: number;
}

// Multiples of the expected correlation, weighted as a gamma density of shape 2 with mean 1, and a
// twentieth for none at all.
const MULTIPLES = [0, 0.2, 0.5, 0.8, 1.2, 1.7, 2.4, 3.4] as const;
const NO_SPREAD = 0.05;

function spreadPrior(expected: number): { rho: number; weight: number }[] {
  if (expected <= 0) return [{ rho: 0, weight: 1 }];
  const raw = MULTIPLES.map((m, i) => {
    const below = i === 0 ? 0 : MULTIPLES[i - 1]!;
    const above = MULTIPLES[i + 1] ?? 2 * m - below;
    return { rho: m * expected, weight: 4 * m * Math.exp(-2 * m) * ((above - below) / 2) };
  });
  const total = raw.reduce((sum, r) => sum + r.weight, 0);
  return raw.map(({ rho, weight }) => ({
    rho,
    weight: rho === 0 ? NO_SPREAD : (weight / total) * (1 - NO_SPREAD),
  }));
}

interface Tally {
  x: number;
  n: number;
}

/** Effective counts of sets whose eggs share a correlation, storage loss taken out of what was possible. */
function effective(sets: readonly Evidence[], rho: number): Tally {
  let x = 0;
  let n = 0;
  for (const set of sets) {
    const possible = Math.max(set.x, set.n * (set.kept ?? 1));
    if (possible <= 0) continue;
    const weight = 1 / (1 + (possible - 1) * rho);
    x += set.x * weight;
    n += possible * weight;
  }
  return { x, n };
}

/**
 * What is known of a unit's rate. `evidence` is that of its stage and species; the unit's own counts
 * enter whole, those of others through the farm's rate. Without counts the prior comes back, wider by
 * the difference between pens.
 */
export function posterior(
  stage: Stage,
  unit: string,
  prior: Prior,
  evidence: readonly Evidence[],
): Rate {
  const { within, between } = seedSpread(stage);
  const used = evidence.filter((e) => e.stage === stage && e.n > 0);
  const own = used.filter((e) => e.unit === unit);
  const units = new Map<string, Evidence[]>();
  for (const e of used) {
    if (e.unit === unit) continue;
    const list = units.get(e.unit);
    if (list) list.push(e);
    else units.set(e.unit, [e]);
  }
  const components = spreadPrior(within).map(({ rho, weight }): Component & { log: number } => {
    // The farm's rate: the prior and every other unit, each worth no more than 1 / between counts.
    let a = prior.mean * prior.strength;
    let b = (1 - prior.mean) * prior.strength;
    for (const sets of units.values()) {
      const { x, n } = effective(sets, rho);
      if (n === 0) continue;
      const worth = 1 / (1 + n * between);
      a += x * worth;
      b += (n - x) * worth;
    }
    // The unit's rate before its own counts: the farm's, spread by the difference between units.
    const total = a + b;
    const strength = 1 / (1 / (total + 1) + between) - 1;
    const mine = effective(own, rho);
    const mean = a / total;
    a = mean * strength + mine.x;
    b = (1 - mean) * strength + mine.n - mine.x;
    // How well this correlation explains how the sets scatter.
    let log = Math.log(weight);
    const theta = rho / (1 - rho);
    for (const sets of [own, ...units.values()]) {
      const counts = effective(sets, rho);
      if (counts.n === 0 || sets.length < 2) continue;
      const centre = (counts.x + mean) / (counts.n + 1);
      for (const { x, n, kept = 1 } of sets) {
        const mu = Math.min(1 - 1e-9, Math.max(1e-9, centre * kept));
        log += logLikelihood([{ x: Math.round(x), n: Math.round(n), times: 1 }], mu, theta);
      }
    }
    return { weight, rho, a, b, log };
  });
  const best = Math.max(...components.map((c) => c.log));
  const scaled = components.map((c) => ({ ...c, weight: Math.exp(c.log - best) }));
  const sum = scaled.reduce((s, c) => s + c.weight, 0);
  const mixed = scaled.map(({ rho, a, b, weight }) => ({ weight: weight / sum, rho, a, b }));
  const tally = (sets: readonly Evidence[]) => ({
    x: sets.reduce((s, e) => s + e.x, 0),
    n: sets.reduce((s, e) => s + e.n, 0),
    sets: sets.length,
  });
  return {
    stage,
    prior,
    own: tally(own),
    others: tally([...units.values()].flat()),
    earlier: used.some((e) => e.earlier),
    components: mixed,
    mean: mixed.reduce((s, c) => s + (c.weight * c.a) / (c.a + c.b), 0),
    low: mixtureQuantile(mixed, 0.025),
    high: mixtureQuantile(mixed, 0.975),
    spread: mixed.reduce((s, c) => s + c.weight * c.rho, 0),
  };
}

function mixtureQuantile(components: readonly Component[], probability: number): number {
  let low = 0;
  let high = 1;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    const below = components.reduce((s, c) => s + c.weight * betaCdf(middle, c.a, c.b), 0);
    if (below < probability) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** What storage of so many days leaves of the hatch: 1 less the points lost over the hatch expected. */
export function storageFactor(
  penalty: readonly { from_day: number; points_per_day: number }[],
  age: number,
  hatch: number,
  scale = 1,
): number {
  return Math.max(0, 1 - (scale * storagePoints(penalty, age)) / 100 / Math.max(hatch, 0.05));
}

/** Percentage points of hatch that an egg stored `age` days is expected to lose. */
export function storagePoints(
  penalty: readonly { from_day: number; points_per_day: number }[],
  age: number,
): number {
  let points = 0;
  penalty.forEach(({ from_day, points_per_day }, i) => {
    const until = penalty[i + 1]?.from_day ?? Number.POSITIVE_INFINITY;
    points += points_per_day * Math.max(0, Math.min(age, until - 1) - from_day + 1);
  });
  return points;
}
