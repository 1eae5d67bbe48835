/** The norms of `seeds/norms.yaml`, typed; a test holds the file against the schema beside it. */
import type * as z from 'zod';
import file from '../../seeds/norms.yaml';
import type { normsFile } from './norms-schema.ts';

export type Norms = z.infer<typeof normsFile>;

/** The rates a review gives, in the order of an egg's way. */
export const rateNames = [
  'settable',
  'fertile_apparent',
  'fertile',
  'early',
  'middle',
  'late',
  'pipped',
  'rotten',
  'hatch_of_set',
  'hatch_of_fertile',
  'weak',
  'dead',
] as const;
export type RateName = (typeof rateNames)[number];

export const norms = file as Norms;

/** True of a rate of which more is better; else it counts what failed. */
export const moreIsBetter: Readonly<Record<RateName, boolean>> = {
  settable: true,
  fertile_apparent: true,
  fertile: true,
  early: false,
  middle: false,
  late: false,
  pipped: false,
  rotten: false,
  hatch_of_set: true,
  hatch_of_fertile: true,
  weak: false,
  dead: false,
};

/** The usual range of a rate; apparent fertility is read against fertility. */
export const usualOf = (rate: RateName): { low: number; high: number } =>
  norms.rates[rate === 'fertile_apparent' ? 'fertile' : rate].value;
