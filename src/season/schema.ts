import * as z from 'zod/mini';
import { isName, nameExpected } from '../records/column.ts';
import { type Day, months, parseDay, weekdays } from '../text/day.ts';
import { isZone } from '../text/zone.ts';
import { kindFigures, override } from './own-figures-schema.ts';
import { rateOverrides } from './own-rates-schema.ts';

// Each `error` is what the keeper is told was expected; zod's own wording is for programmers.

/** Kinds of trait, as in `seeds/breeding.yaml` (a test holds them together). */
export const traitKinds = [
  'body-weight',
  'egg-number',
  'egg-weight',
  'age-at-first-egg',
  'hatchability',
  'fertility',
  'viability',
  'judged',
] as const;

/** What becomes of the birds a goal asks for. */
export const fates = ['kept', 'sold', 'given', 'table'] as const;

const LARGEST = 1_000_000;

const whole = (least: number, most = LARGEST) => {
  const range = `a whole number from ${least} to ${most}`;
  const error = most === LARGEST ? `a whole number from ${least}` : range;
  return z.int({ error }).check(z.minimum(least, { error }), z.maximum(most, { error: range }));
};
const number = (least: number, most: number) => {
  const error = `a number from ${least} to ${most}`;
  return z.number({ error }).check(z.minimum(least, { error }), z.maximum(most, { error }));
};
const words = <const W extends readonly [string, ...string[]]>(list: W) =>
  z.enum(list, { error: `one of ${list.join(', ')}` });
const text = z
  .string({ error: 'a text' })
  .check(z.maxLength(200, { error: 'a text of at most 200 characters' }));
const name = z.string({ error: nameExpected }).check(z.refine(isName, { error: nameExpected }));
const dayWords = 'a day such as 2027-03-06';
const day = z.pipe(
  z
    .string({ error: dayWords })
    .check(z.refine((value) => parseDay(value) !== null, { error: dayWords })),
  z.transform((value) => value as Day),
);
const mapping = { error: 'a mapping (key: value lines)' };
const object = <T extends z.core.$ZodLooseShape>(keys: T) => z.strictObject(keys, mapping);
const list = <T extends z.ZodMiniType>(value: T) => z.array(value, { error: 'a list' });
const listOrNone = <T extends z.ZodMiniType>(value: T) => z._default(list(value), []);
/** Goals compete with orders and each other, and so what their chances cost grows with their square. */
const MOST_WISHES = 100;
const wishes = <T extends z.ZodMiniType>(value: T) =>
  z._default(
    list(value).check(z.maxLength(MOST_WISHES, { error: `a list of at most ${MOST_WISHES}` })),
    [],
  );
const named = <T extends z.ZodMiniType>(value: T) => z.record(name, value, mapping);
const weekday = words(weekdays);
/** A rule between keys, told at one of them. */
const rule = <T>(holds: (one: T) => boolean, key: string, error: string): z.core.$ZodCheck<T> =>
  z.refine(holds, { path: [key], error });
const nameOf = (what: string) => z.string({ error: `the name of a ${what}` });
/**
 * An optional key whose schema is made when the key is there: the figures of a kind are half of all
 * that is made, and few seasons give any.
 */
const optionalLater = <T extends z.ZodMiniType>(make: () => T) => {
  const schema = z.lazy(make);
  // Asked of every key of a mapping; the library would make the schema to answer that it has no default.
  Object.defineProperty(schema._zod, 'optin', { value: undefined });
  return z.optional(schema);
};

const line = object({
  species: z.string({ error: 'a species, such as chicken or duck' }),
  class: z.optional(text),
  down: z.optional(text),
  egg_g: z.optional(number(1, 3000)),
  sexing_age_days: z.optional(whole(1, 400)),
  point_of_lay_days: z.optional(whole(1, 1000)),
  /** A line that feathers slowly goes out later. */
  feathers: z.optional(words(['slow', 'fast'])),
  override: optionalLater(override),
});

/** Days on which a machine or place is not used; both days are among them. */
const closed = listOrNone(
  object({ from: day, to: day, why: z.optional(text) }).check(
    rule((one) => one.to >= one.from, 'to', 'a day not before from'),
  ),
);

/** Hatching eggs from elsewhere: they stand in the place of a pen, and have no hens of ours. */
const bought = object({
  from: text,
  /** Day on which they come. */
  on: day,
  eggs: z.optional(whole(1)),
  /** Days between packing and coming here. */
  road_days: z._default(whole(0, 14), 0),
  /** Age of the oldest on the day of packing. */
  days_old: z._default(whole(0, 30), 0),
});

const penKeys = object({
  line: nameOf('line'),
  hens: z.optional(whole(0)),
  males: z.optional(whole(0)),
  joined: z.optional(day),
  bought: z.optional(bought),
  parted: z.optional(day),
  /** Days on which the males were exchanged. */
  males_changed: z.optional(list(day)),
  /** Last day these hens ran with other males before they were joined here. */
  other_males_until: z.optional(day),
  /** Birds of birds.csv that breed in this pen, as far as they are known by name. */
  sires: z.optional(list(name)),
  dams: z.optional(list(name)),
  /** `old` if either sex is over a year old: fertile eggs come later. */
  age: z.optional(words(['young', 'old'])),
});
type PenKeys = z.infer<typeof penKeys>;
const isBoughtOr = (key: 'hens' | 'males' | 'joined') => (one: PenKeys) =>
  one.bought !== undefined || one[key] !== undefined;
const pen = z.pipe(
  penKeys.check(
    rule(isBoughtOr('hens'), 'hens', 'a whole number from 0'),
    rule(isBoughtOr('males'), 'males', 'a whole number from 0'),
    rule(isBoughtOr('joined'), 'joined', dayWords),
  ),
  z.transform((one) => ({
    ...one,
    hens: one.hens ?? 0,
    males: one.males ?? 0,
    joined: (one.joined ?? one.bought?.on)!,
  })),
);

/** A pen meant for next season: `new --from` makes it a pen. */
const nextPen = () =>
  object({
    line: nameOf('line'),
    hens: whole(0),
    males: whole(0),
    sires: z.optional(list(name)),
    dams: z.optional(list(name)),
  });

/** What breeders are chosen by. Left out, the kind's usual figures of `seeds/breeding.yaml` stand. */
const trait = () =>
  object({
    kind: words(traitKinds),
    better: z._default(words(['more', 'less']), 'more'),
    /** Worth of one standard deviation beside the other traits. */
    weight: z._default(number(0, 1000), 1),
    /** Age of the birds when it is taken; left out, one score a bird at whatever age its hatch was. */
    age_days: z.optional(whole(1, 3000)),
    within_days: z.optional(whole(0, 60)),
    heritability: z.optional(number(0.01, 0.99)),
    sex: z.optional(words(['both', 'female', 'male'])),
    unit: z.optional(text),
  });

const holds = z.record(z.string(), whole(1), mapping);
const setterKeys = object({
  trays: z.optional(whole(1, 100)),
  tray_holds: holds,
  /** A hen that sits: one nest, never turned, read or cleaned, where the eggs hatch. */
  broody: z._default(z.boolean({ error: 'true or false' }), false),
  turns: z.optional(words(['automatic', 'hand'])),
  air: z.optional(words(['forced', 'still'])),
  watts: z.optional(number(0, 20_000)),
  closed,
});
type SetterKeys = z.infer<typeof setterKeys>;
const isNoHenOr = (key: 'turns' | 'air' | 'watts') => (one: SetterKeys) =>
  !one.broody || one[key] === undefined;
const ofMachines = 'nothing: a broody hen is no machine';
const setter = z.pipe(
  setterKeys.check(
    rule((one) => one.broody || one.trays !== undefined, 'trays', 'a whole number from 1 to 100'),
    rule(
      (one) => !one.broody || (one.trays ?? 1) === 1,
      'trays',
      'nothing: a broody hen has one nest',
    ),
    rule(isNoHenOr('turns'), 'turns', ofMachines),
    rule(isNoHenOr('air'), 'air', ofMachines),
    rule(isNoHenOr('watts'), 'watts', ofMachines),
  ),
  z.transform((one) => ({ ...one, trays: one.trays ?? 1 })),
);
const hatcher = object({
  holds,
  clean_days: z._default(whole(0, 60), 1),
  one_set_at_a_time: z._default(z.boolean({ error: 'true or false' }), true),
  air: z.optional(words(['forced', 'still'])),
  watts: z.optional(number(0, 20_000)),
  closed,
});
const brooder = object({
  area: number(0.01, 100_000),
  heat: z.optional(
    object({
      kind: words(['lamp', 'hover', 'plate', 'none']),
      watts: z.optional(number(0, 20_000)),
      count: z._default(whole(1, 200), 1),
      /** Warmed floor of one hover, in the unit of area. */
      area: z.optional(number(0.001, 10_000)),
      /** The maker's rating of one unit, in chicks. */
      places: z.optional(whole(1, 10_000)),
    }),
  ),
  feeder_cm: z.optional(number(1, 100_000)),
  drinker_cm: z.optional(number(1, 100_000)),
  housing: z.optional(words(['house', 'tunnel', 'hoop'])),
  /** Coldest night temperature of the house round the brooder. */
  house_low: z.optional(number(-60, 130)),
  closed,
});

/** A place without heat that birds move out to. */
const run = object({ area: z.optional(number(0.01, 1_000_000)) });

const month = object({
  low: number(-60, 130),
  high: z.optional(number(-60, 130)),
  /** The low that nine nights in ten stay above. */
  low_10: z.optional(number(-60, 130)),
}).check(
  rule((one) => one.high === undefined || one.high >= one.low, 'high', 'a high not below the low'),
  rule(
    (one) => one.low_10 === undefined || one.low_10 <= one.low,
    'low_10',
    'a low_10 not above the low: nine nights in ten stay above it',
  ),
);
const normals = () =>
  object(
    Object.fromEntries(months.map((one) => [one, z.optional(month)])) as Record<
      (typeof months)[number],
      z.ZodMiniOptional<typeof month>
    >,
  );

const price = number(0, 1_000_000);
/** What a unit costs, or would have sold for, in the currency of `units`. */
const prices = () =>
  object({
    egg: z.optional(price),
    feed_kg: z.optional(price),
    starter_kg: z.optional(price),
    grower_kg: z.optional(price),
    finisher_kg: z.optional(price),
    layer_kg: z.optional(price),
    kwh: z.optional(price),
    table_kg: z.optional(price),
    cockerel: z.optional(price),
  });

const between = { error: 'a number above 0 and below 1' };
const confidence = z._default(z.number(between).check(z.gt(0, between), z.lt(1, between)), 0.9);
const goal = object({
  line: nameOf('line'),
  want: words(['chicks', 'pullets', 'cockerels', 'birds']),
  at: z.optional(words(['hatch', 'point-of-lay', 'table'])),
  count: whole(1),
  by: day,
  confidence,
  /** What becomes of them; left out, they are kept. */
  fate: z._default(words(fates), 'kept'),
});

/** Birds or eggs promised to somebody. */
const order = object({
  for: text,
  line: nameOf('line'),
  want: words(['eggs', 'chicks', 'pullets', 'cockerels', 'birds']),
  at: z.optional(words(['hatch', 'point-of-lay', 'table'])),
  count: whole(1),
  /** First day on which they are taken; left out, any day up to the last. */
  from: z.optional(day),
  by: day,
  confidence,
}).check(
  rule((one) => one.from === undefined || one.from <= one.by, 'by', 'a day not before from'),
  rule((one) => one.want !== 'eggs' || one.at === undefined, 'at', 'nothing: eggs have no age'),
);

const maxDays = whole(1, 60);

const planned = object({
  set: name,
  on: day,
  setter: z.optional(nameOf('setter')),
  trays: list(whole(1, 100)).check(z.minLength(1, { error: 'a list of at least one tray number' })),
  shares: z.record(z.string(), whole(1), mapping).check(
    z.refine((shares) => Object.keys(shares).length > 0, {
      error: 'at least one pen and its eggs',
    }),
  ),
  hatcher: z.optional(nameOf('hatcher')),
});

/** The whole of `season.yaml`: the one schema, which tells every fault. */
export const seasonSchema = z.strictObject(
  {
    format: z.literal('traybook/1', { error: 'traybook/1' }),
    season: z.union([whole(1900, 2200), text], { error: 'a year such as 2027' }),
    place: object({
      name: text,
      timezone: z
        .string({ error: 'a time zone such as Europe/London' })
        .check(z.refine(isZone, { error: 'a time zone such as Europe/London' })),
      altitude_m: z._default(number(-500, 6000), 0),
    }),
    units: z.prefault(
      object({
        temperature: z._default(words(['C', 'F']), 'C'),
        mass: z._default(words(['g', 'oz']), 'g'),
        area: z._default(words(['m2', 'ft2']), 'm2'),
        currency: z._default(text, ''),
      }),
      {},
    ),
    previous: listOrNone(z.string({ error: 'the path of a season folder' })),
    /** Names this season in calendars, so that its events stay the same ones. */
    id: z.optional(name),
    kinds: z._default(named(z.lazy(kindFigures)), {}),
    lines: named(line),
    pens: z._default(named(pen), {}),
    next_pens: z._default(named(z.lazy(nextPen)), {}),
    /** Birds of birds.csv that are here no more, so that nobody pens them. */
    gone: listOrNone(name),
    traits: z._default(named(z.lazy(trait)), {}),
    setters: z._default(named(setter), {}),
    hatchers: z._default(named(hatcher), {}),
    storage: z.prefault(
      object({
        temperature: z.optional(number(-10, 120)),
        /** Days an egg may wait: one number for all kinds, or a number by kind. */
        max_days: z.optional(
          z.union([maxDays, z.record(z.string(), maxDays)], {
            error: 'a whole number from 1 to 60, or such numbers by kind',
          }),
        ),
        turns_per_day: z._default(whole(0, 24), 0),
      }),
      {},
    ),
    brooders: z._default(named(brooder), {}),
    runs: z._default(named(run), {}),
    normals: z._default(z.lazy(normals), {}),
    feed: z.prefault(object({ bag_kg: z.optional(number(0.1, 1000)) }), {}),
    prices: z._default(z.lazy(prices), {}),
    days_off: z.prefault(
      object({
        set: listOrNone(weekday),
        candle: listOrNone(weekday),
        transfer: listOrNone(weekday),
        hatch: listOrNone(weekday),
        dates: listOrNone(day),
      }),
      {},
    ),
    /** First and last day on which eggs are set; left out, the pens' joined and parted tell. */
    setting: z.prefault(
      object({ from: z.optional(day), to: z.optional(day) }).check(
        rule(
          (one) => one.from === undefined || one.to === undefined || one.from <= one.to,
          'to',
          'a day not before from',
        ),
      ),
      {},
    ),
    goals: wishes(goal),
    orders: wishes(order),
    rates: z._default(z.lazy(rateOverrides), {}),
    plan: listOrNone(planned),
  },
  { error: 'a mapping with the keys format, season, place, lines …' },
);
export type SeasonValues = z.infer<typeof seasonSchema>;
export type SetterValues = SeasonValues['setters'][string];
export type HatcherValues = SeasonValues['hatchers'][string];
export type BrooderValues = SeasonValues['brooders'][string];

export type KindValues = SeasonValues['kinds'][string];
export type GoalValues = SeasonValues['goals'][number];
export type PenValues = SeasonValues['pens'][string];
export type PlannedValues = SeasonValues['plan'][number];
