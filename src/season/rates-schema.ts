/** The shape of `seeds/rates.yaml`, for tests and types: the program never validates its own seeds. */
import * as z from 'zod/mini';
import { seenMark as seen } from './figure-schema.ts';
import { byStage } from './own-rates-schema.ts';

const source = z.string().check(z.minLength(3));
const share = z.number().check(z.gt(0), z.lt(1));
const correlation = z.strictObject({
  value: z.number().check(z.minimum(0), z.maximum(0.5)),
  source,
  seen,
});
const prior = z.strictObject({
  mean: share,
  strength: z.number().check(z.minimum(1), z.maximum(1000)),
  source,
  seen,
});

export const ratesFile = z.strictObject({
  spread: byStage(correlation),
  between: byStage(correlation),
  year: byStage(correlation),
  storage: z.strictObject({
    usual_hatch: z.strictObject({ value: share, source, seen }),
    doubt: z.strictObject({ value: z.number().check(z.gt(0), z.maximum(3)), source, seen }),
  }),
  posted: z.strictObject({ hatch_of_set: z.strictObject({ value: share, source, seen }) }),
  species: z.record(z.string(), byStage(prior)),
});
