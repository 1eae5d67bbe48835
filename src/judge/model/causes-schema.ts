/** The shape of `seeds/causes.yaml`. Holds zod, so it is for tests and types only. */
import * as z from 'zod';
import { seenMark } from '../../season/figure-schema.ts';

const cited = { source: z.string().min(3), seen: seenMark };
const figure = <T extends z.ZodType>(value: T) => z.strictObject({ value, ...cited });
const weighted = z.array(z.strictObject({ value: z.number(), weight: z.number().min(0).max(1) }));
const share = z.number().min(0).max(1);
const measure = z.strictObject({
  /** Spread of a farm's own level around what is expected. */
  level_sd: z.number().positive(),
  /** Standard deviations of sets (weeks) around the level that are tried. */
  scatter: weighted,
  ...cited,
});

export const signStreams = [
  'infertile',
  'early',
  'middle',
  'late',
  'pipped',
  'unfit',
  'rotten',
  'cracked',
  'malposed',
  'weak',
  'dead',
  'hours',
  'spread',
  'loss',
  'temperature',
  'humidity',
] as const;

export const placeKinds = ['farm', 'pen', 'males', 'setter', 'hatcher', 'tray', 'set'] as const;

export const causesFile = z.strictObject({
  levels: z.strictObject({
    least_sd: figure(z.number().positive()),
    pen_sd: z.record(z.string(), figure(z.number().positive())),
    year_sd: figure(z.number().positive()),
    looks_clear: figure(share),
    overlooked: figure(share),
    early_until: figure(share),
    middle_until: figure(share),
  }),
  scatter: z.strictObject({ sd: figure(weighted) }),
  measures: z.strictObject({
    hours: measure,
    spread: measure.extend({ usual: z.number().positive() }),
    loss: measure,
    temperature: measure,
    humidity: measure,
  }),
  evidence: z.strictObject({
    act: figure(z.number().positive()),
    watch: figure(z.number().positive()),
    leading: figure(share),
    first_set: figure(share),
    hazard: figure(share),
    sizes: figure(weighted),
    gauge_true: figure(share),
  }),
  causes: z.record(
    z.string(),
    z.strictObject({
      /** What to look at, and which record tells of it. */
      next: z.array(z.string().min(3)).min(1),
      record: z.string().min(3),
      weight: z.number().positive(),
      places: z.partialRecord(z.enum(placeKinds), share),
      /** How much of the belief is on a fault that was there from the first set; else the usual. */
      from_first: share.optional(),
      ramp: share.optional(),
      signs: z.array(
        z.strictObject({
          of: z.enum(signStreams),
          shift: z.number(),
          /** Chance that the cause shows this sign at all. */
          show: share,
          ...cited,
        }),
      ),
    }),
  ),
});
