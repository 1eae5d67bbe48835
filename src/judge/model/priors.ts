/** What is expected of a kind before any counts, from `seeds/`: on the log-odds of failing. */

import type * as z from 'zod';
import file from '../../../seeds/causes.yaml';
import { type Stage, seedPrior, seedSpread } from '../../facts/stages.ts';
import { norms, usualOf } from '../norms.ts';
import { moreIsBetter, type RateName } from '../rate-names.ts';
import type { causesFile } from './causes-schema.ts';
import { logistic, logit, type WeightedPoint } from './grid.ts';
import { sizeOfStep } from './levels.ts';
import type { Failing } from './stages.ts';

export const seeds = file as z.infer<typeof causesFile>;

export type Level = { readonly centre: number; readonly sd: number };

/** Rates beside an egg's way that are counted: of eggs laid, of eggs set, of chicks. */
export const beside = ['unfit', 'rotten', 'cracked', 'malposed', 'weak', 'dead'] as const;
export type Beside = (typeof beside)[number];
export type Counted = Failing | Beside;

/** The norm that a counted rate is read from; `fertile` and `settable` are shares that pass. */
const normOf = {
  infertile: 'fertile',
  early: 'early',
  middle: 'middle',
  late: 'late',
  pipped: 'pipped',
  unfit: 'settable',
  rotten: 'rotten',
  cracked: 'cracked',
  malposed: 'malposed',
  weak: 'weak',
  dead: 'dead',
} as const satisfies Record<Counted, keyof typeof norms.rates>;

/** The stage of the chain whose table of species says how a kind differs from the chicken. */
const chainOf: Readonly<Record<Counted, Stage | null>> = {
  infertile: 'fertile',
  early: 'candled',
  middle: 'transferred',
  late: 'hatched',
  pipped: 'hatched',
  unfit: 'kept',
  rotten: null,
  cracked: null,
  malposed: null,
  weak: 'sound',
  dead: 'sound',
};

/** Where the range of a norm is from: shown beside what it was compared with; null without a norm. */
export function sourceOf(rate: string): string | null {
  return Object.hasOwn(normOf, rate) ? norms.rates[normOf[rate as Counted]].source : null;
}

/**
 * The printed range of small farms, read as two standard deviations either side; the end of a range
 * that starts at nothing as a tenth of its upper end.
 */
function levelOfRange({ low, high }: { low: number; high: number }, passes: boolean): Level {
  const from = passes ? 1 - high : Math.max(low, high / 10);
  const to = passes ? 1 - low : high;
  return {
    centre: (logit(from) + logit(to)) / 2,
    sd: Math.max(seeds.levels.least_sd.value, (logit(to) - logit(from)) / 4),
  };
}

/** Centre and spread of a rate of the review, as its norm has it. */
export const normLevel = (rate: RateName): Level => levelOfRange(usualOf(rate), moreIsBetter[rate]);

/** Centre and least spread of passing stages one after the other, as the chicken's chain has it. */
export const passingLevel = (stages: readonly Stage[]): Level => ({
  centre: logit(
    1 - stages.reduce((product, stage) => product * seedPrior('chicken', stage).mean, 1),
  ),
  sd: seeds.levels.least_sd.value,
});

/**
 * Centre and spread of a kind's level. Other kinds than the chicken lie as far from it as their rates of
 * the chain do.
 */
export function levelOf(species: string, rate: Counted): Level {
  const passes = rate === 'infertile' || rate === 'unfit';
  const { centre, sd } = levelOfRange(norms.rates[normOf[rate]].value, passes);
  const stage = chainOf[rate];
  if (stage === null || species === 'chicken') return { centre, sd };
  const own = seedPrior(species, stage);
  const chicken = seedPrior('chicken', stage);
  return {
    centre: centre + logit(1 - own.mean) - logit(1 - chicken.mean),
    sd: sd * Math.max(1, Math.sqrt(chicken.strength / own.strength)),
  };
}

/** How far years stand apart in fertility, on the log-odds: as in the rates. */
export const fertilityYear = (species: string): number =>
  sizeOfStep(seedSpread('fertile').year, seedPrior(species, 'fertile').mean);

const scatters = new Map<number, readonly WeightedPoint[]>();

/**
 * How far sets scatter around a level, as correlations of eggs within a set, with their weights. The
 * scatter is of the log-odds, so a correlation is that variance times p(1 - p): deaths that are rare
 * are not let swing from none to a tenth of the eggs by it.
 */
export function scatterAt(centre: number): readonly WeightedPoint[] {
  const near = Math.round(centre);
  const known = scatters.get(near);
  if (known) return known;
  const p = logistic(near);
  const made = seeds.scatter.sd.value.map(({ value, weight }) => ({
    value: value ** 2 * p * (1 - p),
    weight,
  }));
  scatters.set(near, made);
  return made;
}
