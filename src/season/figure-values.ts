/**
 * What each figure of the reference tables may be, by its key, value only: a line and a kind of the
 * keeper's own give the same values in `season.yaml`. Made when asked for, since few seasons give any.
 */
import * as z from 'zod/mini';

/** A day of incubation on which something is done: not the day of setting. */
export const dayOfIncubation = z.int().check(z.minimum(1), z.maximum(120));
const celsius = z.number().check(z.minimum(30), z.maximum(42));
const percent = z.number().check(z.minimum(0), z.maximum(100));

const rangeWords = { error: 'low and high, such as {low: 6, high: 8}, low not above high' };
/** A closed range whose ends may be equal. */
function range(end: z.ZodMiniNumber) {
  return z
    .strictObject({ low: end, high: end }, rangeWords)
    .check(z.refine((range) => range.low <= range.high, rangeWords));
}

/** Numbers in order, each as great as the one before or greater. */
const areInOrder = (...numbers: number[]) =>
  numbers.every((one, index) => index === 0 || numbers[index - 1]! <= one);

export const hensPerMale = range(z.number().check(z.positive(), z.maximum(100)));

const candleWords = { error: 'one or two days of incubation, such as [7, 14], the earlier first' };
const weightWords = {
  error: 'low, target and high in order, such as {low: 11, target: 12, high: 14}',
};
const penaltyWords = {
  error:
    'at most 12 steps such as {from_day: 8, points_per_day: 2}, each later than the one before',
};
const carryWords = {
  error: 'probable, safe and certain in order, such as {safe: 14, certain: 21}',
};

/** What the `value` of each figure may be, by key. A line's override gives the same values. */
export const figureValues = () =>
  ({
    candle_days: z
      .array(dayOfIncubation, candleWords)
      .check(
        z.refine(
          (days) => days.length === 1 || (days.length === 2 && days[0]! < days[1]!),
          candleWords,
        ),
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
    weight_loss_percent: z
      .strictObject({ low: percent, target: percent, high: percent }, weightWords)
      .check(z.refine((loss) => areInOrder(loss.low, loss.target, loss.high), weightWords)),
    egg_g: range(z.number().check(z.positive(), z.maximum(2500))),
    storage_free_days: z.int().check(z.minimum(0), z.maximum(60)),
    storage_max_days: z.int().check(z.minimum(1), z.maximum(60)),
    storage_penalty: z
      .array(
        z.strictObject({
          from_day: dayOfIncubation,
          points_per_day: z.number().check(z.minimum(0), z.maximum(100)),
        }),
        penaltyWords,
      )
      .check(
        z.maxLength(12, penaltyWords),
        z.refine(
          (steps) => steps.every((s, i) => i === 0 || steps[i - 1]!.from_day < s.from_day),
          penaltyWords,
        ),
      ),
    storage_extra_hours: z.strictObject({
      after_days: z.int().check(z.minimum(0), z.maximum(60)),
      hours_per_day: z.number().check(z.minimum(0), z.maximum(24)),
    }),
    fertility_lag_days: z.int().check(z.minimum(0), z.maximum(60)),
    fertility_lag_old_days: z.int().check(z.minimum(0), z.maximum(60)),
    carry_over_days: z
      .strictObject(
        {
          probable: z.optional(z.int().check(z.minimum(1), z.maximum(120))),
          safe: z.int().check(z.minimum(1), z.maximum(120)),
          certain: z.optional(z.int().check(z.minimum(1), z.maximum(120))),
        },
        carryWords,
      )
      .check(z.refine((d) => areInOrder(d.probable ?? 0, d.safe, d.certain ?? d.safe), carryWords)),
    lay_days: z.strictObject({
      young: z.int().check(z.minimum(7), z.maximum(400)),
      old: z.int().check(z.minimum(7), z.maximum(400)),
    }),
    hens_per_male: hensPerMale,
  }) as const;

/** An age in days. */
function ageFrom(first: number) {
  const words = { error: `a whole number of days from ${first} to 1000` };
  return z.number(words).check(z.int(words), z.minimum(first, words), z.maximum(1000, words));
}
export const age = ageFrom(0);
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

/** Steps by age: at least one, each later than the one before, each of `shape`. */
function steps<T extends z.core.$ZodShape>(shape: T, from: number | null) {
  const keys = Object.keys(shape).map((key) => `${key}: …`);
  const words = {
    error: `a list of steps such as {from_day: 0, ${keys.join(', ')}}, each later than the one before${from === null ? '' : `, the first from day ${from}`}`,
  };
  return z.array(z.strictObject({ from_day: age, ...shape }, words), words).check(
    z.refine((list) => {
      const days = (list as { from_day: number }[]).map((step) => step.from_day);
      return (
        days.length > 0 &&
        (from === null || days[0] === from) &&
        days.every((d, i) => i === 0 || days[i - 1]! < d)
      );
    }, words),
  );
}

const gapWords = { error: 'early and late in order, such as {early: 7, late: 14}' };

/** What the `value` of each brooding figure of a species may be, by key. */
export const broodingValues = () =>
  ({
    heat_c: steps({ low: between(5, 40, '°C'), high: between(5, 40, '°C') }, 0).check(
      z.refine((list) => list.every((step) => step.low <= step.high), {
        error: 'steps whose low is not above their high',
      }),
    ),
    heat_until_day: ageFrom(1),
    floor_m2: steps({ m2: between(0.001, 20, 'm²') }, 0),
    floor_least_m2: steps({ m2: between(0.001, 20, 'm²') }, 0),
    feeder_cm: steps({ cm: between(0.1, 50, 'cm') }, 0),
    drinker_cm: steps({ cm: between(0.1, 50, 'cm') }, 0),
    heat_places: between(0.1, 10, 'chick places'),
    heat_places_lamp: between(0.1, 10, 'chick places'),
    feathered_day: ages,
    out: steps({ night_low: between(-30, 40, '°C') }, null),
    out_meat: steps({ night_low: between(-30, 40, '°C') }, null),
    gap_days: z
      .strictObject({ early: age, late: age }, gapWords)
      .check(z.refine((gap) => areInOrder(gap.early, gap.late), gapWords)),
  }) as const;

const more = { error: 'a number above 0' };
export const positive = z.number(more).check(z.gt(0, more));
const intake = z.strictObject({
  table: z.string({ error: 'the name of a feed table' }),
  times: positive,
});
const feedWords = { error: 'a name of three letters or more, such as starter' };
const lossWords = {
  error: 'good, plan and poor in order, such as {good: 0.02, plan: 0.05, poor: 0.1}',
};
const sexingWords = {
  error: 'first, certain and last in order, such as {first: 28, certain: 42, last: 56}',
};

/** What the `value` of each growth figure of a type of bird may be, by key. */
export const growthValues = () =>
  ({
    feed: z.strictObject({ female: intake, male: intake }),
    protein: steps(
      {
        percent: between(5, 40, '%'),
        name: z.string(feedWords).check(z.minLength(3, feedWords)),
      },
      0,
    ),
    layer: z.strictObject({ percent: between(5, 40, '%'), g_a_day: positive }),
    loss_early: z
      .strictObject(
        { until_day: age, good: share, plan: share, poor: share, first_week_share: share },
        lossWords,
      )
      .check(z.refine((l) => areInOrder(l.good, l.plan, l.poor), lossWords)),
    loss_late: z
      .strictObject({ good: share, plan: share, poor: share }, lossWords)
      .check(z.refine((l) => areInOrder(l.good, l.plan, l.poor), lossWords)),
    sexing_days: z
      .strictObject({ first: age, certain: age, last: age }, sexingWords)
      .check(z.refine((d) => areInOrder(d.first, d.certain, d.last), sexingWords)),
    table_days: ages,
    dressing: share,
    first_egg_days: ages,
  }) as const;
