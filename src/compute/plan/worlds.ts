/**
 * Draws from what is known: each world has its own rates for every pen and line, and its own luck for
 * every set. The same seed gives the same worlds, and a set keeps its luck whatever else is planned,
 * so that two plans are compared under the same weather (common random numbers).
 */
import randomBeta from '@stdlib/random-base-beta';
import randomBinomial from '@stdlib/random-base-binomial';
import mersenneTwister from '@stdlib/random-base-mt19937';
import { normalUpper } from '../statistics/distributions.ts';
import type { Rate } from './rates.ts';
import type { Stage } from './stages.ts';

export interface Worlds {
  readonly draws: number;
  /** Rate of a unit in each world. */
  unit(stage: Stage, unit: string): Float64Array;
  /** Rate of one set (or block of days) of a unit in each world. */
  set(stage: Stage, unit: string, set: string): Float64Array;
  /** Whole numbers passing: Binomial(n, p) in each world, on a stream of its own. */
  passing(name: string, n: ArrayLike<number>, p: ArrayLike<number>): Float64Array;
}

/** A 32-bit seed from a name (FNV-1a: Fowler, Noll & Vo, draft-eastlake-fnv). */
function seedFor(seed: number, name: string): number {
  let hash = (2_166_136_261 ^ seed) >>> 0;
  for (let i = 0; i < name.length; i++)
    hash = Math.imul(hash ^ name.charCodeAt(i), 16_777_619) >>> 0;
  return Math.max(1, hash);
}

/** Opens `draws` worlds. `rate` gives what is known of a unit's stage. */
export function openWorlds(
  rate: (stage: Stage, unit: string) => Rate,
  draws: number,
  seed: number,
): Worlds {
  const units = new Map<string, { mu: Float64Array; rho: Float64Array }>();
  const sets = new Map<string, Float64Array>();
  const stream = (name: string) =>
    (
      mersenneTwister.factory({ seed: seedFor(seed, name) }) as unknown as {
        normalized: () => number;
      }
    ).normalized;

  const unitOf = (stage: Stage, unit: string) => {
    const name = `${stage} ${unit}`;
    const known = units.get(name);
    if (known) return known;
    const prng = stream(name);
    const beta = randomBeta.factory({ prng });
    const { components } = rate(stage, unit);
    const mu = new Float64Array(draws);
    const rho = new Float64Array(draws);
    for (let i = 0; i < draws; i++) {
      let left = prng();
      let at = 0;
      while (at < components.length - 1 && left >= components[at]!.weight) {
        left -= components[at]!.weight;
        at++;
      }
      const chosen = components[at]!;
      mu[i] = beta(chosen.a, chosen.b);
      rho[i] = chosen.rho;
    }
    const made = { mu, rho };
    units.set(name, made);
    return made;
  };

  return {
    draws,
    unit: (stage, unit) => unitOf(stage, unit).mu,
    set(stage, unit, set) {
      const name = `${stage} ${unit} ${set}`;
      const known = sets.get(name);
      if (known) return known;
      const { mu, rho } = unitOf(stage, unit);
      const beta = randomBeta.factory({ prng: stream(name) });
      const made = new Float64Array(draws);
      for (let i = 0; i < draws; i++) {
        const mean = mu[i]!;
        const r = rho[i]!;
        if (r <= 0 || mean <= 0 || mean >= 1) made[i] = mean;
        else made[i] = beta(mean * (1 / r - 1), (1 - mean) * (1 / r - 1));
      }
      sets.set(name, made);
      return made;
    },
    passing(name, n, p) {
      const binomial = randomBinomial.factory({ prng: stream(name) });
      const made = new Float64Array(draws);
      for (let i = 0; i < draws; i++) {
        const trials = Math.round(n[i]!);
        const chance = p[i]!;
        made[i] =
          trials <= 0 || chance <= 0 ? 0 : chance >= 1 ? trials : binomial(trials, chance);
      }
      return made;
    },
  };
}

/** The product of several rates, world by world. */
export function product(draws: number, factors: readonly ArrayLike<number>[], times = 1): Float64Array {
  const made = new Float64Array(draws).fill(times);
  for (const factor of factors) for (let i = 0; i < draws; i++) made[i]! *= factor[i]!;
  return made;
}

/** Part of a goal: so many eggs (or chicks) in each world, each a bird wanted with this chance. */
export interface Portion {
  eggs: ArrayLike<number>;
  rate: ArrayLike<number>;
}

/**
 * P(at least `count` birds), averaged over the worlds. Within a world the birds are a sum of binomials,
 * taken as normal with a continuity correction, so the answer moves smoothly with the eggs and
 * carries less noise than counting worlds would.
 */
export function chanceOf(portions: readonly Portion[], count: number, draws: number): number {
  let sum = 0;
  for (let i = 0; i < draws; i++) {
    let mean = 0;
    let variance = 0;
    for (const { eggs, rate } of portions) {
      const expected = eggs[i]! * rate[i]!;
      mean += expected;
      variance += expected * (1 - rate[i]!);
    }
    sum +=
      variance > 0 ? normalUpper((count - 0.5 - mean) / Math.sqrt(variance)) : mean >= count ? 1 : 0;
  }
  return sum / draws;
}

/** The largest number of birds (to a tenth) that comes with at least this chance. */
export function birdsAtConfidence(
  portions: readonly Portion[],
  confidence: number,
  draws: number,
): number {
  let low = 0;
  let high = 1;
  while (chanceOf(portions, high, draws) >= confidence) {
    low = high;
    high *= 2;
    if (high > 1e7) return low;
  }
  while (high - low > 0.1) {
    const middle = (low + high) / 2;
    if (chanceOf(portions, middle, draws) >= confidence) low = middle;
    else high = middle;
  }
  return low;
}

/** Standard error of a chance estimated from so many draws. */
export function samplingError(chance: number, draws: number): number {
  return Math.sqrt((chance * (1 - chance)) / draws);
}

/** Quantiles of whole draws: the smallest value that at least this share of the draws do not exceed. */
export function quantileOf(values: Float64Array, probability: number): number {
  const sorted = Float64Array.from(values).sort();
  const at = Math.ceil(probability * sorted.length) - 1;
  return sorted[Math.min(sorted.length - 1, Math.max(0, at))]!;
}
