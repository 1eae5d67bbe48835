/**
 * Birds to come, world by world. Within a world all rates are known and the birds are a sum of
 * binomials; its distribution is taken from its first three moments (the refined normal
 * approximation of the Poisson-binomial, Volkova 1996, Theory Probab. Appl. 40:791). So a chance is
 * an average of exact-looking tails, moves smoothly with the eggs, and carries less noise than
 * counting worlds would.
 */
import { normalUpper } from '../statistics/normal.ts';
import type { ScatterMoments } from './worlds.ts';

/** So many eggs (or chicks) in each world, each a bird wanted with this chance. */
export interface Portion {
  readonly eggs: ArrayLike<number> | number;
  readonly rate: ArrayLike<number> | number;
}

/** Eggs of a set from one pen: the scatter of their own, and what is sure of them, in each world. */
export interface SetShare {
  readonly eggs: ArrayLike<number>;
  readonly scatter: ScatterMoments;
  /** A share of them that is known in each world, as what storage leaves. */
  readonly kept: ArrayLike<number> | number;
}

export interface BirdChance {
  chance: number;
  /** Standard error from the number of draws. */
  error: number;
}

const SQRT_2PI = Math.sqrt(2 * Math.PI);

/** So many standard deviations above none, a normal number is never cut off. */
const CERTAIN = 4;

/**
 * First three raw moments of what a normal number has above none (Johnson, Kotz & Balakrishnan,
 * Continuous Univariate Distributions 1, 2nd ed., 1994, ch. 13.10).
 */
function positivePart(mean: number, sd: number): [number, number, number] {
  if (mean >= CERTAIN * sd) return [mean, mean * mean + sd * sd, mean ** 3 + 3 * mean * sd * sd];
  if (mean <= -CERTAIN * sd) return [0, 0, 0];
  const z = mean / sd;
  const part = 1 - normalUpper(z);
  const density = (sd * Math.exp(-0.5 * z * z)) / SQRT_2PI;
  return [
    mean * part + density,
    (mean * mean + sd * sd) * part + mean * density,
    (mean ** 3 + 3 * mean * sd * sd) * part + (mean * mean + 2 * sd * sd) * density,
  ];
}

export class Birds {
  readonly #mean: Float64Array;
  readonly #variance: Float64Array;
  readonly #third: Float64Array;
  /** Birds that are there for sure, and the most there can be. */
  readonly #least: Float64Array;
  readonly #most: Float64Array;

  constructor(
    readonly draws: number,
    base?: Birds,
  ) {
    this.#mean = base ? base.#mean.slice() : new Float64Array(draws);
    this.#variance = base ? base.#variance.slice() : new Float64Array(draws);
    this.#third = base ? base.#third.slice() : new Float64Array(draws);
    this.#least = base ? base.#least.slice() : new Float64Array(draws);
    this.#most = base ? base.#most.slice() : new Float64Array(draws);
  }

  /** The birds of portions alone. */
  static of(draws: number, portions: readonly Portion[]): Birds {
    const birds = new Birds(draws);
    for (const portion of portions) birds.add(portion);
    return birds;
  }

  /** Adds a portion, independent of the rest within a world. */
  add({ eggs, rate }: Portion): void {
    for (let i = 0; i < this.draws; i++) {
      const n = typeof eggs === 'number' ? eggs : eggs[i]!;
      const p = typeof rate === 'number' ? rate : rate[i]!;
      const mean = n * p;
      const variance = mean * (1 - p);
      this.#mean[i]! += mean;
      this.#variance[i]! += variance;
      this.#third[i]! += variance * (1 - 2 * p);
      this.#least[i]! += p >= 1 ? n : 0;
      this.#most[i]! += p > 0 ? n : 0;
    }
  }

  /**
   * Adds a set whose scatter is not known: each share has its own, and all have some scatter in common (the
   * machine's), given by the moments of independent factors. The cumulants of the birds follow from the
   * moments exactly (law of total cumulance: Brillinger, Ann. Inst. Stat. Math. 21, 1969, 215).
   */
  addSet(
    shares: readonly SetShare[],
    common: readonly ScatterMoments[],
    sure: ArrayLike<number> | number = 1,
  ): void {
    for (let i = 0; i < this.draws; i++) {
      const known = typeof sure === 'number' ? sure : sure[i]!;
      let c1 = known;
      let c2 = known * known;
      let c3 = c2 * known;
      for (const { first, second, third } of common) {
        c1 *= first[i]!;
        c2 *= second[i]!;
        c3 *= third[i]!;
      }
      // The eggs that pass their own scatter, if the common scatter were 1: mean, variance, third moment.
      let mean = 0;
      let variance = 0;
      let third = 0;
      let squares = 0;
      let cubes = 0;
      let beside = 0;
      let most = 0;
      for (const { eggs, scatter, kept } of shares) {
        const n = eggs[i]!;
        const k = typeof kept === 'number' ? kept : kept[i]!;
        const d1 = scatter.first[i]! * k;
        const d2 = scatter.second[i]! * k * k;
        const d3 = scatter.third[i]! * k * k * k;
        mean += n * d1;
        variance += n * n * (d2 - d1 * d1);
        third += n * n * n * (d3 - 3 * d2 * d1 + 2 * d1 * d1 * d1);
        squares += n * d2;
        cubes += n * d3;
        beside += n * n * (d3 - d1 * d2);
        most += d1 > 0 ? n : 0;
      }
      // E(T²), E(T³) of those eggs; S is what the common scatter leaves of them.
      const raw2 = variance + mean * mean;
      const raw3 = third + 3 * variance * mean + mean * mean * mean;
      const s1 = c1 * mean;
      const varS = c2 * raw2 - s1 * s1;
      const thirdS = c3 * raw3 - 3 * c2 * raw2 * s1 + 2 * s1 * s1 * s1;
      // Given the rates R of the eggs, the birds have variance Σ n R(1 − R): its mean, and its
      // covariance with S.
      const withSquares = beside + mean * squares;
      const covariance = varS - (c3 * withSquares - s1 * c2 * squares);
      this.#mean[i]! += s1;
      this.#variance[i]! += varS + s1 - c2 * squares;
      this.#third[i]! += thirdS + 3 * covariance + s1 - 3 * c2 * squares + 2 * c3 * cubes;
      this.#most[i]! += c1 > 0 ? most : 0;
    }
  }

  /** These birds and others, independent of them within a world. */
  plus(other: Birds): Birds {
    const both = new Birds(this.draws, this);
    for (let i = 0; i < this.draws; i++) {
      both.#mean[i]! += other.#mean[i]!;
      both.#variance[i]! += other.#variance[i]!;
      both.#third[i]! += other.#third[i]!;
      both.#least[i]! += other.#least[i]!;
      both.#most[i]! += other.#most[i]!;
    }
    return both;
  }

  /**
   * What is left when some have been taken, never less than none: so many in each world, each of which
   * would have been one of these birds with a chance. The rest is taken as normal, cut off at none.
   */
  less(taken: ArrayLike<number>, chance: ArrayLike<number>): Birds {
    const left = new Birds(this.draws, this);
    for (let i = 0; i < this.draws; i++) {
      const n = taken[i]!;
      if (n <= 0) continue;
      const p = chance[i]!;
      const own = n * p * (1 - p);
      const mean = this.#mean[i]! - n * p;
      const variance = Math.max(0, this.#variance[i]! - own);
      left.#least[i] = Math.max(0, this.#least[i]! - n);
      left.#most[i] = Math.max(0, this.#most[i]! - n);
      const sd = Math.sqrt(variance);
      if (mean > CERTAIN * sd) {
        left.#mean[i] = mean;
        left.#variance[i] = variance;
        left.#third[i]! -= own * (1 - 2 * p);
        continue;
      }
      const [first, second, third] = positivePart(mean, sd);
      left.#mean[i] = first;
      left.#variance[i] = Math.max(0, second - first * first);
      left.#third[i] = third - 3 * first * second + 2 * first ** 3;
    }
    return left;
  }

  /** Mean of how many are missing of a number, in each world; none if more are there. */
  missingOf(count: number): Float64Array {
    return this.#mean.map(
      (mean, i) => positivePart(count - mean, Math.sqrt(this.#variance[i]!))[0],
    );
  }

  /** Mean number of birds over the worlds. */
  get expected(): number {
    return this.#mean.reduce((sum, mean) => sum + mean, 0) / this.draws;
  }

  /** Standard deviation of the number of birds, by the law of total variance. */
  get sd(): number {
    const all = this.expected;
    let within = 0;
    let between = 0;
    for (let i = 0; i < this.draws; i++) {
      within += this.#variance[i]!;
      between += (this.#mean[i]! - all) ** 2;
    }
    return Math.sqrt((within + between) / this.draws);
  }

  /** P(at least `count` birds), and how far so many draws may miss it. */
  chance(count: number): BirdChance {
    if (count <= 0) return { chance: 1, error: 0 };
    let sum = 0;
    let squares = 0;
    for (let i = 0; i < this.draws; i++) {
      const tail = this.#tail(i, count);
      sum += tail;
      squares += tail * tail;
    }
    const chance = sum / this.draws;
    const scatter = Math.max(0, squares / this.draws - chance * chance);
    return { chance, error: Math.sqrt(scatter / this.draws) };
  }

  /** The smallest number of birds that is not exceeded with at least this probability. */
  quantile(probability: number): number {
    let low = -1;
    let high = this.#most.reduce((a, b) => Math.max(a, b), 0);
    high = Math.ceil(high);
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (1 - this.chance(middle + 1).chance >= probability) high = middle;
      else low = middle;
    }
    return Math.max(0, high);
  }

  /** P(at least `count`) within one world. */
  #tail(i: number, count: number): number {
    if (count > this.#most[i]! + 1e-9) return 0;
    if (count <= this.#least[i]! + 1e-9) return 1;
    const variance = this.#variance[i]!;
    if (variance <= 1e-12) return this.#mean[i]! >= count - 1e-9 ? 1 : 0;
    const sd = Math.sqrt(variance);
    const z = (count - 0.5 - this.#mean[i]!) / sd;
    const skew = this.#third[i]! / (variance * sd);
    const tail = normalUpper(z) - (skew * (1 - z * z) * Math.exp(-0.5 * z * z)) / (6 * SQRT_2PI);
    return Math.min(1, Math.max(0, tail));
  }
}
