/**
 * The shapes of `seeds/cautions.yaml`, `embryo.yaml`, `advice.yaml` and `sources.yaml`, for tests and
 * types: the program never validates its own seeds.
 */
import * as z from 'zod/mini';
import { figure, seenMark } from './figure-schema.ts';

const text = z.string().check(z.minLength(3));
const sourced = { source: text, seen: seenMark };
const part = z.number().check(z.minimum(0), z.maximum(1));

/** The whole of `seeds/cautions.yaml`. */
export const cautionsFile = z.record(
  z.string(),
  z.strictObject({
    short: text.check(z.maxLength(140)),
    whole: text,
    ...sourced,
    after: z.optional(
      z.array(
        z.strictObject({
          record: z.string(),
          column: z.optional(z.string()),
          is: z.optional(z.array(z.string())),
        }),
      ),
    ),
    sheets: z.optional(z.array(z.string())),
    screens: z.optional(z.array(z.string())),
    phones: z.optional(
      z.array(
        z.strictObject({ country: text, zones: z.array(z.string()), says: text, ...sourced }),
      ),
    ),
  }),
);

const stage = z.enum(['infertile', 'early', 'middle', 'late', 'pipped', 'rotten', 'malposed']);

/** The whole of `seeds/embryo.yaml`. */
export const embryoFile = z.strictObject({
  days: z.record(
    z.string(),
    z.strictObject({
      term: z.int(),
      ...sourced,
      seen_by_day: z.array(z.strictObject({ day: z.int(), opened: text })),
    }),
  ),
  pipping: z.strictObject({
    inside_days_before: figure(z.number()),
    shell_days_before: figure(z.number()),
  }),
  candling: z.array(z.strictObject({ part, live: text, clear: text, dead: text, ...sourced })),
  deaths: z.array(
    z.strictObject({ stage, from: part, to: part, sign: text, causes: text, ...sourced }),
  ),
  air_cell: z.strictObject({
    egg_density: figure(z.number()),
    width_of_length: figure(part),
    at_setting_percent: figure(z.number()),
  }),
});

/** The whole of `seeds/advice.yaml`. */
export const adviceFile = z.record(
  z.string(),
  z.strictObject({
    about: text,
    lines: z.array(z.strictObject({ says: text, ...sourced })),
    table: z.optional(
      z.strictObject({
        heading: text,
        columns: z.array(z.string()),
        rows: z.array(z.array(z.string())),
        ...sourced,
      }),
    ),
  }),
);

/** The whole of `seeds/sources.yaml`. */
export const sourcesFile = z.strictObject({
  works: z.array(
    z.strictObject({
      cited: text,
      title: text,
      publisher: z.optional(text),
      year: z.optional(z.union([z.int(), text])),
      address: z.optional(text),
    }),
  ),
  against: z.array(z.strictObject({ work: text, says: text, ours: text, why: text })),
});
