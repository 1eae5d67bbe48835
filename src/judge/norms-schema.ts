/** The shape of `seeds/norms.yaml`. Holds zod, so it is for tests and types only. */
import * as z from 'zod';
import { seenMark } from '../season/figure-schema.ts';
import { extraNames, rateNames } from './rate-names.ts';

const share = z.number().min(0).max(1);
const range = (end: z.ZodNumber) =>
  z
    .strictObject({ low: end, high: end })
    .refine((r) => r.low <= r.high, { error: 'low is above high' });
const cited = { source: z.string().min(3), seen: seenMark, note: z.string().min(3).optional() };
const figure = <T extends z.ZodType>(value: T) => z.strictObject({ value, ...cited });
const rate = z.strictObject({
  of: z.string().min(3),
  value: range(share),
  ...cited,
  commercial: share.optional(),
  /** Beyond this not even a bad stretch explains it. */
  poor: share.optional(),
  /** The range of heavy breeds. */
  heavy: range(share).optional(),
});

/** What has a usual range of its own: apparent fertility is read against fertility. */
const named = [...rateNames.filter((one) => one !== 'fertile_apparent'), ...extraNames];

export const normsFile = z.strictObject({
  rates: z.record(z.enum(named), rate),
  storage: z.strictObject({
    best_within_days: figure(z.number().positive().max(60)),
  }),
  loss: z.strictObject({
    step_rh_points: figure(z.number().positive().max(50)),
  }),
});
