/** The shapes of `seeds/brooding.yaml` and `growth.yaml`, for tests and types. */
import * as z from 'zod/mini';
import { figure, figures } from './figure-schema.ts';
import { age, ages, broodingValues, growthValues, positive, share } from './figure-values.ts';

const { heat_places_lamp, out_meat, ...ofEachKind } = figures(broodingValues());
const kind = z.strictObject({
  ...ofEachKind,
  heat_places_lamp: z.optional(heat_places_lamp),
  out_meat: z.optional(out_meat),
});

/** The whole of `seeds/brooding.yaml`. */
export const broodingFile = z.strictObject({
  holding: z.strictObject({
    warn_hours: figure(positive),
    act_hours: figure(positive),
    limit_hours: figure(positive),
    quick_act_hours: figure(positive),
  }),
  heat_sources: z.strictObject({
    lamp: z.strictObject({
      watts: figure(positive),
      places_cold: figure(positive),
      places_warm: figure(positive),
      cold_below_c: figure(z.number()),
      least_count: figure(positive),
      duty: figure(share),
    }),
    hover: z.strictObject({
      watts: figure(positive),
      chicks_m2: figure(positive),
      full_until_day: figure(age),
      duty: figure(share),
    }),
    plate: z.strictObject({
      watts: figure(positive),
      places: figure(positive),
      least_house_c: figure(z.number()),
      duty: figure(share),
    }),
  }),
  shade: z.strictObject({ hot_day_c: figure(z.number()) }),
  hardening: z.strictObject({
    days: figure(ages),
    small_group: figure(positive),
    slow_days: figure(age),
  }),
  birds: z.record(z.string(), kind),
});

const { layer, ...ofEachType } = figures(growthValues());

/** The whole of `seeds/growth.yaml`. */
export const growthFile = z.strictObject({
  feed_tables: z.record(
    z.string(),
    figure(
      z.array(z.strictObject({ day: age, kg: z.number().check(z.minimum(0)) })).check(
        z.minLength(2),
        z.refine((list) =>
          list.every((p, i) => i === 0 || (list[i - 1]!.day < p.day && list[i - 1]!.kg < p.kg)),
        ),
      ),
    ),
  ),
  types: z.record(z.string(), z.strictObject({ ...ofEachType, layer: z.optional(layer) })),
  sex_ratio_female: figure(share),
  feed_waste: figure(share),
  bag_kg: figure(positive),
  water_per_feed: figure(positive),
  water_per_feed_hot: figure(positive),
  water_l_per_100: z.strictObject({
    pullets_growing: figure(positive),
    pullets_mature: figure(positive),
    meat_growing: figure(positive),
  }),
  chicks_per_pullet: figure(positive),
  alarm: z.strictObject({ watch: figure(share), act: figure(share) }),
});
