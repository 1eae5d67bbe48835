/**
 * Farms whose true rates are known because they were drawn: the other side of the forecast. Nothing
 * here is shared with the forecast but the shipped tables; what is drawn is drawn by the book, egg by egg.
 */
import betaFactory from '@stdlib/random-base-beta';
import binomialFactory from '@stdlib/random-base-binomial';
import mersenneTwister from '@stdlib/random-base-mt19937';
import type { Stage } from '../../src/facts/stages.ts';
import { penStages, seedPrior, seedSpread, storageSeeds } from '../../src/facts/stages.ts';
import { storagePoints } from '../../src/judge/rates/storage.ts';
import { speciesOf } from '../../src/season/species.ts';
import { addDays, type Day, daysBetween } from '../../src/text/day.ts';
import type { Written } from '../support/season.ts';

export interface PenKind {
  name: string;
  line: string;
  species: string;
  hens: number;
}

/** How the truth differs from what the priors believe. */
export interface Wrong {
  /** Added to the logit of the true mean of every stage from fertile to hatched. */
  shift: number;
  /** Factor on the true correlation within sets. */
  scatter: number;
}
export const right: Wrong = { shift: 0, scatter: 1 };

/** Who wants birds of a line, ready between two days. */
export interface Wanted {
  line: string;
  want: 'pullets' | 'chicks';
  count: number;
  from: Day;
  by: Day;
  /** Kept by the farm itself; else sold. */
  isKept: boolean;
}

/** Days eggs are stored at most, and days from joining to the first set. */
export const MAX_DAYS = 8;
export const FIRST_SET = 21;
const NO_SPREAD = 0.05;
const SPREAD_SIGMA = 0.75;
const shifted: readonly Stage[] = ['fertile', 'candled', 'transferred', 'hatched'];

export class Chance {
  readonly uniform: () => number;
  readonly #beta: (a: number, b: number) => number;
  readonly #binomial: (n: number, p: number) => number;

  constructor(seed: number) {
    this.uniform = (
      mersenneTwister.factory({ seed }) as unknown as { normalized: () => number }
    ).normalized;
    this.#beta = betaFactory.factory({ prng: this.uniform }) as unknown as Chance['scatter'];
    this.#binomial = binomialFactory.factory({ prng: this.uniform }) as unknown as Chance['of'];
  }

  /** Beta of a mean and an intraclass correlation. */
  scatter(mean: number, rho: number): number {
    if (rho <= 0 || mean <= 0 || mean >= 1) return mean;
    return this.#beta(mean * (1 / rho - 1), (1 - mean) * (1 / rho - 1));
  }

  of(n: number, p: number): number {
    return n <= 0 || p <= 0 ? 0 : p >= 1 ? n : this.#binomial(n, p);
  }

  /** Lognormal of mean one. */
  lognormal(sigma: number): number {
    const z = Math.sqrt(-2 * Math.log(1 - this.uniform())) * Math.cos(2 * Math.PI * this.uniform());
    return Math.exp(sigma * z - sigma ** 2 / 2);
  }
}

/** Years and units differ less than expected on three farms of ten, much more on a quarter. */
const stepTimes = (uniform: number) => (uniform < 0.3 ? 0.3 : uniform < 0.75 ? 1 : 2.5);

interface StageTruth {
  mean: number;
  within: number;
  between: number;
  year: number;
}

/** One farm's true rates; those of pens and years are drawn when first asked for. */
export class FarmTruth {
  readonly #stages = new Map<string, StageTruth>();
  readonly #units = new Map<string, number>();
  readonly #storage = new Map<string, number>();

  constructor(
    readonly chance: Chance,
    readonly wrong: Wrong,
  ) {}

  stage(species: string, stage: Stage): StageTruth {
    const key = `${species} ${stage}`;
    const known = this.#stages.get(key);
    if (known) return known;
    const { mean, strength } = seedPrior(species, stage);
    const spread = seedSpread(stage);
    const { chance, wrong } = this;
    const drawn = chance.scatter(mean, 1 / (strength + 1));
    const times = stepTimes(chance.uniform());
    const moved = shifted.includes(stage)
      ? 1 / (1 + Math.exp(-(Math.log(drawn / (1 - drawn)) + wrong.shift)))
      : drawn;
    const made = {
      mean: moved,
      within:
        chance.uniform() < NO_SPREAD
          ? 0
          : Math.min(0.5, spread.within * wrong.scatter * chance.lognormal(SPREAD_SIGMA)),
      between: spread.between * times,
      year: spread.year * times,
    };
    this.#stages.set(key, made);
    return made;
  }

  /** The rate of a year: its bad luck is that of all pens of a kind. */
  year(stage: Stage, species: string, year: number): number {
    const { mean, year: scatter } = this.stage(species, stage);
    return this.#drawn(`${year} ${stage} kind ${species}`, mean, scatter);
  }

  unit(stage: Stage, pen: PenKind, year: number): number {
    const name = penStages.includes(stage) ? pen.name : pen.line;
    const mean = this.year(stage, pen.species, year);
    return this.#drawn(`${year} ${stage} ${name}`, mean, this.stage(pen.species, stage).between);
  }

  #drawn(name: string, mean: number, scatter: number): number {
    const known = this.#units.get(name) ?? this.chance.scatter(mean, scatter);
    this.#units.set(name, known);
    return known;
  }

  /** The rate of one set, week or group. */
  set(stage: Stage, pen: PenKind, year: number): number {
    return this.chance.scatter(this.unit(stage, pen, year), this.stage(pen.species, stage).within);
  }

  storage(species: string): number {
    const known = this.#storage.get(species);
    if (known !== undefined) return known;
    const made =
      this.chance.uniform() < NO_SPREAD ? 0 : this.chance.lognormal(storageSeeds.doubt.value);
    this.#storage.set(species, made);
    return made;
  }
}

/** What became of one share. */
interface Outcome {
  set: string;
  pen: PenKind;
  on: Day;
  eggs: number;
  fertile: number;
  candled: number;
  moved: number;
  hatched: number;
  sound: number;
  lost: { first: number; early: number; late: number };
  females: number;
  reared: number;
}

/** One season of a farm as it truly goes. */
export class SeasonTruth {
  readonly joined: Day;
  readonly #laid = new Map<string, { day: Day; laid: number; kept: number; left: number }[]>();
  readonly #outcomes: Outcome[] = [];

  constructor(
    readonly farm: FarmTruth,
    readonly pens: readonly PenKind[],
    readonly year: number,
    weeks: number,
  ) {
    this.joined = `${year}-02-01` as Day;
    const { chance } = farm;
    const days = FIRST_SET + weeks * 7;
    for (const pen of pens) {
      const lots: { day: Day; laid: number; kept: number; left: number }[] = [];
      let lay = 0;
      let keep = 0;
      // Hens lay all along; what they lay sooner is no hatching egg.
      const first = speciesOf(pen.species).fertility_lag_days.value;
      for (let d = first; d <= days; d++) {
        if ((d - first) % 7 === 0) {
          lay = farm.set('lay', pen, year);
          keep = farm.set('kept', pen, year);
        }
        const laid = chance.of(pen.hens, lay);
        const kept = chance.of(laid, keep);
        lots.push({ day: addDays(this.joined, d), laid, kept, left: kept });
      }
      this.#laid.set(pen.name, lots);
    }
  }

  /** Sets eggs as far as they are there, the freshest first, and lets everything happen to them. */
  run(set: string, on: Day, shares: readonly { pen: PenKind; eggs: number }[]): void {
    const { farm, year } = this;
    const { chance } = farm;
    const ratesByLine = new Map<string, Record<string, number>>();
    for (const { pen, eggs } of shares) {
      const rates = ratesByLine.get(pen.line) ?? {
        candled: farm.set('candled', pen, year),
        transferred: farm.set('transferred', pen, year),
        hatched: farm.set('hatched', pen, year),
        sound: farm.set('sound', pen, year),
        reared: farm.set('reared', pen, year),
      };
      ratesByLine.set(pen.line, rates);
      const penalty = speciesOf(pen.species).storage_penalty.value;
      let wanted = eggs;
      let there = 0;
      let kept = 0;
      for (const lot of this.#laid.get(pen.name)!.toReversed()) {
        const age = daysBetween(lot.day, on);
        if (age < 0) continue;
        if (age > MAX_DAYS || wanted === 0) break;
        const taken = Math.min(lot.left, wanted);
        lot.left -= taken;
        wanted -= taken;
        there += taken;
        const points = farm.storage(pen.species) * storagePoints(penalty, age);
        kept += taken * Math.max(0, 1 - points / 100 / storageSeeds.usual_hatch.value);
      }
      if (there === 0) continue;
      const fertile = chance.of(there, farm.set('fertile', pen, year));
      const candled = chance.of(fertile, rates.candled!);
      const moved = chance.of(candled, rates.transferred!);
      const hatched = chance.of(moved, (rates.hatched! * kept) / there);
      const sound = chance.of(hatched, rates.sound!);
      const reared = chance.of(sound, rates.reared!);
      const lost = sound - reared;
      const first = chance.of(lost, 0.28);
      const early = chance.of(lost - first, 0.39);
      this.#outcomes.push({
        // A set is of one species.
        set: `${set}-${pen.species}`,
        pen,
        on,
        eggs: there,
        fertile,
        candled,
        moved,
        hatched,
        sound,
        lost: { first, early, late: lost - first - early },
        females: chance.of(reared, farm.unit('female', pen, year)),
        reared,
      });
    }
  }

  /** Birds of a line in the end. */
  birds(line: string, want: 'pullets' | 'chicks' | 'cockerels'): number {
    return this.#outcomes
      .filter((one) => one.pen.line === line)
      .reduce(
        (sum, one) =>
          sum +
          (want === 'chicks'
            ? one.sound
            : want === 'pullets'
              ? one.females
              : one.reared - one.females),
        0,
      );
  }

  /**
   * Birds that each has of its line. In each hatch those who sell have theirs first, the first day before
   * the next: chicks as they come off the hatcher, whichever they are, pullets when they are reared. Who
   * keeps birds has what is left.
   */
  shared(wanted: readonly Wanted[]): number[] {
    const { chance } = this.farm;
    const had = wanted.map(() => 0);
    const turns = wanted
      .map((one, i) => ({ ...one, i }))
      .sort(
        (a, b) => Number(a.isKept) - Number(b.isKept) || (a.by < b.by ? -1 : a.by > b.by ? 1 : 0),
      );
    for (const { pen, on, sound, females } of this.#outcomes.toSorted((a, b) =>
      a.on < b.on ? -1 : 1,
    )) {
      const off = addDays(on, speciesOf(pen.species).hatch_window_days.value.high);
      const left = { chicks: sound, pullets: females };
      for (const { i, line, want, count, from, by, isKept } of turns) {
        if (line !== pen.line || (want === 'chicks' && (off < from || off > by))) continue;
        const taken = Math.min(left[want], isKept ? Number.POSITIVE_INFINITY : count - had[i]!);
        had[i]! += taken;
        // Chicks that are kept are there to be reared.
        if (want === 'pullets') left.pullets -= taken;
        else if (!isKept)
          for (let n = taken; n > 0; n--)
            if (chance.uniform() * left.chicks-- < left.pullets) left.pullets--;
      }
    }
    return had;
  }

  /** The rows a careful keeper would have written up to a day (not that day itself). */
  rows(until: Day): Written[] {
    const rows: Written[] = [];
    const broods = new Map<
      string,
      { hatched: Day; first: number; early: number; late: number; females: number; males: number }
    >();
    for (const [pen, lots] of this.#laid)
      for (const { day, laid, kept } of lots) rows.push(['eggs', day, { pen, laid, kept }]);
    for (const one of this.#outcomes) {
      const { set, on } = one;
      const species = speciesOf(one.pen.species);
      const pen = one.pen.name;
      const at = (days: number) => addDays(on, days);
      const hatch = species.hatch_day.value + 1;
      const group = `${set}-${one.pen.line}`;
      rows.push(
        ['set', on, { set, pen, eggs: one.eggs }],
        [
          'candling',
          at(species.candle_days.value[0]!),
          { set, pen, clear: one.eggs - one.fertile, quit: one.fertile - one.candled },
        ],
        [
          'transfer',
          at(species.transfer_day.value),
          { set, pen, hatcher: 'lower', moved: one.moved, quit: one.candled - one.moved },
        ],
        [
          'hatch',
          at(hatch),
          {
            set,
            pen,
            hatched: one.hatched,
            weak: one.hatched - one.sound,
            unpipped: one.moved - one.hatched,
            final: 'yes',
          },
        ],
      );
      if (one.sound === 0) continue;
      rows.push(['group', at(hatch), { group, set, pen, brooder: 'barn', chicks: one.sound }]);
      const brood = broods.get(group) ?? {
        hatched: at(hatch),
        first: 0,
        early: 0,
        late: 0,
        females: 0,
        males: 0,
      };
      broods.set(group, brood);
      brood.first += one.lost.first;
      brood.early += one.lost.early;
      brood.late += one.lost.late;
      brood.females += one.females;
      brood.males += one.reared - one.females;
    }
    for (const [group, brood] of broods) {
      const losses = [
        [4, brood.first],
        [24, brood.early],
        [100, brood.late],
      ] as const;
      for (const [age, birds] of losses)
        if (birds > 0) rows.push(['loss', addDays(brood.hatched, age), { group, birds }]);
      if (brood.females + brood.males === 0) continue;
      rows.push([
        'sexing',
        addDays(brood.hatched, 120),
        { group, pullets: brood.females, cockerels: brood.males, unsure: 0 },
      ]);
    }
    return rows.filter(([, on]) => on < until);
  }
}
