/**
 * The rules of a plan, worked out day by day from the words of the guide, the season file and the trade's
 * tables: nothing of the program is used. A written plan is asked each of them.
 */
import { readFileSync } from 'node:fs';
import { parse } from 'yaml';

type Figure<T> = { readonly value: T };
type Kind = {
  readonly candle_days: Figure<readonly number[]>;
  readonly transfer_day: Figure<number>;
  readonly hatch_day: Figure<number>;
  readonly hatch_window_days: Figure<{ readonly high: number }>;
  readonly fertility_lag_days: Figure<number>;
};
const table = (name: string) => parse(readFileSync(`seeds/${name}.yaml`, 'utf8'));
/** Days and shares of each kind: `seeds/species.yaml` and `seeds/rates.yaml`, each with its source. */
const figures: Readonly<Record<string, Kind>> = table('species').species;
export const shares: Readonly<Record<string, Readonly<Record<string, { readonly mean: number }>>>> =
  table('rates').species;
export const kindOf = (species: string): Kind => figures[species]!;

export type Closed = readonly { readonly from: string; readonly to: string }[];
export type Claim = {
  readonly line: string;
  readonly want: 'chicks' | 'pullets' | 'cockerels' | 'birds';
  readonly count: number;
  readonly from?: string;
  readonly by: string;
  readonly confidence: number;
  readonly fate?: string;
  readonly for?: string;
};
/** A season file, as far as a plan asks. */
export type Farm = {
  readonly lines: Readonly<Record<string, { readonly species: string }>>;
  readonly pens: Readonly<
    Record<
      string,
      {
        readonly line: string;
        readonly hens?: number;
        readonly joined?: string;
        readonly parted?: string;
        readonly bought?: {
          readonly on: string;
          readonly eggs: number;
          readonly road_days: number;
        };
      }
    >
  >;
  readonly setters: Readonly<
    Record<string, { trays: number; tray_holds: Record<string, number>; closed: Closed }>
  >;
  readonly hatchers: Readonly<
    Record<
      string,
      {
        holds: Record<string, number>;
        clean_days: number;
        one_set_at_a_time: boolean;
        closed: Closed;
      }
    >
  >;
  readonly storage: { readonly max_days: number };
  readonly setting: { readonly from?: string; readonly to?: string };
  readonly days_off: Readonly<Record<'set' | 'transfer' | 'hatch' | 'dates', readonly string[]>>;
  readonly goals: readonly Claim[];
  readonly orders: readonly Claim[];
};
/** A set of the plan, as the document of `plan --json` has it. */
export type PlannedSet = {
  readonly set: string;
  readonly on: string;
  readonly setter: string;
  readonly trays: readonly number[];
  readonly shares: Readonly<Record<string, number>>;
  readonly eggs: number;
  readonly oldest_days: number;
  readonly transfer: string;
  readonly hatch: string;
  readonly hatcher: string | null;
};
/** What lies in the machines already: a set with its days there. */
export type Lying = {
  readonly set: string;
  readonly species: string;
  readonly on: string;
  readonly setter: string;
  readonly trays: readonly number[];
  readonly hatcher: string | null;
};

const DAY = 86_400_000;
export const number = (day: string): number => Date.parse(`${day}T00:00:00Z`) / DAY;
export const dayOf = (at: number): string => new Date(at * DAY).toISOString().slice(0, 10);
const weekdays = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];
const weekday = (at: number) => weekdays[new Date(at * DAY).getUTCDay()]!;

/** Eggs of a pen by the day from which they are there and the day laid, in parts; whole where they are known. */
export type Store = Map<string, { laid: number; there: number; eggs: number }[]>;

/** What each pen is expected to lay after a day, a like part every day: hens × lay × kept of the tables. */
export function expectedStore(farm: Farm, today: string, last: string): Store {
  return new Map(
    Object.entries(farm.pens).map(([name, pen]) => {
      const { species } = farm.lines[pen.line]!;
      if (pen.bought) {
        const { on, eggs, road_days } = pen.bought;
        return [name, [{ laid: number(on) - road_days, there: number(on), eggs }]];
      }
      const { lay, kept } = shares[species]!;
      const lots = [];
      const first = number(pen.joined!) + kindOf(species).fertility_lag_days.value;
      for (let at = Math.max(first, number(today) + 1); at <= number(last); at++)
        if (pen.parted === undefined || at < number(pen.parted))
          lots.push({ laid: at, there: at, eggs: pen.hens! * lay!.mean * kept!.mean });
      return [name, lots];
    }),
  );
}

/** The age to which chicks of a kind have the last eggs out of the hatcher, days from setting. */
const overDay = (species: string) => kindOf(species).hatch_window_days.value.high;

/** Every rule that the sets break; `lying` are sets recorded, `store` null where eggs are asked elsewhere. */
export function brokenRules(
  farm: Farm,
  today: string,
  planned: readonly PlannedSet[],
  { store, lying = [] }: { store: Store | null; lying?: readonly Lying[] },
): string[] {
  const broken: string[] = [];
  const isOff = (work: 'set' | 'transfer' | 'hatch', at: number) =>
    (farm.days_off[work] ?? []).includes(weekday(at)) ||
    (farm.days_off.dates ?? []).includes(dayOf(at));
  const isClosed = (closed: Closed, at: number) =>
    closed.some(({ from, to }) => number(from) <= at && at <= number(to));
  const inTray = new Map<string, string>();
  const inHatcher = new Map<string, Map<number, { set: string; hatch: number; out: boolean }[]>>();

  const lieIn = (one: Lying, isNew: boolean) => {
    const { species } = one;
    const start = number(one.on);
    const move = start + kindOf(species).transfer_day.value;
    const over = start + overDay(species);
    const setter = farm.setters[one.setter]!;
    for (let at = start; at < (one.hatcher === null ? over : move); at++)
      for (const tray of one.trays) {
        const place = `${one.setter} ${tray} ${at}`;
        const before = inTray.get(place);
        if (before !== undefined) broken.push(`${one.set}: tray of ${before} on ${dayOf(at)}`);
        if (isNew && isClosed(setter.closed, at))
          broken.push(`${one.set}: ${one.setter} is closed on ${dayOf(at)}`);
        inTray.set(place, one.set);
      }
    if (one.hatcher === null) return;
    const hatcher = farm.hatchers[one.hatcher]!;
    const days = inHatcher.get(one.hatcher) ?? new Map();
    inHatcher.set(one.hatcher, days);
    for (let at = move; at < over + hatcher.clean_days; at++) {
      const here = days.get(at) ?? [];
      days.set(at, here);
      here.push({
        set: one.set,
        hatch: start + kindOf(species).hatch_day.value,
        out: at >= over,
      });
      if (isNew && at < over && isClosed(hatcher.closed, at))
        broken.push(`${one.set}: ${one.hatcher} is closed on ${dayOf(at)}`);
    }
  };
  for (const one of lying) lieIn(one, false);

  for (const one of planned) {
    const say = (words: string) => broken.push(`${one.set}: ${words}`);
    const pens = Object.keys(one.shares);
    const kinds = new Set(pens.map((pen) => farm.lines[farm.pens[pen]!.line]!.species));
    if (kinds.size !== 1) say('trays of one kind');
    const [species] = kinds as Set<string>;
    const kind = kindOf(species!);
    const start = number(one.on);
    if (one.on < today) say('in the past');
    const dates = { transfer: kind.transfer_day.value, hatch: kind.hatch_day.value };
    for (const key of ['transfer', 'hatch'] as const)
      if (one[key] !== dayOf(start + dates[key])) say(`${key} on ${one[key]}`);
    const { from, to } = farm.setting;
    if (from !== undefined && one.on < from) say('before the season');
    if (to !== undefined && one.on > to) say('after the season');
    if (isOff('set', start)) say('set on a day off');
    if (isOff('transfer', start + dates.transfer)) say('moved on a day off');
    if (isOff('hatch', start + dates.hatch)) say('hatches on a day off');
    const setter = farm.setters[one.setter];
    if (setter === undefined) {
      say('no such setter');
      continue;
    }
    if (new Set(one.trays).size !== one.trays.length) say('a tray twice');
    if (one.trays.some((tray) => tray < 1 || tray > setter.trays)) say('no such tray');
    const sum = Object.values(one.shares).reduce((a, b) => a + b, 0);
    if (sum !== one.eggs) say('shares do not add up');
    if (sum > one.trays.length * (setter.tray_holds[species!] ?? 0)) say('too many for its trays');
    if (Object.keys(farm.hatchers).length > 0 && one.hatcher === null) say('no hatcher');
    lieIn({ ...one, species: species! }, true);
  }

  for (const [name, days] of inHatcher) {
    const { one_set_at_a_time } = farm.hatchers[name]!;
    for (const [at, here] of days) {
      if (here.length < 2) continue;
      const names = [...new Set(here.map(({ set }) => set))].join(' and ');
      // Cleaning takes the whole hatcher; sets that hatch on one day are cleaned after together.
      if (new Set(here.map(({ hatch }) => hatch)).size > 1)
        broken.push(`${names}: in ${name} on ${dayOf(at)}, with other hatch days or not clean`);
      else if (one_set_at_a_time && names.includes(' and '))
        broken.push(`${names}: both in ${name} on ${dayOf(at)}`);
    }
  }

  if (store !== null) broken.push(...brokenDraws(farm, planned, store));
  return broken;
}

/** A lot counted in parts is at most this far from whole eggs, on either side of what is taken. */
const PARTS = 2;

/** The freshest that are there and not too old, set after set in order of day. */
function brokenDraws(farm: Farm, planned: readonly PlannedSet[], from: Store): string[] {
  const broken: string[] = [];
  const store: Store = new Map([...from].map(([pen, lots]) => [pen, lots.map((l) => ({ ...l }))]));
  const most = farm.storage.max_days;
  for (const one of [...planned].sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0))) {
    const at = number(one.on);
    // The age of the oldest egg if a little less were taken, and a little more.
    const oldest = { low: 0, high: 0 };
    for (const [pen, eggs] of Object.entries(one.shares)) {
      let wanted = eggs;
      let passed = 0;
      const lots = [...store.get(pen)!].sort((a, b) => b.laid - a.laid);
      for (const lot of lots) {
        if (lot.there > at || at - lot.laid > most || lot.eggs <= 0) continue;
        const age = at - lot.laid;
        if (passed < eggs - PARTS) oldest.low = Math.max(oldest.low, age);
        if (passed < eggs + PARTS) oldest.high = Math.max(oldest.high, age);
        passed += lot.eggs;
        const taken = Math.min(wanted, lot.eggs);
        lot.eggs -= taken;
        wanted -= taken;
      }
      if (wanted >= PARTS) broken.push(`${one.set}: ${wanted.toFixed(1)} eggs of ${pen} not there`);
    }
    if (one.oldest_days > most) broken.push(`${one.set}: eggs of ${one.oldest_days} days`);
    if (one.oldest_days < oldest.low || one.oldest_days > oldest.high)
      broken.push(
        `${one.set}: oldest said ${one.oldest_days} days, worked out ${oldest.low} to ${oldest.high}`,
      );
  }
  return broken;
}
