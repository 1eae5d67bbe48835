import { type Expected, hasHatched } from '../../facts/expected.ts';
import { type LiveEggs, partOfRoom } from '../../facts/feasible/hatchers.ts';
import { milestonesOfPlanned, milestonesOfShare, openPlan } from '../../facts/hatch-time.ts';
import type { Stage } from '../../facts/stages.ts';
import { isHen, isHers } from '../../season/hens.ts';
import type { Line, Now, Pen, Season, Share } from '../../season/model.ts';
import { type Day, later } from '../../text/day.ts';
import { once } from '../../text/once.ts';
import { nextSet } from './next-set.ts';
import { countsNear, productMoments } from './product-of-rates.ts';
import type { FarmRates } from './rates.ts';

/** Chicks that a share not hatched yet is expected to give. */
export type ExpectedChicks = {
  readonly set: string;
  readonly pen: string;
  readonly line: Line;
  readonly hatch: Day;
  readonly eggs: number;
  readonly median: number;
  /** The 90 % quantile. */
  readonly high: number;
  readonly mean: number;
  /** Standard deviation that all shares of the pen have in common: how well its rates are known. */
  readonly shared: number;
  /** Variance of this share alone: the scatter of the set and the chance of each egg. */
  readonly own: number;
};

/**
 * Chicks to come as `expectedHatches`, by their mean alone: without the distributions, which take a
 * hundred times as long.
 */
export function expectedMeans(
  season: Season,
  now: Now,
  rates: FarmRates,
): { set: string; line: Line; hatch: Day; mean: number }[] {
  const momentsOf = momentsBy(rates);
  return sharesToCome(season).map(({ set, pen, eggs, stages, hatch }) => ({
    set,
    line: pen.line,
    hatch: later(hatch, now.day),
    mean: eggs * momentsOf(pen, stages).mean,
  }));
}

/** Mean and standard deviation of the rate at which eggs of a pen pass some stages in their next set. */
function momentsBy(rates: FarmRates): (pen: Pen, stages: readonly Stage[]) => Moments {
  const known = new Map<string, Moments>();
  return (pen, stages) => {
    const key = JSON.stringify([pen.name, stages]);
    const made =
      known.get(key) ?? productMoments(stages.map((stage) => nextSet(rates.rate(stage, pen))));
    known.set(key, made);
    return made;
  };
}

type Moments = ReturnType<typeof productMoments>;

/** The rate at which eggs of a pen are moved alive in their next set: mean and standard deviation. */
export function liveRate(rates: FarmRates, pen: Pen): Moments {
  return momentsBy(rates)(pen, toCome.set.filter(isBeforeHatcher));
}

/** The live ones among eggs to set, for a hatcher that holds so many. */
export function liveAmong(eggs: number, { mean, sd }: Moments, holds: number): LiveEggs {
  return { mean: eggs * mean, variance: countVariance(eggs, mean, sd), most: eggs, holds };
}

/**
 * The most eggs to set so that a hatcher holds the live ones among them beside others, but for one chance in
 * twenty.
 */
export function mostForRoom(
  live: Moments,
  holds: number,
  beside: readonly LiveEggs[] = [],
): number {
  const fits = (eggs: number) => partOfRoom([...beside, liveAmong(eggs, live, holds)]).high <= 1;
  let eggs = holds;
  while (fits(eggs + 1)) eggs++;
  while (eggs > 0 && !fits(eggs)) eggs--;
  return eggs;
}

/** Stages that are passed once eggs lie in the hatcher. */
const IN_HATCHER: readonly Stage[] = ['hatched', 'sound'];
const isBeforeHatcher = (stage: Stage): boolean => !IN_HATCHER.includes(stage);

/**
 * What is expected of a season's pens, eggs and chicks by the farm's rates, worked out when it is
 * asked for: a season with nothing to come never asks.
 */
export function expectedIn(season: Season, now: Now, ratesOf: () => FarmRates): Expected {
  const rates = once(ratesOf);
  const moments = once(() => momentsBy(rates()));
  const toMove = once(
    () =>
      new Map(
        sharesToCome(season)
          .filter(({ stages }) => stages !== toCome.moved)
          .map((share) => [JSON.stringify([share.set, share.pen.name]), share]),
      ),
  );
  return {
    eggsADay: (name) => {
      const pen = season.pens.get(name)!;
      return pen.hens === 0 ? 0 : eggsADay(rates(), pen);
    },
    liveEggs: (set, pen) => {
      const share = toMove().get(JSON.stringify([set, pen]));
      if (share === undefined) return null;
      const stages = share.stages.filter(isBeforeHatcher);
      const { mean, sd } = moments()(share.pen, stages);
      return { mean: share.eggs * mean, variance: countVariance(share.eggs, mean, sd) };
    },
    chicks: once(() => expectedMeans(season, now, rates())),
  };
}

/** Variance of how many of some eggs pass that share a rate p: n·E[p(1 − p)] + n²·Var(p). */
function countVariance(eggs: number, mean: number, sd: number): number {
  return eggs * (mean - mean ** 2 - sd ** 2) + (eggs * sd) ** 2;
}

/** Expected hatching eggs a day from a pen, by what is known of its lay and what is kept. */
export function eggsADay(rates: FarmRates, pen: Pen): number {
  return pen.hens * rates.rate('lay', pen).mean * rates.rate('kept', pen).mean;
}

interface ShareToCome {
  set: string;
  pen: Pen;
  eggs: number;
  /** What its eggs still have to pass. */
  stages: readonly Stage[];
  hatch: Day;
}

/** Shares in the machines that no chick has come of, and those planned. What hens sit on wants no room. */
function sharesToCome(season: Season): ShareToCome[] {
  const shares = [...season.sets.values()].flatMap((set) => set.shares);
  return [
    ...shares
      .filter((share) => share.stage !== 'finished' && !hasHatched(share) && !isHers(share))
      .map((share) => ({
        set: share.set,
        pen: share.pen,
        eggs: Math.max(0, share.live),
        stages: toCome[passed(share)],
        hatch: milestonesOfShare(share, season).hatch,
      })),
    ...openPlan(season)
      .filter((planned) => !isHen(season, planned.setter))
      .flatMap((planned) =>
        planned.shares.map((share) => ({
          set: planned.name,
          pen: share.pen,
          eggs: share.eggs,
          stages: toCome.set,
          hatch: milestonesOfPlanned(planned, season).hatch,
        })),
      ),
  ];
}

/** True if chicks are to come: only then is anything expected of the rates and of earlier seasons. */
export const chicksToCome = (season: Season): boolean => sharesToCome(season).length > 0;

const MEDIAN = 0.5;
const NINE_IN_TEN = 0.9;
/** The standard normal quantile of nine in ten. */
const NINE_IN_TEN_SD = 1.2815515655446004;

/** What eggs still have to pass to be sound chicks, by how far they have come. */
const toCome: Readonly<Record<'set' | 'candled' | 'moved', readonly Stage[]>> = {
  set: ['fertile', 'candled', 'transferred', 'hatched', 'sound'],
  candled: ['transferred', 'hatched', 'sound'],
  moved: ['hatched', 'sound'],
};

/**
 * Chicks to come from sets not opened yet, by share: eggs alive, through the stages still before
 * them, at the rates of this farm (`seeds/rates.yaml`, earlier seasons, this one's counts). Median
 * and nine in ten, with the scatter of sets in them; each share by itself.
 */
export function expectedHatches(season: Season, now: Now, rates: FarmRates): ExpectedChicks[] {
  const known = new Map<string, Chance>();
  const chanceOf = (stages: readonly Stage[], pen: Pen): Chance => {
    const key = `${pen.name} ${stages.length}`;
    let chance = known.get(key);
    if (!chance) {
      const all = stages.map((stage) => nextSet(rates.rate(stage, pen)));
      const shared = stages.map((stage) => nextSet(rates.rate(stage, pen), false));
      chance = {
        ...productMoments(all),
        shared: productMoments(shared).sd,
      };
      known.set(key, chance);
    }
    return chance;
  };
  return sharesToCome(season).map(({ set, pen, eggs, stages, hatch }) => {
    const { mean, sd, shared } = chanceOf(stages, pen);
    const variance = countVariance(eggs, mean, sd);
    const chances = countsNear(eggs, mean, sd);
    return {
      set,
      pen: pen.name,
      line: pen.line,
      hatch: later(hatch, now.day),
      eggs,
      median: quantile(chances, MEDIAN),
      high: quantile(chances, NINE_IN_TEN),
      mean: eggs * mean,
      shared: eggs * shared,
      own: Math.max(0, variance - (eggs * shared) ** 2),
    };
  });
}

type Chance = {
  readonly mean: number;
  readonly sd: number;
  readonly shared: number;
};

/**
 * Chicks of several shares together: the median and the 90 % quantile. Shares of
 * one pen stand or fall with its rates, those of two pens do not; the sum is near a normal
 * distribution, which is good to a chick or two.
 */
export function together(expected: readonly ExpectedChicks[]): { median: number; high: number } {
  const pens = new Map<string, number>();
  let mean = 0;
  let variance = 0;
  for (const one of expected) {
    mean += one.mean;
    variance += one.own;
    pens.set(one.pen, (pens.get(one.pen) ?? 0) + one.shared);
  }
  for (const shared of pens.values()) variance += shared ** 2;
  const eggs = expected.reduce((sum, one) => sum + one.eggs, 0);
  return { median: mean, high: Math.min(eggs, mean + NINE_IN_TEN_SD * Math.sqrt(variance)) };
}

function passed(share: Share): keyof typeof toCome {
  if (share.stage === 'in-hatcher') return 'moved';
  return share.candlings.length > 0 ? 'candled' : 'set';
}

/** The least number of chicks that the chance of no more reaches. */
function quantile(chances: Float64Array, chance: number): number {
  let sum = 0;
  for (let k = 0; k < chances.length; k++) {
    sum += chances[k]!;
    if (sum >= chance) return k;
  }
  return chances.length - 1;
}
