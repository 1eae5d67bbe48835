/**
 * Draws from what is known: each world has its own rates for every pen and line, its own size of
 * storage loss, its own laying, and its own scatter for every set. The same seed gives the same worlds,
 * and a set keeps its scatter whatever else is planned, so that two plans are compared under the same
 * weather (common random numbers). Rates of pens and seasons are drawn together: what is unknown of
 * the farm as a whole is unknown of all its pens at once.
 */
import gammaln from '@stdlib/math-base-special-gammaln';
import randomBeta from '@stdlib/random-base-beta';
import mersenneTwister from '@stdlib/random-base-mt19937';
import { laidOn, layersOn, layIsGood } from '../../facts/laying.ts';
import type { Stage } from '../../facts/stages.ts';
import type { Line, Pen, Season } from '../../season/model.ts';
import { checksum } from '../../text/checksum.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import type { FarmRates } from './rates.ts';
import { type Aged, keptByStorage } from './storage.ts';

/** Eggs of one pen to be set on a day. */
export interface PlannedShare {
  /** Name of the set: its shares have the machine's scatter in common. */
  readonly set: string;
  readonly pen: Pen;
  readonly on: Day;
  readonly eggs: number;
}

type Draw = (a: number, b: number) => number;

/** A rate known in each world: its correlation within sets beside it. */
interface KnownRate {
  rate: Float64Array;
  within: Float64Array;
}

/** First three raw moments of what the scatter of one set makes of a rate, in each world. */
export interface ScatterMoments {
  readonly first: Float64Array;
  readonly second: Float64Array;
  readonly third: Float64Array;
}

/** A variance below this is none. */
const NO_LUCK = 1e-12;

/**
 * The beta of one world that has the mean and spread of the product of some stages' own betas; without
 * spread, a `strength` of null.
 */
function productOf(
  drawn: readonly KnownRate[],
  i: number,
): { mean: number; strength: number | null } {
  let mean = 1;
  let square = 1;
  for (const { rate, within } of drawn) {
    const p = rate[i]!;
    mean *= p;
    square *= p * p + within[i]! * p * (1 - p);
  }
  const variance = square - mean * mean;
  if (variance <= NO_LUCK || mean <= 0 || mean >= 1) return { mean, strength: null };
  return { mean, strength: (mean * (1 - mean)) / variance - 1 };
}

export class Worlds {
  readonly #units = new Map<string, KnownRate>();
  readonly #passing = new Map<string, Float64Array>();
  readonly #moments = new Map<string, ScatterMoments>();
  readonly #scales = new Map<string, Uint8Array>();
  readonly #laying = new Map<string, Laying>();

  constructor(
    readonly season: Season,
    readonly today: Day,
    readonly rates: FarmRates,
    readonly draws: number,
    readonly seed: number,
  ) {}

  /** Uniform numbers on a stream of their own. */
  uniform(name: string): () => number {
    return (
      mersenneTwister.factory({ seed: Math.max(1, checksum(name, this.seed)) }) as unknown as {
        normalized: () => number;
      }
    ).normalized;
  }

  beta(name: string): Draw {
    return randomBeta.factory({ prng: this.uniform(name) }) as unknown as Draw;
  }

  /** Rate of a pen (or its line) in each world, and the correlation within its sets. */
  unit(stage: Stage, pen: Pen): KnownRate {
    const key = `${stage} ${this.rates.unit(stage, pen)}`;
    const known = this.#units.get(key);
    if (known) return known;
    // All pens that share the farm's rate are drawn at once.
    const pool = this.rates.pool(stage, pen);
    const alike = [...this.season.pens.values()].filter(
      (one) =>
        one.line.speciesName === pen.line.speciesName && this.rates.pool(stage, one) === pool,
    );
    const names = [...new Set([pen, ...alike].map((one) => this.rates.unit(stage, one)))].sort();
    const uniform = this.uniform(`rates ${stage} ${pool}`);
    const scales = stage === 'hatched' ? this.#scaleOf(pen.line.speciesName) : null;
    const made = names.map(() => ({
      rate: new Float64Array(this.draws),
      within: new Float64Array(this.draws),
    }));
    const values = scales ? this.rates.storage(pen.line.speciesName).values : [1];
    values.forEach((value, index) => {
      const worlds: number[] = [];
      for (let i = 0; i < this.draws; i++) if (!scales || scales[i] === index) worlds.push(i);
      if (worlds.length === 0) return;
      const drawn = this.rates.posterior(stage, pen, value).draw(names, worlds.length, uniform);
      worlds.forEach((world, i) => {
        names.forEach((_, k) => {
          made[k]!.rate[world] = drawn.rates[k]![i]!;
          made[k]!.within[world] = drawn.within[i]!;
        });
      });
    });
    names.forEach((name, k) => {
      this.#units.set(`${stage} ${name}`, made[k]!);
    });
    return this.#units.get(key)!;
  }

  /** Which multiple of the table's storage loss each world has. */
  #scaleOf(species: string): Uint8Array {
    const known = this.#scales.get(species);
    if (known) return known;
    const { weights } = this.rates.storage(species);
    const uniform = this.uniform(`storage ${species}`);
    const made = Uint8Array.from({ length: this.draws }, () => {
      let left = uniform();
      let at = 0;
      while (at < weights.length - 1 && left >= weights[at]!) left -= weights[at++]!;
      return at;
    });
    this.#scales.set(species, made);
    return made;
  }

  /** What storage leaves of eggs of these ages, in each world. */
  kept(line: Line, ages: readonly Aged[]): Float64Array | number {
    const penalty = line.species.storage_penalty.value;
    if (keptByStorage(penalty, ages) === 1) return 1;
    const { values } = this.rates.storage(line.speciesName);
    const factors = values.map((value) => keptByStorage(penalty, ages, value));
    const scales = this.#scaleOf(line.speciesName);
    const made = new Float64Array(this.draws);
    for (let i = 0; i < made.length; i++) made[i] = factors[scales[i]!]!;
    return made;
  }

  /**
   * The share of one set that passes some stages, in each world: a beta with the mean and spread of
   * the product of the stages' own betas. `whose` names the set or group whose scatter it is.
   */
  passing(stages: readonly Stage[], pen: Pen, whose: string): Float64Array {
    const units = stages.map((stage) => this.rates.unit(stage, pen)).join(',');
    const key = `${stages.join(',')} ${units} ${whose}`;
    const known = this.#passing.get(key);
    if (known) return known;
    const drawn = stages.map((stage) => this.unit(stage, pen));
    const beta = this.beta(key);
    const made = new Float64Array(this.draws);
    for (let i = 0; i < this.draws; i++) {
      const { mean, strength } = productOf(drawn, i);
      made[i] = strength === null ? mean : beta(mean * strength, (1 - mean) * strength);
    }
    this.#passing.set(key, made);
    return made;
  }

  /**
   * The moments of what `passing` draws, raised to a power: E(X), E(X²), E(X³) in each world. For a
   * beta, E(Xᵏ) = Γ(a+k) Γ(a+b) / (Γ(a) Γ(a+b+k)) (Johnson, Kotz & Balakrishnan, Continuous Univariate
   * Distributions 2, 1995, eq. 25.14), for parts of k too.
   */
  moments(stages: readonly Stage[], pen: Pen, power = 1): ScatterMoments {
    const units = stages.map((stage) => this.rates.unit(stage, pen)).join(',');
    const key = `${stages.join(',')} ${units} ${power}`;
    const known = this.#moments.get(key);
    if (known) return known;
    const drawn = stages.map((stage) => this.unit(stage, pen));
    const row = () => new Float64Array(this.draws);
    const made: ScatterMoments = { first: row(), second: row(), third: row() };
    for (let i = 0; i < this.draws; i++) {
      const { mean, strength } = productOf(drawn, i);
      if (strength === null) {
        const rate = mean ** power;
        made.first[i] = rate;
        made.second[i] = rate * rate;
        made.third[i] = rate * rate * rate;
      } else if (power === 1) {
        made.first[i] = mean;
        made.second[i] = (made.first[i]! * (mean * strength + 1)) / (strength + 1);
        made.third[i] = (made.second[i]! * (mean * strength + 2)) / (strength + 2);
      } else {
        const a = mean * strength;
        const moment = (k: number) =>
          Math.exp(gammaln(a + k) - gammaln(a) + gammaln(strength) - gammaln(strength + k));
        made.first[i] = moment(power);
        made.second[i] = moment(2 * power);
        made.third[i] = moment(3 * power);
      }
    }
    this.#moments.set(key, made);
    return made;
  }

  /** Egg to chick for a share still to be set, in each world. */
  hatching(pen: Pen, set: string, ages: readonly Aged[]): Float64Array {
    const fertile = this.passing(['fertile'], pen, set);
    const alive = this.passing(['candled', 'transferred', 'hatched'], pen, set);
    const kept = this.kept(pen.line, ages);
    const made = new Float64Array(this.draws);
    for (let i = 0; i < made.length; i++)
      made[i] = fertile[i]! * alive[i]! * (typeof kept === 'number' ? kept : kept[i]!);
    return made;
  }

  /**
   * Eggs that will really be there for each planned share, world by world: no more than planned, and
   * no more than the pen laid and the keeper kept. A set takes the freshest eggs there are, as
   * `facts/egg-store` has it. Also the ages to expect.
   */
  eggsThatCome(shares: readonly PlannedShare[]): { eggs: Float64Array; ages: readonly Aged[] }[] {
    const result = new Map<PlannedShare, { eggs: Float64Array; ages: readonly Aged[] }>();
    for (const pen of new Set(shares.map((share) => share.pen))) {
      const own = shares
        .filter((share) => share.pen === pen)
        .sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : a.set < b.set ? -1 : 1));
      const last = own.at(-1)!.on;
      const laying = this.layingOf(pen, last);
      const maxAge = this.season.storageMaxDays(pen.line.species);
      const lots = laying.expected(last).reverse();
      // Eggs laid between two settings are one block, counted from the first egg of the pen: a set
      // lowers the top of the newest blocks, age raises their bottom.
      let blocks: { on: Day; bottom: Int32Array; top: Float64Array }[] = [];
      for (const share of own) {
        const { on } = share;
        const tooOld = laying.until(addDays(on, -maxAge - 1));
        const newest = blocks[0];
        if (newest?.on !== on) {
          const bottom = newest ? laying.until(newest.on) : tooOld;
          const alive = blocks.filter((block) => daysBetween(block.on, on) <= maxAge);
          blocks = [{ on, bottom, top: new Float64Array(laying.until(on)) }, ...alive];
        }
        const eggs = new Float64Array(this.draws);
        for (let i = 0; i < this.draws; i++) {
          let wanted = share.eggs;
          const old = tooOld[i]!;
          for (let b = 0; b < blocks.length && wanted > 0; b++) {
            const { bottom, top } = blocks[b]!;
            const taken = Math.min(wanted, top[i]! - Math.max(bottom[i]!, old));
            if (taken <= 0) continue;
            top[i]! -= taken;
            wanted -= taken;
          }
          eggs[i] = share.eggs - wanted;
        }
        const ages: Aged[] = [];
        let wanted = share.eggs;
        for (const lot of lots) {
          const age = daysBetween(lot.day, on);
          if (age > maxAge || wanted <= 0) break;
          const taken = age < 0 ? 0 : Math.min(lot.eggs, wanted);
          if (taken <= 0) continue;
          lot.eggs -= taken;
          wanted -= taken;
          ages.push({ age, eggs: taken });
        }
        result.set(share, { eggs, ages });
      }
    }
    return shares.map((share) => result.get(share)!);
  }

  /** The laying of a pen, drawn as far as a day. */
  layingOf(pen: Pen, last: Day): Laying {
    const known = this.#laying.get(pen.name) ?? new Laying(this, pen);
    this.#laying.set(pen.name, known);
    known.reach(last);
    return known;
  }
}

const WEEK = 7;
/** More eggs than anybody sets. */
const AS_MANY_AS_ASKED = 1_000_000;

/** Hatching eggs of one pen: in store, and laid from now on, summed by day in each world. */
class Laying {
  /** Eggs in store by day, and the first day whose eggs are not in the log yet. */
  readonly #stored: { day: Day; eggs: number }[];
  readonly #first: Day;
  /** Sums to the end of each week from `first`; entry 0 is what is in store. */
  readonly #sums: Float64Array[];
  /** Hens that lay eggs worth setting, by week and day. */
  readonly #good: number[][] = [];
  readonly #means: number[] = [];
  readonly #until = new Map<Day, Int32Array>();
  readonly #normal: () => number;
  readonly #worlds: Worlds;
  readonly #pen: Pen;
  readonly #layers: (day: Day) => number;

  constructor(worlds: Worlds, pen: Pen) {
    const { season, today } = worlds;
    this.#worlds = worlds;
    this.#pen = pen;
    this.#layers = layersOn(season, pen);
    const logged = season.rows.eggs.some(
      (row) => row.values.pen === pen.name && row.on.day >= today,
    );
    this.#first = logged ? addDays(today, 1) : today;
    this.#stored = season.lots
      .filter((lot) => lot.pen === pen.name && lot.left > 0)
      .map((lot) => ({ day: lot.laid, eggs: lot.left }));
    // Eggs bought and on their way come as ordered; without a number, as many as are asked for.
    if (pen.bought !== null && pen.bought.on > today)
      this.#stored.push({
        day: laidOn(pen, pen.bought.on),
        eggs: pen.bought.eggs ?? AS_MANY_AS_ASKED,
      });
    const sum = this.#stored.reduce((total, lot) => total + lot.eggs, 0);
    this.#sums = [new Float64Array(worlds.draws).fill(sum)];
    this.#normal = normals(worlds.uniform(`laying ${pen.name}`));
  }

  reach(last: Day): void {
    const { draws } = this.#worlds;
    while (addDays(this.#first, this.#good.length * WEEK) <= last) {
      const week = this.#good.length;
      const good = Array.from({ length: WEEK }, (_, i) => {
        const day = addDays(this.#first, week * WEEK + i);
        return layIsGood(this.#pen, day) ? this.#layers(day) : 0;
      });
      const hens = sumOf(good);
      const before = this.#sums.at(-1)!;
      const sums = Float64Array.from(before);
      const lay = this.#worlds.unit('lay', this.#pen);
      const kept = this.#worlds.unit('kept', this.#pen);
      // A beta-binomial number by its mean and variance: a week has eggs enough for that.
      for (let i = 0; i < draws; i++) {
        const z = this.#normal();
        const l = lay.rate[i]!;
        const k = kept.rate[i]!;
        const mean = l * k;
        const scatter =
          (l * l + lay.within[i]! * l * (1 - l)) * (k * k + kept.within[i]! * k * (1 - k)) -
          mean * mean;
        const variance = hens * mean * (1 - mean) + hens * (hens - 1) * scatter;
        const eggs = Math.round(hens * mean + Math.sqrt(Math.max(0, variance)) * z);
        sums[i]! += Math.min(hens, Math.max(0, eggs));
      }
      let laid = 0;
      for (let i = 0; i < draws; i++) laid += sums[i]! - before[i]!;
      this.#good.push(good);
      this.#means.push(laid / draws);
      this.#sums.push(sums);
    }
  }

  /** Whole eggs laid up to and on a day, less those set already, in each world. */
  until(day: Day): Int32Array {
    const known = this.#until.get(day);
    if (known) return known;
    const made = this.#laidUntil(day);
    this.#until.set(day, made);
    return made;
  }

  #laidUntil(day: Day): Int32Array {
    const made = new Int32Array(this.#worlds.draws);
    if (day < this.#first)
      return made.fill(
        this.#stored.reduce((total, lot) => (lot.day <= day ? total + lot.eggs : total), 0),
      );
    const days = daysBetween(this.#first, day);
    const week = Math.floor(days / WEEK);
    const good = this.#good[week]!;
    const all = sumOf(good);
    const part = all === 0 ? 0 : sumOf(good.slice(0, (days % WEEK) + 1)) / all;
    const before = this.#sums[week]!;
    const after = this.#sums[week + 1]!;
    for (let i = 0; i < made.length; i++)
      made[i] = Math.floor(before[i]! + part * (after[i]! - before[i]!));
    return made;
  }

  /** Mean eggs by day of laying, oldest first. */
  expected(last: Day): { day: Day; eggs: number }[] {
    const lots = this.#stored.map((lot) => ({ ...lot }));
    for (let day = this.#first; day <= last; day = addDays(day, 1)) {
      const days = daysBetween(this.#first, day);
      const week = Math.floor(days / WEEK);
      const good = this.#good[week]!;
      const hens = good[days % WEEK]!;
      if (hens > 0) lots.push({ day, eggs: this.#means[week]! * (hens / sumOf(good)) });
    }
    return lots;
  }
}

const sumOf = (counts: readonly number[]): number => counts.reduce((sum, one) => sum + one, 0);

/** Standard normal numbers from uniform ones (Box & Muller, Ann. Math. Stat. 29, 1958, 610). */
function normals(uniform: () => number): () => number {
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const one = spare;
      spare = null;
      return one;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
    const angle = 2 * Math.PI * uniform();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}
