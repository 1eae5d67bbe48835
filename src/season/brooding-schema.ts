/** The shapes of `seeds/brooding.yaml`, `growth.yaml` and `cautions.yaml`. Holds zod. */
import * as z from 'zod';
import { figure, seenMark } from './figure-schema.ts';

const wholeDays = { error: 'a whole number of days from 0 to 1000' };
const age = z.number(wholeDays).int(wholeDays).min(0, wholeDays).max(1000, wholeDays);
const shareWords = { error: 'a share from 0 to 1' };
const share = z.number(shareWords).min(0, shareWords).max(1, shareWords);
const agesWords = { error: 'ages in days such as {low: 35, high: 42}' };
const ages = z
  .strictObject({ low: age, high: age }, agesWords)
  .refine((r) => r.low <= r.high, agesWords);

/** A number of something between two bounds, with words of our own. */
function between(low: number, high: number, unit: string) {
  const words = { error: `a number of ${unit} from ${low} to ${high}` };
  return z.number(words).min(low, words).max(high, words);
}

/** Steps by age: at least one, each later than the one before. */
function steps<T extends z.ZodRawShape>(shape: T, from: number | null) {
  const keys = Object.keys(shape).map((key) => `${key}: …`);
  const words = {
    error: `a list of steps such as {from_day: 0, ${keys.join(', ')}}, each later than the one before${from === null ? '' : `, the first from day ${from}`}`,
  };
  return z
    .array(z.strictObject({ from_day: age, ...shape }, words), words)
    .min(1, words)
    .refine((list) => {
      const days = (list as { from_day: number }[]).map((step) => step.from_day);
      return (
        (from === null || days[0] === from) && days.every((d, i) => i === 0 || days[i - 1]! < d)
      );
    });
}

/** What the `value` of each brooding figure of a species may be, by key. */
export const broodingValues = {
  heat_c: steps({ low: between(5, 40, '°C'), high: between(5, 40, '°C') }, 0),
  heat_until_day: age.min(1),
  floor_m2: steps({ m2: between(0.001, 20, 'm²') }, 0),
  floor_least_m2: steps({ m2: between(0.001, 20, 'm²') }, 0),
  feeder_cm: steps({ cm: between(0.1, 50, 'cm') }, 0),
  drinker_cm: steps({ cm: between(0.1, 50, 'cm') }, 0),
  heat_places: between(0.1, 10, 'chick places'),
  heat_places_lamp: between(0.1, 10, 'chick places'),
  feathered_day: ages,
  out: steps({ night_low: between(-30, 40, '°C') }, null),
  out_meat: steps({ night_low: between(-30, 40, '°C') }, null),
  gap_days: z.strictObject(
    { early: age, late: age },
    { error: 'days such as {early: 7, late: 14}' },
  ),
} as const;

const b = broodingValues;
const kind = z.strictObject({
  heat_c: figure(b.heat_c),
  heat_until_day: figure(b.heat_until_day),
  floor_m2: figure(b.floor_m2),
  floor_least_m2: figure(b.floor_least_m2),
  feeder_cm: figure(b.feeder_cm),
  drinker_cm: figure(b.drinker_cm),
  heat_places: figure(b.heat_places),
  heat_places_lamp: figure(b.heat_places_lamp).optional(),
  feathered_day: figure(b.feathered_day),
  out: figure(b.out),
  out_meat: figure(b.out_meat).optional(),
  gap_days: figure(b.gap_days),
});

const positive = z.number().positive();

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

const intake = z.strictObject({ table: z.string(), times: positive });

/** What the `value` of each growth figure of a type of bird may be, by key. */
export const growthValues = {
  feed: z.strictObject({ female: intake, male: intake }),
  protein: steps(
    { percent: between(5, 40, '%'), name: z.string({ error: 'a name such as starter' }).min(3) },
    0,
  ),
  layer: z.strictObject({ percent: between(5, 40, '%'), g_a_day: positive }),
  loss_early: z
    .strictObject({
      until_day: age,
      good: share,
      plan: share,
      poor: share,
      first_week_share: share,
    })
    .refine((l) => l.good <= l.plan && l.plan <= l.poor),
  loss_late: z
    .strictObject({ good: share, plan: share, poor: share })
    .refine((l) => l.good <= l.plan && l.plan <= l.poor),
  sexing_days: z
    .strictObject({ first: age, certain: age, last: age })
    .refine((d) => d.first <= d.certain && d.certain <= d.last),
  table_days: ages,
  dressing: share,
  first_egg_days: ages,
} as const;

const g = growthValues;

/** The whole of `seeds/growth.yaml`. */
export const growthFile = z.strictObject({
  feed_tables: z.record(
    z.string(),
    figure(
      z
        .array(z.strictObject({ day: age, kg: z.number().min(0) }))
        .min(2)
        .refine((list) =>
          list.every((p, i) => i === 0 || (list[i - 1]!.day < p.day && list[i - 1]!.kg < p.kg)),
        ),
    ),
  ),
  types: z.record(
    z.string(),
    z.strictObject({
      feed: figure(g.feed),
      protein: figure(g.protein),
      layer: figure(g.layer).optional(),
      loss_early: figure(g.loss_early),
      loss_late: figure(g.loss_late),
      sexing_days: figure(g.sexing_days),
      table_days: figure(g.table_days),
      dressing: figure(g.dressing),
      first_egg_days: figure(g.first_egg_days),
    }),
  ),
  sex_ratio_female: figure(share),
  feed_waste: figure(share),
  bag_kg: figure(positive),
  water_per_feed: figure(positive),
  water_l_per_100: z.strictObject({
    pullets_growing: figure(positive),
    pullets_mature: figure(positive),
    meat_growing: figure(positive),
  }),
  chicks_per_pullet: figure(positive),
  alarm: z.strictObject({ watch: figure(share), act: figure(share) }),
});

/** The whole of `seeds/cautions.yaml`. */
export const cautionsFile = z.record(
  z.string(),
  z.strictObject({
    short: z.string().max(140),
    whole: z.string(),
    source: z.string(),
    seen: seenMark,
  }),
);
