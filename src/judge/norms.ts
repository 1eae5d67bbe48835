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
