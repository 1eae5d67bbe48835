/**
 * Birds to come, world by world. Within a world all rates are known and the birds are a sum of
 * binomials; its distribution is taken from its first three moments (the refined normal
 * approximation of the Poisson-binomial, Volkova 1996, Theory Probab. Appl. 40:791). So a chance is
 * an average of exact-looking tails, moves smoothly with the eggs, and carries less noise than
 * counting worlds would.
 */
import { normalUpper } from '../statistics/distributions.ts';

/** So many eggs (or chicks) in each world, each a bird wanted with this chance. */
export interface Portion {
  readonly eggs: ArrayLike<number> | number;
  readonly rate: ArrayLike<number> | number;
}

export interface Chance {
  chance: number;
  /** Standard error from the number of draws. */
  error: number;
}

const SQRT_2PI = Math.sqrt(2 * Math.PI);

export class Birds {
  readonly #mean: Float64Array;
  readonly #variance: Float64Array;
  readonly #third: Float64Array;
  readonly #most: Float64Array;

  constructor(
    readonly draws: number,
    base?: Birds,
  ) {
    this.#mean = base ? Float64Array.from(base.#mean) : new Float64Array(draws);
    this.#variance = base ? Float64Array.from(base.#variance) : new Float64Array(draws);
    this.#third = base ? Float64Array.from(base.#third) : new Float64Array(draws);
    this.#most = base ? Float64Array.from(base.#most) : new Float64Array(draws);
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
      this.#most[i]! += p > 0 ? n : 0;
    }
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
  chance(count: number): Chance {
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
    const variance = this.#variance[i]!;
    if (variance <= 1e-12) return this.#mean[i]! >= count - 1e-9 ? 1 : 0;
    const sd = Math.sqrt(variance);
    const z = (count - 0.5 - this.#mean[i]!) / sd;
    const skew = this.#third[i]! / (variance * sd);
    const tail = normalUpper(z) - (skew * (1 - z * z) * Math.exp(-0.5 * z * z)) / (6 * SQRT_2PI);
    return Math.min(1, Math.max(0, tail));
  }
}
