/** The norms of `seeds/norms.yaml`, typed; a test holds the file against the schema beside it. */
import type * as z from 'zod';
import file from '../../seeds/norms.yaml';
import type { normsFile } from './norms-schema.ts';
import type { RateName } from './rate-names.ts';

export type Norms = z.infer<typeof normsFile>;

export const norms = file as Norms;

/** The usual range of a rate; apparent fertility is read against fertility. */
export const usualOf = (rate: RateName): { low: number; high: number } =>
  norms.rates[rate === 'fertile_apparent' ? 'fertile' : rate].value;
