/**
 * The shape of `seeds/species.yaml` and of a line's `override:` map. Holds zod, so it is for
 * the season file's validation and for tests; `species.ts` gives the figures without it.
 */
import * as z from 'zod';

/** How well the source of a figure was seen; see the head of `seeds/species.yaml`. */
export const seenMark = z.enum(['read', 'copy', 'memory', 'practice', 'computed']);

const day = z.number().int().min(0).max(120);
const celsius = z.number().min(30).max(42);
const percent = z.number().min(0).max(100);

/** A closed range whose ends may be equal. */
function between(end: z.ZodNumber) {
  return z
    .strictObject({ low: end, high: end })
    .refine((range) => range.low <= range.high, { error: 'low is above high' });
}

const hensPerMale = between(z.number().positive().max(100));

/** What the `value` of each figure may be, by key. A line's override gives the same values. */
export const figureValues = {
  candle_days: z
    .array(day.min(1))
    .min(1)
    .max(2)
    .refine((days) => days.length < 2 || days[0]! < days[1]!, { error: 'days out of order' }),
  transfer_day: day.min(1),
  hatch_day: day.min(1),
  hatch_window_days: between(day.min(1)),
  watch_from_day: day.min(1),
  hatcher_days_after_hatch: z.number().int().min(0).max(14),
  forced_air_c: celsius,
  still_air_c: celsius,
  hatcher_c: celsius,
  setter_rh: between(percent),
  hatcher_rh: between(percent),
  weight_loss_percent: z
    .strictObject({ low: percent, target: percent, high: percent })
    .refine((loss) => loss.low <= loss.target && loss.target <= loss.high, {
      error: 'low, target and high out of order',
    }),
  egg_g: between(z.number().positive().max(2500)),
  storage_free_days: z.number().int().min(0).max(60),
  storage_max_days: z.number().int().min(1).max(60),
  storage_penalty: z
    .array(z.strictObject({ from_day: day.min(1), points_per_day: z.number().min(0).max(100) }))
    .max(12)
    .refine((steps) => steps.every((s, i) => i === 0 || steps[i - 1]!.from_day < s.from_day), {
      error: 'steps out of order',
    }),
  storage_extra_hours: z.strictObject({
    after_days: z.number().int().min(0).max(60),
    hours_per_day: z.number().min(0).max(24),
  }),
  fertility_lag_days: z.number().int().min(0).max(60),
  fertility_lag_old_days: z.number().int().min(0).max(60),
  carry_over_days: z
    .strictObject({
      probable: z.number().int().min(1).max(120).optional(),
      safe: z.number().int().min(1).max(120),
      certain: z.number().int().min(1).max(120).optional(),
    })
    .refine((d) => (d.probable ?? 0) <= d.safe && d.safe <= (d.certain ?? d.safe), {
      error: 'probable, safe and certain out of order',
    }),
  hens_per_male: hensPerMale,
} as const;

/** A figure of a reference table: the value, its source in words, and how that was seen. */
function figure<T extends z.ZodType>(value: T) {
  return z.strictObject({
    value,
    source: z.string().min(3),
    seen: seenMark,
    range: z.strictObject({ low: z.number(), high: z.number() }).optional(),
    note: z.string().min(3).optional(),
  });
}

const v = figureValues;
const species = z.strictObject({
  name: z.string().min(3),
  group: z.enum(['fowl', 'waterfowl', 'turkey', 'game']),
  candle_days: figure(v.candle_days),
  transfer_day: figure(v.transfer_day),
  hatch_day: figure(v.hatch_day),
  hatch_window_days: figure(v.hatch_window_days),
  watch_from_day: figure(v.watch_from_day),
  hatcher_days_after_hatch: figure(v.hatcher_days_after_hatch),
  forced_air_c: figure(v.forced_air_c),
  still_air_c: figure(v.still_air_c),
  hatcher_c: figure(v.hatcher_c),
  setter_rh: figure(v.setter_rh),
  hatcher_rh: figure(v.hatcher_rh),
  weight_loss_percent: figure(v.weight_loss_percent),
  egg_g: figure(v.egg_g),
  storage_free_days: figure(v.storage_free_days),
  storage_max_days: figure(v.storage_max_days),
  storage_penalty: figure(v.storage_penalty),
  storage_extra_hours: figure(v.storage_extra_hours),
  fertility_lag_days: figure(v.fertility_lag_days),
  fertility_lag_old_days: figure(v.fertility_lag_old_days),
  carry_over_days: figure(v.carry_over_days),
  hens_per_male: figure(v.hens_per_male).extend({
    classes: z
      .partialRecord(z.enum(['light', 'dual-purpose', 'heavy']), figure(hensPerMale))
      .optional(),
  }),
});

/** The whole of `seeds/species.yaml`. */
export const speciesFile = z.strictObject({ species: z.record(z.string(), species) });

/** A line's `override:` map: any figure by its key, value only. */
export const speciesOverride = z.strictObject(figureValues).partial();
