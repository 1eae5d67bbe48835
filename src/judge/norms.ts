/** The norms of `seeds/norms.yaml`, typed; a test holds the file against the schema beside it. */
import type * as z from 'zod';
import file from '../../seeds/norms.yaml';
import type { normsFile } from './norms-schema.ts';

export type Norms = z.infer<typeof normsFile>;

/** Names of the rates a review gives, in the order of an egg's way. */
export type RateName =
  | 'settable'
  | 'fertile_apparent'
  | 'fertile'
  | 'early'
  | 'middle'
  | 'late'
  | 'pipped'
  | 'rotten'
  | 'hatch_of_set'
  | 'hatch_of_fertile'
  | 'weak'
  | 'dead';

export const norms = file as Norms;
