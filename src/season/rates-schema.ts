/** The shape of `seeds/rates.yaml`, for tests and types: the program never validates its own seeds. */
import * as z from 'zod';
import { byStageIn, rateOverridesIn } from './own-rates-schema.ts';

const seen = z.enum(['read', 'copy', 'memory', 'practice', 'computed']);
const source = z.string().min(3);
const share = z.number().gt(0).lt(1);
const correlation = z.strictObject({ value: z.number().min(0).max(0.5), source, seen });
const prior = z.strictObject({ mean: share, strength: z.number().min(1).max(1000), source, seen });

const byStage = <T extends z.ZodType>(value: T) => byStageIn(z, value);

export const ratesFile = z.strictObject({
  spread: byStage(correlation),
  between: byStage(correlation),
  storage: z.strictObject({
    usual_hatch: z.strictObject({ value: share, source, seen }),
    doubt: z.strictObject({ value: z.number().gt(0).max(3), source, seen }),
  }),
  species: z.record(z.string(), byStage(prior)),
});

/** `rates:` of season.yaml, by line. */
export const rateOverrides = rateOverridesIn(z);
