/** What a keeper could change about a season so that its goals can be met: each way by an amount. */

import type { Claim } from '../facts/claims.ts';
import type { Labour } from '../facts/days-off.ts';
import { machineSetters } from '../season/hens.ts';
import type { Brooder, Hatcher, Now, Pen, Season, Setter } from '../season/model.ts';
import { fixed, plural } from '../tables/numbers.ts';
import { addDays, type Day, daysBetween, type Weekday, weekdays } from '../text/day.ts';
import { groupedBy, largest, smallest } from '../text/lists.ts';
import type { PlanResult } from './plan.ts';
import { holdsKey } from './problem.ts';

/** What can bind a plan. */
export type Binding =
  | 'eggs'
  | 'time'
  | 'trays'
  | 'hatcher'
  | 'brooder'
  | 'storage'
  | 'days off'
  | 'closed days'
  | 'setting season';

/** A way to change a season by a whole amount from 1 on. */
export interface Way {
  limit: Binding;
  /**
   * Of several ways that stand for each other only the first that frees the plan is told; `all` only
   * where no lesser one of its limit does.
   */
  instead?: string;
  most: number;
  change: (season: Season, amount: number) => Season;
  /** The change in words; `freed` is the plan it makes possible. */
  say: (amount: number, freed: PlanResult) => string;
}

const MOST_DAYS = 120;
const MOST_TRAYS = 10;
const MOST_HATCHERS = 2;
const MOST_STORAGE = 7;
/** Hens of a pen and room of a hatcher are tried up to so many times what they are. */
const TIMES = 3;
const LEAST_HENS = 10;

/** A claim that falls short. */
type Short = Pick<Claim, 'kind' | 'index' | 'line' | 'by'>;

/** The season with a goal or an order changed. */
export function withClaim(
  season: Season,
  claim: Pick<Claim, 'kind' | 'index'>,
  change: { by?: Day; count?: number; confidence?: number },
): Season {
  const key = claim.kind === 'goal' ? 'goals' : 'orders';
  const all = season.values[key].map((one, i) => (i === claim.index ? { ...one, ...change } : one));
  return withValues(season, { [key]: all });
}

/** The ways worth trying for claims that fall short, smaller changes before larger ones. */
export function waysOut(season: Season, now: Now, claims: readonly Short[]): Way[] {
  const short = new Set(claims.map(({ line }) => line.name));
  const pens = [...season.pens.values()].filter((pen) => short.has(pen.line.name));
  return [
    laterBirds(claims),
    ...ofDaysOff(season, now),
    ...ofClosedDays(season, now),
    ...ofSetting(season, now),
    longerStorage,
    ...ofTrays(season, short),
    ...ofHatchers(season, short),
    ...pens.flatMap((pen) => ofPen(pen, now)),
    ...ofBrooders(season),
  ];
}

/** The season with some of its own words changed. */
const withValues = (season: Season, change: Partial<Season['values']>): Season => ({
  ...season,
  values: { ...season.values, ...change },
});

type PartsOfFarm = { pens: Pen; setters: Setter; hatchers: Hatcher; brooders: Brooder };

/** The season with one pen or machine changed. */
function withOne<K extends keyof PartsOfFarm>(
  season: Season,
  key: K,
  name: string,
  change: (one: PartsOfFarm[K]) => Partial<PartsOfFarm[K]>,
): Season {
  const all = season[key] as ReadonlyMap<string, PartsOfFarm[K]>;
  const one = all.get(name)!;
  return { ...season, [key]: new Map([...all, [name, { ...one, ...change(one) }]]) };
}

/** The season with so many more machines like one of them. */
function withMore(season: Season, key: 'hatchers' | 'brooders', like: string, n: number): Season {
  const more = Array.from({ length: n }, (_, i) => {
    const name = `another-${like}-${i + 1}`;
    return [name, { ...season[key].get(like)!, name }] as const;
  });
  return { ...season, [key]: new Map<string, unknown>([...season[key], ...more]) };
}

const kindsOf = (season: Season, lines: ReadonlySet<string>): Set<string> =>
  new Set([...lines].map((line) => season.lines.get(line)!.speciesName));

/** More trays in a setter, or room for a kind that it does not take yet. */
function ofTrays(season: Season, short: ReadonlySet<string>): Way[] {
  const alike = unlike(machineSetters(season), (one) => [one.trays, holdsKey(one.tray_holds)]);
  return alike.flatMap(({ name, tray_holds }): Way[] => [
    {
      limit: 'trays',
      most: MOST_TRAYS,
      change: (from, n) => withOne(from, 'setters', name, ({ trays }) => ({ trays: trays + n })),
      say: (n) => `${plural(n, 'more tray')} in ${name}`,
    },
    ...[...kindsOf(season, short)]
      .filter((kind) => (tray_holds[kind] ?? 0) === 0)
      .map(
        (kind): Way => ({
          limit: 'trays',
          most: smallest(Object.values(tray_holds)),
          change: (from, n) =>
            withOne(from, 'setters', name, (one) => ({
              tray_holds: { ...one.tray_holds, [kind]: n },
            })),
          say: (n) => `${kind} eggs in ${name} too, ${n} or more a tray`,
        }),
      ),
  ]);
}

/** Machines that are open after all. */
function ofClosedDays(season: Season, now: Now): Way[] {
  return (['setters', 'hatchers', 'brooders'] as const).flatMap((key) =>
    [...season[key].values()]
      .filter(({ closed }) => closed.some(({ to }) => to >= now.day))
      .map(
        ({ name }): Way => ({
          limit: 'closed days',
          most: 1,
          change: (from) => withOne(from, key, name, () => ({ closed: [] })),
          say: () => `${name} not closed`,
        }),
      ),
  );
}

/** A longer season for setting. */
function ofSetting({ values: { setting } }: Season, now: Now): Way[] {
  const { from, to } = setting;
  const way = (
    most: number,
    change: (n: number) => Partial<typeof setting>,
    say: Way['say'],
  ): Way => ({
    limit: 'setting season',
    most,
    change: (season, n) =>
      withValues(season, { setting: { ...season.values.setting, ...change(n) } }),
    say,
  });
  const ways: Way[] = [];
  if (from !== undefined && from > now.day)
    ways.push(
      way(
        Math.min(MOST_DAYS, daysBetween(now.day, from)),
        (n) => ({ from: addDays(from, -n) }),
        (n) => `setting from ${addDays(from, -n)}, ${plural(n, 'day')} earlier`,
      ),
    );
  if (to !== undefined)
    ways.push(
      way(
        MOST_DAYS,
        (n) => ({ to: addDays(to, n) }),
        (n) => `setting until ${addDays(to, n)}, ${plural(n, 'day')} longer`,
      ),
    );
  return ways;
}

/** Floor is tried in half square metres, or in steps of five square feet. */
const FLOOR_STEP = { m2: 0.5, ft2: 5 };
const MOST_STEPS = 40;
const MOST_HEATERS = 6;
const MOST_BROODERS = 6;

/** More floor, more heat, or another brooder, which brings both. */
function ofBrooders(season: Season): Way[] {
  const unit = season.values.units.area;
  const step = FLOOR_STEP[unit];
  const alike = unlike([...season.brooders.values()], ({ name: _, at: __, ...rest }) => [rest]);
  return alike.flatMap(({ name, heat }): Way[] => {
    const floor: Way = {
      limit: 'brooder',
      most: MOST_STEPS,
      change: (from, n) =>
        withOne(from, 'brooders', name, ({ area }) => ({ area: area + n * step })),
      say: (n) => `${n * step} ${unit} more floor in ${name}`,
    };
    const another: Way = {
      limit: 'brooder',
      most: MOST_BROODERS,
      change: (from, n) => withMore(from, 'brooders', name, n),
      say: (n) => `${plural(n, 'more brooder')} like ${name}`,
    };
    if (!heat || heat.kind === 'none') return [floor, another];
    const heaters: Way = {
      limit: 'brooder',
      most: MOST_HEATERS,
      change: (from, n) =>
        withOne(from, 'brooders', name, (one) => ({
          heat: { ...one.heat!, count: one.heat!.count + n },
        })),
      say: (n) => `${plural(n, `more ${heat.kind}`)} in ${name}`,
    };
    return [floor, heaters, another];
  });
}

function ofPen({ name, hens, joined, parted }: Pen, now: Now): Way[] {
  const more: Way[] = [
    {
      limit: 'eggs',
      most: Math.max(LEAST_HENS, TIMES * hens),
      change: (from, n) =>
        withOne(from, 'pens', name, ({ hens: now, began }) => ({
          hens: now + n,
          began: { ...began, hens: began.hens + n },
        })),
      say: (n) => `${plural(n, 'more hen')} in ${name}`,
    },
  ];
  if (parted !== null)
    more.push({
      limit: 'time',
      most: MOST_DAYS,
      change: (from, n) => withOne(from, 'pens', name, () => ({ parted: addDays(parted, n) })),
      say: (n) => `${name} parted ${plural(n, 'day')} later, on ${addDays(parted, n)}`,
    });
  const ahead = daysBetween(now.day, joined);
  if (ahead > 0)
    more.push({
      limit: 'time',
      most: ahead,
      change: (from, n) =>
        withOne(from, 'pens', name, (pen) => ({ joined: addDays(pen.joined, -n) })),
      say: (n) => `${name} joined ${plural(n, 'day')} earlier, on ${addDays(joined, -n)}`,
    });
  return more;
}

/** A later day for what falls short, and for nothing that is met as it stands. */
function laterBirds(claims: readonly Short[]): Way {
  const dayOf = ({ by }: Short, n: number) => addDays(by, n);
  return {
    limit: 'time',
    most: MOST_DAYS,
    change: (from, n) =>
      claims.reduce((all, one) => withClaim(all, one, { by: dayOf(one, n) }), from),
    say: (n) => {
      const days = new Set(claims.map((one) => dayOf(one, n)));
      return `${plural(n, 'day')} more: by ${[...days].join(' and ')}`;
    },
  };
}

function ofHatchers(season: Season, short: ReadonlySet<string>): Way[] {
  const kinds = kindsOf(season, short);
  const alike = unlike([...season.hatchers.values()], (one) => [
    one.clean_days,
    one.one_set_at_a_time,
    holdsKey(one.holds),
  ]);
  return alike.flatMap(({ name, holds, clean_days }): Way[] => {
    const ways: Way[] = [
      {
        limit: 'hatcher',
        most: (TIMES - 1) * largest([1, ...[...kinds].map((one) => holds[one] ?? 0)]),
        change: (from, n) =>
          withOne(from, 'hatchers', name, (one) => ({
            holds: Object.fromEntries(
              Object.entries(one.holds).map(([kind, room]) => [
                kind,
                kinds.has(kind) ? room + n : room,
              ]),
            ),
          })),
        say: (n) => `room for ${plural(n, 'more egg')} in ${name}`,
      },
      {
        limit: 'hatcher',
        most: MOST_HATCHERS,
        change: (from, n) => withMore(from, 'hatchers', name, n),
        say: (n) => `${n === 1 ? 'one more hatcher' : `${n} more hatchers`} like ${name}`,
      },
    ];
    if (clean_days > 0)
      ways.push({
        limit: 'hatcher',
        most: clean_days,
        change: (from, n) =>
          withOne(from, 'hatchers', name, (one) => ({ clean_days: one.clean_days - n })),
        say: (n) => `${name} clean again ${plural(n, 'day')} sooner`,
      });
    return ways;
  });
}

const longerStorage: Way = {
  limit: 'storage',
  most: MOST_STORAGE,
  change: (from, n) => ({
    ...from,
    storageMaxDays: (species) => from.storageMaxDays(species) + n,
  }),
  say: (n, freed) =>
    `eggs stored ${plural(n, 'day')} longer; storage then takes ${fixed(freed.loss, 1)} chicks`,
};

const doing: Readonly<Record<Labour, string>> = {
  set: 'eggs set',
  candle: 'eggs candled',
  transfer: 'eggs moved to the hatcher',
  hatch: 'chicks hatching',
};
const weekdayNames: Readonly<Record<Weekday, string>> = {
  mon: 'Mondays',
  tue: 'Tuesdays',
  wed: 'Wednesdays',
  thu: 'Thursdays',
  fri: 'Fridays',
  sat: 'Saturdays',
  sun: 'Sundays',
};
const labours: readonly Labour[] = ['set', 'candle', 'transfer', 'hatch'];

/** One day off given up, the smallest first: a date, one work on a weekday, the weekday, all of them. */
function ofDaysOff(season: Season, now: Now): Way[] {
  type Off = Season['values']['days_off'];
  const way = (
    instead: Labour | 'date' | 'all',
    words: string,
    change: (off: Off) => Partial<Off>,
  ): Way => ({
    limit: 'days off',
    instead,
    most: 1,
    change: (from) =>
      withValues(from, {
        days_off: { ...from.values.days_off, ...change(from.values.days_off) },
      }),
    say: () => words,
  });
  const off = season.values.days_off;
  const singles = labours.flatMap((labour) => off[labour].map((weekday) => ({ labour, weekday })));
  const whole = weekdays.filter(
    (weekday) => singles.filter((one) => one.weekday === weekday).length > 1,
  );
  const ways = [
    ...off.dates
      .filter((day) => day >= now.day)
      .map((day) =>
        way('date', `work on ${day}`, ({ dates }) => ({
          dates: dates.filter((one) => one !== day),
        })),
      ),
    ...singles.map(({ labour, weekday }) =>
      way(labour, `${doing[labour]} on ${weekdayNames[weekday]} too`, (present) => ({
        [labour]: present[labour].filter((one) => one !== weekday),
      })),
    ),
    ...whole.map((weekday) =>
      way('all', `${weekdayNames[weekday]} not off at all`, (present) =>
        Object.fromEntries(
          labours.map((labour) => [labour, present[labour].filter((one) => one !== weekday)]),
        ),
      ),
    ),
  ];
  if (ways.length < 2) return ways;
  const none = { set: [], candle: [], transfer: [], hatch: [], dates: [] };
  return [...ways, way('all', 'no days off', () => none)];
}

/** The first of each kind: like machines need be tried once. */
const unlike = <T>(all: readonly T[], by: (one: T) => unknown): T[] =>
  [...groupedBy(all, (one) => JSON.stringify(by(one))).values()].map(([first]) => first!);
