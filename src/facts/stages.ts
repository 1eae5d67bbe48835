/** The chain from hen to bird, its expected rates before any counts, and where those come from. */
import type * as z from 'zod';
import file from '../../seeds/rates.yaml';
import { figureOf } from '../season/figure.ts';
import type { ratesFile } from '../season/rates-schema.ts';

/** Stages of the chain, in order. `lay` is eggs a hen and day; the others are shares of the one before. */
export const stages = [
  'lay',
  'kept',
  'fertile',
  'candled',
  'transferred',
  'hatched',
  'sound',
  'reared',
  'female',
] as const;
export type Stage = (typeof stages)[number];

/** Stages that are the pen's own; the rest are the line's, and of the machine and the brooder. */
export const penStages: readonly Stage[] = ['lay', 'kept', 'fertile'];

const seeds = file as z.infer<typeof ratesFile>;

/** Expected rate as a beta distribution: its mean, and how many counts it weighs. */
export interface Prior {
  mean: number;
  strength: number;
  source: string;
  seen: string;
}

/** The shipped expectation for a stage of a species. Throws RangeError for a species without one. */
export function seedPrior(species: string, stage: Stage): Prior {
  const own = figureOf(seeds.species, species);
  if (own === null) throw new RangeError(`no rates for "${species}" in the table`);
  return own[stage];
}

/** Expected correlation of eggs within a set, within a pen or line of a year, and within a year. */
export function seedSpread(stage: Stage): { within: number; between: number; year: number } {
  return {
    within: seeds.spread[stage].value,
    between: seeds.between[stage].value,
    year: seeds.year[stage].value,
  };
}

/**
 * What is expected to hatch of the eggs moved that came by road or post: with the kind's other rates it
 * makes the hatch of eggs set that is published of such eggs.
 */
export function postedPrior(species: string): Prior {
  const { value, source, seen } = seeds.posted.hatch_of_set;
  const hatched = seedPrior(species, 'hatched');
  const before = (['fertile', 'candled', 'transferred'] as const).reduce(
    (product, stage) => product * seedPrior(species, stage).mean,
    1,
  );
  return { mean: Math.min(hatched.mean, value / before), strength: hatched.strength, source, seen };
}

/** Share of posted eggs that hatch of those set, as published. */
export const postedHatch = seeds.posted.hatch_of_set;

/** How storage losses are taken up: hatch they are set against, and doubt about the table's points. */
export const storageSeeds = seeds.storage;
