import type * as Zod from 'zod';
import { isName, nameExpected } from '../records/column.ts';
import { type Day, months, parseDay, weekdays } from '../text/day.ts';
import { isZone } from '../text/zone.ts';
import type { rateOverrides } from './rates-schema.ts';
import type { kindFigures, override } from './whole-schema.ts';

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
/** A hen under eggs has one nest. */
const NESTS = 1;

/** Parts of the schema that are made elsewhere. */
export type SchemaParts = {
  readonly override: typeof override;
  readonly kind: typeof kindFigures;
  readonly rates: typeof rateOverrides;
};

/**
 * The whole of `season.yaml`, said with the words of zod. What says them is passed in: zod itself
 * tells every fault (`whole-schema.ts`), and a small likeness of it reads a file without fault
 * (`plain-schema.ts`).
 */
export function seasonSchemaIn(z: typeof Zod, parts: SchemaParts) {
  const whole = (least: number, most = LARGEST) => {
    const error =
      most === LARGEST ? `a whole number from ${least}` : `a whole number from ${least} to ${most}`;
    return z.int({ error }).min(least, { error }).max(most, { error });
  };
  const number = (least: number, most: number) => {
    const error = `a number from ${least} to ${most}`;
    return z.number({ error }).min(least, { error }).max(most, { error });
  };
  const words = <const W extends readonly [string, ...string[]]>(list: W) =>
    z.enum(list, { error: `one of ${list.join(', ')}` });
  const text = z
    .string({ error: 'a text' })
    .max(200, { error: 'a text of at most 200 characters' });
  const name = z.string({ error: nameExpected }).refine(isName, { error: nameExpected });
  const dayWords = 'a day such as 2027-03-06';
  const day = z
    .string({ error: dayWords })
    .refine((value) => parseDay(value) !== null, { error: dayWords })
    .transform((value) => value as Day);
  const mapping = { error: 'a mapping (key: value lines)' };
  const list = { error: 'a list' };
  const named = <T extends Zod.ZodType>(value: T) => z.record(name, value, mapping);
  const weekday = words(weekdays);

  const line = z.strictObject(
    {
      species: z.string({ error: 'a species, such as chicken or duck' }),
      class: text.optional(),
      down: text.optional(),
      egg_g: number(1, 3000).optional(),
      sexing_age_days: whole(1, 400).optional(),
      point_of_lay_days: whole(1, 1000).optional(),
      /** A line that feathers slowly goes out later. */
      feathers: words(['slow', 'fast']).optional(),
      override: parts.override.optional(),
    },
    mapping,
  );

  /** Days on which a machine or place is not used; both days are among them. */
  const closed = z
    .array(
      z
        .strictObject({ from: day, to: day, why: text.optional() }, mapping)
        .refine((one) => one.to >= one.from, { path: ['to'], error: 'a day not before from' }),
      list,
    )
    .default([]);

  /** Hatching eggs from elsewhere: they stand in the place of a pen, and have no hens of ours. */
  const bought = z.strictObject(
    {
      from: text,
      /** Day on which they come. */
      on: day,
      eggs: whole(1).optional(),
      /** Days between packing and coming here. */
      road_days: whole(0, 14).default(0),
      /** Age of the oldest on the day of packing. */
      days_old: whole(0, 30).default(0),
    },
    mapping,
  );

  const penKeys = z.strictObject(
    {
      line: z.string({ error: 'the name of a line' }),
      hens: whole(0).optional(),
      males: whole(0).optional(),
      joined: day.optional(),
      bought: bought.optional(),
      parted: day.optional(),
      /** Days on which the males were exchanged. */
      males_changed: z.array(day, list).optional(),
      /** Last day these hens ran with other males before they were joined here. */
      other_males_until: day.optional(),
      /** Birds of birds.csv that breed in this pen, as far as they are known by name. */
      sires: z.array(name, list).optional(),
      dams: z.array(name, list).optional(),
      /** `old` if either sex is over a year old: fertile eggs come later. */
      age: words(['young', 'old']).optional(),
    },
    mapping,
  );
  type PenKeys = Zod.infer<typeof penKeys>;
  const isBoughtOr = (key: 'hens' | 'males' | 'joined') => (one: PenKeys) =>
    one.bought !== undefined || one[key] !== undefined;
  const pen = penKeys
    .refine(isBoughtOr('hens'), { path: ['hens'], error: 'a whole number from 0' })
    .refine(isBoughtOr('males'), { path: ['males'], error: 'a whole number from 0' })
    .refine(isBoughtOr('joined'), { path: ['joined'], error: dayWords })
    .transform((one) => ({
      ...one,
      hens: one.hens ?? 0,
      males: one.males ?? 0,
      joined: (one.joined ?? one.bought?.on)!,
    }));

  /** A pen meant for next season: `new --from` makes it a pen. */
  const nextPen = z.strictObject(
    {
      line: z.string({ error: 'the name of a line' }),
      hens: whole(0),
      males: whole(0),
      sires: z.array(name, list).optional(),
      dams: z.array(name, list).optional(),
    },
    mapping,
  );

  /** What breeders are chosen by. Left out, the kind's usual figures of `seeds/breeding.yaml` stand. */
  const trait = z.strictObject(
    {
      kind: words(traitKinds),
      better: words(['more', 'less']).default('more'),
      /** Worth of one standard deviation beside the other traits. */
      weight: number(0, 1000).default(1),
      /** Age of the birds when it is taken; left out, one score a bird at whatever age its hatch was. */
      age_days: whole(1, 3000).optional(),
      within_days: whole(0, 60).optional(),
      heritability: number(0.01, 0.99).optional(),
      sex: words(['both', 'female', 'male']).optional(),
      unit: text.optional(),
    },
    mapping,
  );

  const holds = z.record(z.string(), whole(1), mapping);
  const setterKeys = z.strictObject(
    {
      trays: whole(1, 100).optional(),
      tray_holds: holds,
      /** A hen that sits: her nest is one tray, and her eggs hatch where they lie. */
      broody: z.boolean({ error: 'true or false' }).default(false),
      turns: words(['automatic', 'hand']).optional(),
      air: words(['forced', 'still']).optional(),
      watts: number(0, 20_000).optional(),
      closed,
    },
    mapping,
  );
  const setter = setterKeys
    .refine((one) => one.broody || one.trays !== undefined, {
      path: ['trays'],
      error: 'a whole number from 1 to 100',
    })
    .refine((one) => !one.broody || (one.trays ?? NESTS) === NESTS, {
      path: ['trays'],
      error: 'nothing: a broody hen has one nest',
    })
    .transform((one) => ({ ...one, trays: one.trays ?? NESTS }));
  const hatcher = z.strictObject(
    {
      holds,
      clean_days: whole(0, 60).default(1),
      one_set_at_a_time: z.boolean({ error: 'true or false' }).default(true),
      air: words(['forced', 'still']).optional(),
      watts: number(0, 20_000).optional(),
      closed,
    },
    mapping,
  );
  const brooder = z.strictObject(
    {
      area: number(0.01, 100_000),
      heat: z
        .strictObject(
          {
            kind: words(['lamp', 'hover', 'plate', 'none']),
            watts: number(0, 20_000).optional(),
            count: whole(1, 200).default(1),
            /** Warmed floor of one hover, in the unit of area. */
            area: number(0.001, 10_000).optional(),
            /** The maker's rating of one unit, in chicks. */
            places: whole(1, 10_000).optional(),
          },
          mapping,
        )
        .optional(),
      feeder_cm: number(1, 100_000).optional(),
      drinker_cm: number(1, 100_000).optional(),
      housing: words(['house', 'tunnel', 'hoop']).optional(),
      /** Coldest night temperature of the house round the brooder. */
      house_low: number(-60, 130).optional(),
      closed,
    },
    mapping,
  );

  /** A place without heat that birds move out to. */
  const run = z.strictObject({ area: number(0.01, 1_000_000).optional() }, mapping);

  const month = z
    .strictObject(
      {
        low: number(-60, 130),
        high: number(-60, 130).optional(),
        /** The low that nine nights in ten stay above. */
        low_10: number(-60, 130).optional(),
      },
      mapping,
    )
    .refine((one) => one.high === undefined || one.high >= one.low, {
      path: ['high'],
      error: 'a high not below the low',
    })
    .refine((one) => one.low_10 === undefined || one.low_10 <= one.low, {
      path: ['low_10'],
      error: 'a low_10 not above the low: nine nights in ten stay above it',
    });
  const normals = z.strictObject(
    Object.fromEntries(months.map((one) => [one, month.optional()])) as Record<
      (typeof months)[number],
      Zod.ZodOptional<typeof month>
    >,
    mapping,
  );

  const price = number(0, 1_000_000);
  /** What a unit costs, or would have sold for, in the currency of `units`. */
  const prices = z.strictObject(
    {
      egg: price.optional(),
      feed_kg: price.optional(),
      starter_kg: price.optional(),
      grower_kg: price.optional(),
      finisher_kg: price.optional(),
      layer_kg: price.optional(),
      kwh: price.optional(),
      table_kg: price.optional(),
      cockerel: price.optional(),
    },
    mapping,
  );

  const confidence = z
    .number({ error: 'a number above 0 and below 1' })
    .gt(0, { error: 'a number above 0 and below 1' })
    .lt(1, { error: 'a number above 0 and below 1' })
    .default(0.9);
  const goal = z.strictObject(
    {
      line: z.string({ error: 'the name of a line' }),
      want: words(['chicks', 'pullets', 'cockerels', 'birds']),
      at: words(['hatch', 'point-of-lay', 'table']).optional(),
      count: whole(1),
      by: day,
      confidence,
      /** What becomes of them; left out, they are kept. */
      fate: words(fates).default('kept'),
    },
    mapping,
  );

  /** Birds or eggs promised to somebody. */
  const order = z
    .strictObject(
      {
        for: text,
        line: z.string({ error: 'the name of a line' }),
        want: words(['eggs', 'chicks', 'pullets', 'cockerels', 'birds']),
        at: words(['hatch', 'point-of-lay', 'table']).optional(),
        count: whole(1),
        /** First day on which they are taken; left out, any day up to the last. */
        from: day.optional(),
        by: day,
        confidence,
      },
      mapping,
    )
    .refine((one) => one.from === undefined || one.from <= one.by, {
      path: ['by'],
      error: 'a day not before from',
    })
    .refine((one) => one.want !== 'eggs' || one.at === undefined, {
      path: ['at'],
      error: 'nothing: eggs have no age',
    });

  const maxDays = whole(1, 60);

  const planned = z.strictObject(
    {
      set: name,
      on: day,
      setter: z.string({ error: 'the name of a setter' }).optional(),
      trays: z.array(whole(1, 100), list).min(1, { error: 'a list of at least one tray number' }),
      shares: z
        .record(z.string(), whole(1), mapping)
        .refine((shares) => Object.keys(shares).length > 0, {
          error: 'at least one pen and its eggs',
        }),
      hatcher: z.string({ error: 'the name of a hatcher' }).optional(),
    },
    mapping,
  );

  return z.strictObject(
    {
      format: z.literal('traybook/1', { error: 'traybook/1' }),
      season: z.union([whole(1900, 2200), text], { error: 'a year such as 2027' }),
      place: z.strictObject(
        {
          name: text,
          timezone: z
            .string({ error: 'a time zone such as Europe/London' })
            .refine(isZone, { error: 'a time zone such as Europe/London' }),
          altitude_m: number(-500, 6000).default(0),
        },
        mapping,
      ),
      units: z
        .strictObject(
          {
            temperature: words(['C', 'F']).default('C'),
            mass: words(['g', 'oz']).default('g'),
            area: words(['m2', 'ft2']).default('m2'),
            currency: text.default(''),
          },
          mapping,
        )
        .prefault({}),
      previous: z.array(z.string({ error: 'the path of a season folder' }), list).default([]),
      /** Names this season in calendars, so that its events stay the same ones. */
      id: name.optional(),
      kinds: named(parts.kind).default({}),
      lines: named(line),
      pens: named(pen).default({}),
      next_pens: named(nextPen).default({}),
      /** Birds of birds.csv that are here no more, so that nobody pens them. */
      gone: z.array(name, list).default([]),
      traits: named(trait).default({}),
      setters: named(setter).default({}),
      hatchers: named(hatcher).default({}),
      storage: z
        .strictObject(
          {
            temperature: number(-10, 120).optional(),
            /** Days an egg may wait: one number for all kinds, or a number by kind. */
            max_days: z
              .union([maxDays, z.record(z.string(), maxDays)], {
                error: 'a whole number from 1 to 60, or such numbers by kind',
              })
              .optional(),
            turns_per_day: whole(0, 24).default(0),
          },
          mapping,
        )
        .prefault({}),
      brooders: named(brooder).default({}),
      runs: named(run).default({}),
      normals: normals.default({}),
      feed: z.strictObject({ bag_kg: number(0.1, 1000).optional() }, mapping).prefault({}),
      prices: prices.default({}),
      days_off: z
        .strictObject(
          {
            set: z.array(weekday, list).default([]),
            candle: z.array(weekday, list).default([]),
            transfer: z.array(weekday, list).default([]),
            hatch: z.array(weekday, list).default([]),
            dates: z.array(day, list).default([]),
          },
          mapping,
        )
        .prefault({}),
      /** First and last day on which eggs are set; left out, the pens' joined and parted tell. */
      setting: z
        .strictObject({ from: day.optional(), to: day.optional() }, mapping)
        .refine((one) => one.from === undefined || one.to === undefined || one.from <= one.to, {
          path: ['to'],
          error: 'a day not before from',
        })
        .prefault({}),
      goals: z.array(goal, list).default([]),
      orders: z.array(order, list).default([]),
      rates: parts.rates.default({}),
      plan: z.array(planned, list).default([]),
    },
    { error: 'a mapping with the keys format, season, place, lines …' },
  );
}

export type SeasonValues = Zod.infer<ReturnType<typeof seasonSchemaIn>>;
export type SetterValues = SeasonValues['setters'][string];
export type HatcherValues = SeasonValues['hatchers'][string];
export type BrooderValues = SeasonValues['brooders'][string];

export type KindValues = SeasonValues['kinds'][string];
export type GoalValues = SeasonValues['goals'][number];
export type PenValues = SeasonValues['pens'][string];
export type PlannedValues = SeasonValues['plan'][number];
