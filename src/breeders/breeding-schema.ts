/** The shape of `seeds/breeding.yaml`. Holds zod, so it is for tests and types only. */
import * as z from 'zod';
import { seenMark } from '../season/figure-schema.ts';

const share = z.number().gt(0).lt(1);
const cited = { source: z.string().min(3), seen: seenMark, note: z.string().min(3).optional() };
const figure = <T extends z.ZodType>(value: T) => z.strictObject({ value, ...cited });
const heritability = z
  .strictObject({
    value: share,
    low: share,
    high: share,
    unit: z.string().min(1),
    sex: z.enum(['both', 'female', 'male']),
    ...cited,
  })
  .refine((h) => h.low <= h.value && h.value <= h.high, { error: 'low, value, high out of order' });
const days = z.int().min(0).max(400);

export const breedingFile = z.strictObject({
  heritabilities: z.record(z.string(), heritability),
  narrowing: z.strictObject({
    target_percent: figure(z.number().positive().max(100)),
    milestones_percent: figure(z.tuple([z.number().positive(), z.number().positive().max(100)])),
    generation_years: figure(z.number().positive().max(20)),
  }),
  scores: z.strictObject({ within_days: figure(days) }),
  parents: z.strictObject({ youngest_days: figure(days.min(1)) }),
});
