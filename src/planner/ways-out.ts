/** What a keeper could change about a season so that its goals can be met: each way by an amount. */

import type { Claim } from '../facts/claims.ts';
import type { Labour } from '../facts/days-off.ts';
import { machineSetters } from '../season/hens.ts';
import type { Brooder, Now, Pen, Season, Setter } from '../season/model.ts';
import { fixed, plural } from '../tables/numbers.ts';
import { addDays, type Day, daysBetween, type Weekday, weekdays } from '../text/day.ts';
import { largest, smallest } from '../text/lists.ts';
import type { PlanResult } from './plan.ts';

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
  return { ...season, values: { ...season.values, [key]: all } };
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

/** More trays in a setter, or room for a kind that it does not take yet. */
function ofTrays(season: Season, short: ReadonlySet<string>): Way[] {
  const kinds = new Set([...short].map((line) => season.lines.get(line)!.speciesName));
  const changed = (
    from: Season,
    name: string,
    change: (one: Setter) => Partial<Setter>,
  ): Season => {
    const one = from.setters.get(name)!;
    return { ...from, setters: new Map([...from.setters, [name, { ...one, ...change(one) }]]) };
  };
  const alike = unlike(machineSetters(season), (one) => [one.trays, sorted(one.tray_holds)]);
  return alike.flatMap(({ name, tray_holds }): Way[] => {
    const without = [...kinds].filter((kind) => (tray_holds[kind] ?? 0) === 0);
    const least = smallest(Object.values(tray_holds));
    return [
      {
        limit: 'trays',
        most: MOST_TRAYS,
        change: (from, n) => changed(from, name, (one) => ({ trays: one.trays + n })),
        say: (n) => `${plural(n, 'more tray')} in ${name}`,
      },
      ...without.map(
        (kind): Way => ({
          limit: 'trays',
          most: least,
          change: (from, n) =>
            changed(from, name, (one) => ({ tray_holds: { ...one.tray_holds, [kind]: n } })),
          say: (n) => `${kind} eggs in ${name} too, ${n} or more a tray`,
        }),
      ),
    ];
  });
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
          change: (from) => ({
            ...from,
            [key]: new Map(
              [...from[key].values()].map((one) => [
                one.name,
                one.name === name ? { ...one, closed: [] } : one,
              ]),
            ),
          }),
          say: () => `${name} not closed`,
        }),
      ),
  );
}

/** A longer season for setting. */
function ofSetting({ values: { setting } }: Season, now: Now): Way[] {
  const { from, to } = setting;
  const changed = (season: Season, change: Partial<typeof setting>): Season => ({
    ...season,
    values: { ...season.values, setting: { ...season.values.setting, ...change } },
  });
  return [
    ...(from === undefined || from <= now.day
      ? []
      : [
          {
            limit: 'setting season' as const,
            most: Math.min(MOST_DAYS, daysBetween(now.day, from)),
            change: (season: Season, n: number) => changed(season, { from: addDays(from, -n) }),
            say: (n: number) => `setting from ${addDays(from, -n)}, ${plural(n, 'day')} earlier`,
          },
        ]),
    ...(to === undefined
      ? []
      : [
          {
            limit: 'setting season' as const,
            most: MOST_DAYS,
            change: (season: Season, n: number) => changed(season, { to: addDays(to, n) }),
            say: (n: number) => `setting until ${addDays(to, n)}, ${plural(n, 'day')} longer`,
          },
        ]),
  ];
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
    const changed = (from: Season, change: (one: Brooder) => Partial<Brooder>): Season => {
      const one = from.brooders.get(name)!;
      return {
        ...from,
        brooders: new Map([...from.brooders, [name, { ...one, ...change(one) }]]),
      };
    };
    const floor: Way = {
      limit: 'brooder',
      most: MOST_STEPS,
      change: (from, n) => changed(from, (one) => ({ area: one.area + n * step })),
      say: (n) => `${n * step} ${unit} more floor in ${name}`,
    };
    const another: Way = {
      limit: 'brooder',
      most: MOST_BROODERS,
      change: (from, n) => {
        const one = from.brooders.get(name)!;
        const more = Array.from({ length: n }, (_, i): [string, Brooder] => {
          const twin = `another-${name}-${i + 1}`;
          return [twin, { ...one, name: twin }];
        });
        return { ...from, brooders: new Map([...from.brooders, ...more]) };
      },
      say: (n) => `${plural(n, 'more brooder')} like ${name}`,
    };
    if (!heat || heat.kind === 'none') return [floor, another];
    const heaters: Way = {
      limit: 'brooder',
      most: MOST_HEATERS,
      change: (from, n) =>
        changed(from, (one) => ({ heat: { ...one.heat!, count: one.heat!.count + n } })),
      say: (n) => `${plural(n, `more ${heat.kind}`)} in ${name}`,
    };
    return [floor, heaters, another];
  });
}

function withPen(season: Season, name: string, change: (pen: Pen) => Partial<Pen>): Season {
  const pen = season.pens.get(name)!;
  return { ...season, pens: new Map([...season.pens, [name, { ...pen, ...change(pen) }]]) };
}

function ofPen({ name, hens, joined, parted }: Pen, now: Now): Way[] {
  const more: Way[] = [
    {
      limit: 'eggs',
      most: Math.max(LEAST_HENS, TIMES * hens),
      change: (from, n) =>
        withPen(from, name, ({ hens: now, began }) => ({
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
      change: (from, n) => withPen(from, name, () => ({ parted: addDays(parted, n) })),
      say: (n) => `${name} parted ${plural(n, 'day')} later, on ${addDays(parted, n)}`,
    });
  const ahead = daysBetween(now.day, joined);
  if (ahead <= 0) return more;
  return [
    ...more,
    {
      limit: 'time',
      most: ahead,
      change: (from, n) => withPen(from, name, (pen) => ({ joined: addDays(pen.joined, -n) })),
      say: (n) => `${name} joined ${plural(n, 'day')} earlier, on ${addDays(joined, -n)}`,
    },
  ];
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
  const species = new Set([...short].map((line) => season.lines.get(line)!.speciesName));
  const alike = unlike([...season.hatchers.values()], (one) => [
    one.clean_days,
    one.one_set_at_a_time,
    sorted(one.holds),
  ]);
  return alike.flatMap(({ name, holds, clean_days }): Way[] => {
    const changed = (
      from: Season,
      change: (one: typeof holds) => typeof holds,
      clean = 0,
    ): Season => {
      const hatcher = from.hatchers.get(name)!;
      return {
        ...from,
        hatchers: new Map([
          ...from.hatchers,
          [
            name,
            { ...hatcher, holds: change(hatcher.holds), clean_days: hatcher.clean_days - clean },
          ],
        ]),
      };
    };
    const ways: Way[] = [
      {
        limit: 'hatcher',
        most: (TIMES - 1) * largest([1, ...[...species].map((one) => holds[one] ?? 0)]),
        change: (from, n) =>
          changed(from, (present) =>
            Object.fromEntries(
              Object.entries(present).map(([kind, room]) => [
                kind,
                species.has(kind) ? room + n : room,
              ]),
            ),
          ),
        say: (n) => `room for ${plural(n, 'more egg')} in ${name}`,
      },
      {
        limit: 'hatcher',
        most: MOST_HATCHERS,
        change: (from, n) => {
          const hatcher = from.hatchers.get(name)!;
          const more = Array.from({ length: n }, (_, i) => {
            const another = `another-${name}-${i + 1}`;
            return [another, { ...hatcher, name: another }] as const;
          });
          return { ...from, hatchers: new Map([...from.hatchers, ...more]) };
        },
        say: (n) => `${n === 1 ? 'one more hatcher' : `${n} more hatchers`} like ${name}`,
      },
    ];
    if (clean_days > 0)
      ways.push({
        limit: 'hatcher',
        most: clean_days,
        change: (from, n) => changed(from, (present) => present, n),
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
    change: (from) => ({
      ...from,
      values: {
        ...from.values,
        days_off: { ...from.values.days_off, ...change(from.values.days_off) },
      },
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

const sorted = (holds: Readonly<Record<string, number>>) =>
  Object.entries(holds).sort(([a], [b]) => (a < b ? -1 : 1));

/** The first of each kind: like machines need be tried once. */
function unlike<T>(all: readonly T[], by: (one: T) => unknown): T[] {
  const known = new Map<string, T>();
  for (const one of all) {
    const key = JSON.stringify(by(one));
    if (!known.has(key)) known.set(key, one);
  }
  return [...known.values()];
}
