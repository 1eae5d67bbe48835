/**
 * What each figure of the reference tables may be, by its key, value only: a line and a kind of the
 * keeper's own give the same values in `season.yaml`. Made when asked for, since few seasons give any.
 */
import * as z from 'zod/mini';

/** A day of incubation on which something is done: not the day of setting. */
export const dayOfIncubation = z.int().check(z.minimum(1), z.maximum(120));
const celsius = z.number().check(z.minimum(30), z.maximum(42));
const percent = z.number().check(z.minimum(0), z.maximum(100));

/** A closed range whose ends may be equal. */
function range(end: z.ZodMiniNumber) {
  return z
    .strictObject({ low: end, high: end })
    .check(z.refine((range) => range.low <= range.high, { error: 'low is above high' }));
}

export const hensPerMale = range(z.number().check(z.positive(), z.maximum(100)));

/** What the `value` of each figure may be, by key. A line's override gives the same values. */
export const figureValues = () =>
  ({
    candle_days: z.array(dayOfIncubation).check(
      z.minLength(1),
      z.maxLength(2),
      z.refine((days) => days.length < 2 || days[0]! < days[1]!, { error: 'days out of order' }),
    ),
    transfer_day: dayOfIncubation,
    hatch_day: dayOfIncubation,
    hatch_window_days: range(dayOfIncubation),
    watch_from_day: dayOfIncubation,
    hatcher_days_after_hatch: z.int().check(z.minimum(0), z.maximum(14)),
    pip_hours: range(z.int().check(z.minimum(0), z.maximum(120))),
    forced_air_c: celsius,
    still_air_c: celsius,
    hatcher_c: celsius,
    setter_rh: range(percent),
    hatcher_rh: range(percent),
    weight_loss_percent: z.strictObject({ low: percent, target: percent, high: percent }).check(
      z.refine((loss) => loss.low <= loss.target && loss.target <= loss.high, {
        error: 'low, target and high out of order',
      }),
    ),
    egg_g: range(z.number().check(z.positive(), z.maximum(2500))),
    storage_free_days: z.int().check(z.minimum(0), z.maximum(60)),
    storage_max_days: z.int().check(z.minimum(1), z.maximum(60)),
    storage_penalty: z
      .array(
        z.strictObject({
          from_day: dayOfIncubation,
          points_per_day: z.number().check(z.minimum(0), z.maximum(100)),
        }),
      )
      .check(
        z.maxLength(12),
        z.refine((steps) => steps.every((s, i) => i === 0 || steps[i - 1]!.from_day < s.from_day), {
          error: 'steps out of order',
        }),
      ),
    storage_extra_hours: z.strictObject({
      after_days: z.int().check(z.minimum(0), z.maximum(60)),
      hours_per_day: z.number().check(z.minimum(0), z.maximum(24)),
    }),
    fertility_lag_days: z.int().check(z.minimum(0), z.maximum(60)),
    fertility_lag_old_days: z.int().check(z.minimum(0), z.maximum(60)),
    carry_over_days: z
      .strictObject({
        probable: z.optional(z.int().check(z.minimum(1), z.maximum(120))),
        safe: z.int().check(z.minimum(1), z.maximum(120)),
        certain: z.optional(z.int().check(z.minimum(1), z.maximum(120))),
      })
      .check(
        z.refine((d) => (d.probable ?? 0) <= d.safe && d.safe <= (d.certain ?? d.safe), {
          error: 'probable, safe and certain out of order',
        }),
      ),
    lay_days: z.strictObject({
      young: z.int().check(z.minimum(7), z.maximum(400)),
      old: z.int().check(z.minimum(7), z.maximum(400)),
    }),
    hens_per_male: hensPerMale,
  }) as const;

const wholeDays = { error: 'a whole number of days from 0 to 1000' };
export const age = z
  .number(wholeDays)
  .check(z.int(wholeDays), z.minimum(0, wholeDays), z.maximum(1000, wholeDays));
const shareWords = { error: 'a share from 0 to 1' };
export const share = z.number(shareWords).check(z.minimum(0, shareWords), z.maximum(1, shareWords));
const agesWords = { error: 'ages in days such as {low: 35, high: 42}' };
export const ages = z
  .strictObject({ low: age, high: age }, agesWords)
  .check(z.refine((r) => r.low <= r.high, agesWords));

/** A number of something between two bounds, with words of our own. */
function between(low: number, high: number, unit: string) {
  const words = { error: `a number of ${unit} from ${low} to ${high}` };
  return z.number(words).check(z.minimum(low, words), z.maximum(high, words));
}

/** Steps by age: at least one, each later than the one before. */
function steps<T extends z.core.$ZodShape>(shape: T, from: number | null) {
  const keys = Object.keys(shape).map((key) => `${key}: …`);
  const words = {
    error: `a list of steps such as {from_day: 0, ${keys.join(', ')}}, each later than the one before${from === null ? '' : `, the first from day ${from}`}`,
  };
  return z.array(z.strictObject({ from_day: age, ...shape }, words), words).check(
    z.minLength(1, words),
    z.refine((list) => {
      const days = (list as { from_day: number }[]).map((step) => step.from_day);
      return (
        (from === null || days[0] === from) && days.every((d, i) => i === 0 || days[i - 1]! < d)
      );
    }),
  );
}

/** What the `value` of each brooding figure of a species may be, by key. */
export const broodingValues = () =>
  ({
    heat_c: steps({ low: between(5, 40, '°C'), high: between(5, 40, '°C') }, 0),
    heat_until_day: age.check(z.minimum(1)),
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
  }) as const;

export const positive = z.number().check(z.positive());
const intake = z.strictObject({ table: z.string(), times: positive });

/** What the `value` of each growth figure of a type of bird may be, by key. */
export const growthValues = () =>
  ({
    feed: z.strictObject({ female: intake, male: intake }),
    protein: steps(
      {
        percent: between(5, 40, '%'),
        name: z.string({ error: 'a name such as starter' }).check(z.minLength(3)),
      },
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
      .check(z.refine((l) => l.good <= l.plan && l.plan <= l.poor)),
    loss_late: z
      .strictObject({ good: share, plan: share, poor: share })
      .check(z.refine((l) => l.good <= l.plan && l.plan <= l.poor)),
    sexing_days: z
      .strictObject({ first: age, certain: age, last: age })
      .check(z.refine((d) => d.first <= d.certain && d.certain <= d.last)),
    table_days: ages,
    dressing: share,
    first_egg_days: ages,
  }) as const;
