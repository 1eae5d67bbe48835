/**
 * The shape of `seeds/species.yaml`, for tests and types: the program never validates its own seeds.
 */
import * as z from 'zod/mini';
import { figure } from './figure-schema.ts';
import { figureValues, hensPerMale } from './figure-values.ts';

const v = figureValues;
const species = z.strictObject({
  name: z.string().check(z.minLength(3)),
  group: z.enum(['fowl', 'waterfowl', 'turkey', 'game']),
  candle_days: figure(v.candle_days),
  transfer_day: figure(v.transfer_day),
  hatch_day: figure(v.hatch_day),
  hatch_window_days: figure(v.hatch_window_days),
  watch_from_day: figure(v.watch_from_day),
  hatcher_days_after_hatch: figure(v.hatcher_days_after_hatch),
  pip_hours: figure(v.pip_hours),
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
  lay_days: figure(v.lay_days),
  hens_per_male: z.extend(figure(v.hens_per_male), {
    classes: z.optional(
      z.partialRecord(z.enum(['light', 'dual-purpose', 'heavy']), figure(hensPerMale)),
    ),
  }),
});

/** The whole of `seeds/species.yaml`. */
export const speciesFile = z.strictObject({ species: z.record(z.string(), species) });

/** A line's `override:` map: any figure by its key, value only. */
export const speciesOverride = z.partial(z.strictObject(figureValues));
