/**
 * A trial that keeps causes apart: each set is split between two ways, and the two halves of a set are
 * compared with each other, so that what hits the set hits both (split plots: Cochran & Cox 1957,
 * Experimental Designs, ch. 7).
 */
import { isSettingDay } from '../facts/days-off.ts';
import { closedSpans } from '../facts/feasible/days.ts';
import { openPlan } from '../facts/hatch-time.ts';
import { layIsGood } from '../facts/laying.ts';
import { occupancyOf } from '../facts/occupancy.ts';
import { overlaps, type Span } from '../facts/spans.ts';
import { machineSetters } from '../season/hens.ts';
import type { Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day } from '../text/day.ts';
import { smallest } from '../text/lists.ts';
import { eggsADay } from './rates/expected-chicks.ts';
import { nextSet } from './rates/next-set.ts';
import { productMoments } from './rates/product-of-rates.ts';
import type { FarmRates } from './rates/rates.ts';
import { normalQuantile } from './statistics/normal.ts';

export const trialKinds = ['trays', 'males', 'storage'] as const;
export type TrialKind = (typeof trialKinds)[number];

export type TrialSet = {
  readonly set: string;
  readonly on: Day;
  readonly pen: string;
  /** What each half is, and its eggs. */
  readonly first: string;
  readonly second: string;
  readonly eggs: number;
};

export type SplitTrial = {
  readonly kind: TrialKind;
  readonly sets: readonly TrialSet[];
  /** After so many sets, the difference of hatch of set, in points, that would show four times in five. */
  readonly shows: readonly { sets: number; eggs: number; points: number }[];
  /** Why it cannot be laid out; null where it can. */
  readonly cannot: string | null;
};

/** Test level and power of a trial, as usual in the field: one in twenty, four in five. */
const REACH = normalQuantile(0.975) + normalQuantile(0.8);
const SETS = 6;
const LEAST_SETS = 2;
const WEEK = 7;
/** A season's sets are sought so many weeks ahead. */
const WEEKS = 26;
const HALF = 20;
/** Days in store of the older half: beyond the week that is free of loss for most kinds. */
const OLD_DAYS = 10;
/** Days in which the fresh half is laid. */
const FRESH_DAYS = 3;

/** A set that may be split: of the plan, or one more. */
type Whole = { readonly set: string; readonly on: Day; readonly eggs: number };
/** Two trays of a setter that are free from a day until the eggs leave them. */
type Couple = { readonly setter: string; readonly trays: readonly [number, number] };

/**
 * Lays a trial out over the next sets: those planned, where two find two free trays, else sets of its own a
 * week apart, as soon as trays are free. Ways change sides each time two trays are used, so that neither
 * keeps the better place. No half has more eggs than its pen is expected to lay in time.
 */
export function trialOf(season: Season, kind: TrialKind, rates: FarmRates, now: Now): SplitTrial {
  const none = (cannot: string): SplitTrial => ({ kind, sets: [], shows: [], cannot });
  const pens = [...season.pens.values()].filter(
    (one) => one.hens > 0 && one.bought === null && (one.parted === null || one.parted > now.day),
  );
  const pen = pens[0];
  if (pen === undefined) return none('no pen has hens');
  const rivals = pens.filter((one) => one.line === pen.line).slice(0, 2);
  if (kind === 'males' && rivals.length < 2)
    return none('males are told apart by their pens, and no line has two pens');
  if (machineSetters(season).every((one) => one.trays < 2)) return none('no setter has two trays');
  const stored = season.storageMaxDays(pen.line.species);
  const old = Math.min(OLD_DAYS, stored);
  if (kind === 'storage' && old <= WEEK)
    return none(
      `eggs are kept for ${stored} days at most, and the first week costs next to nothing`,
    );
  const used = kind === 'males' ? rivals : [pen];
  const oldest = kind === 'storage' ? old : Math.min(WEEK, stored);
  const most = Math.floor(
    smallest(used.map((one) => eggsADay(rates, one))) *
      (kind === 'storage' ? FRESH_DAYS : kind === 'males' ? oldest : oldest / 2),
  );
  const trays = new Trays(season, now, pen);
  const isLaid = (on: Day) =>
    used.every((one) => layIsGood(one, addDays(on, -oldest)) && layIsGood(one, addDays(on, -1)));
  const laid = laidOut(plannedOf(season, pen, now.day), trays, isLaid);
  const all =
    laid.length >= LEAST_SETS
      ? laid
      : laidOut(ownOf(season, pen, now.day), new Trays(season, now, pen), isLaid);
  if (all.length < LEAST_SETS) return none('no two sets find a pair of trays free');
  const sets = all.map(({ whole, couple, turned }): TrialSet => {
    const [near, far] = turned ? [...couple.trays].reverse() : couple.trays;
    const ways =
      kind === 'trays'
        ? couple.trays.map((tray) => `tray ${tray} of ${couple.setter}`)
        : kind === 'males'
          ? rivals.map((one, j) => `pen ${one.name}, tray ${j === 0 ? near : far}`)
          : [`laid in the last ${FRESH_DAYS} days, tray ${near}`, `kept ${old} days, tray ${far}`];
    return {
      set: whole.set,
      on: whole.on,
      pen: used.map(({ name }) => name).join(' and '),
      first: ways[0]!,
      second: ways[1]!,
      eggs: Math.min(whole.eggs, most),
    };
  });
  const rate = productMoments(
    (['fertile', 'candled', 'transferred', 'hatched'] as const).map((stage) =>
      nextSet(rates.rate(stage, pen)),
    ),
  ).mean;
  const shows = [...new Set([2, 4, 6, sets.length])]
    .filter((many) => many <= sets.length)
    .sort((a, b) => a - b)
    .map((many) => {
      const eggs = sets.slice(0, many).reduce((sum, one) => sum + one.eggs, 0);
      return { sets: many, eggs, points: 100 * REACH * Math.sqrt((2 * rate * (1 - rate)) / eggs) };
    });
  return { kind, sets, shows, cannot: null };
}

/** Planned sets still to come of a pen's line alone, in a machine, each on its own day. */
function plannedOf(season: Season, pen: Pen, today: Day): Whole[][] {
  return openPlan(season)
    .filter(({ on, setter, shares }) => {
      const isHers = setter !== null && season.setters.get(setter)?.broody === true;
      return on >= today && !isHers && shares.every((one) => one.pen.line === pen.line);
    })
    .map(({ name, on, shares }) => {
      const eggs = shares.reduce((sum, one) => sum + one.eggs, 0);
      return [{ set: name, on, eggs: Math.floor(eggs / 2) }];
    });
}

/** Sets of a trial's own: the first of each week's days that will do. */
function ownOf(season: Season, { line }: Pen, today: Day): Whole[][] {
  return Array.from({ length: WEEKS }, (_, week) =>
    Array.from({ length: WEEK }, (__, day) => addDays(today, WEEK * (week + 1) + day))
      .filter((on) => isSettingDay(season, line.species, on))
      .map((on) => ({ set: '', on, eggs: HALF })),
  );
}

/** Puts each set into two free trays, on the first of its days that will do; six at most. */
function laidOut(
  choices: readonly (readonly Whole[])[],
  trays: Trays,
  isLaid: (on: Day) => boolean,
): { whole: Whole; couple: Couple; turned: boolean }[] {
  const found: { whole: Whole; couple: Couple; turned: boolean }[] = [];
  const times = new Map<string, number>();
  for (const days of choices) {
    if (found.length === SETS) break;
    for (const day of days) {
      const whole = { ...day, set: day.set === '' ? `T${found.length + 1}` : day.set };
      const couple = isLaid(whole.on) ? trays.take(whole) : null;
      if (couple === null) continue;
      // Each couple of trays is used both ways about.
      const key = `${couple.setter} ${couple.trays}`;
      const before = times.get(key) ?? 0;
      times.set(key, before + 1);
      found.push({ whole, couple, turned: before % 2 === 1 });
      break;
    }
  }
  return found;
}

/** Trays of the machines as the season and a trial fill them. */
class Trays {
  readonly #taken: (Span & { setter: string; tray: number; set: string })[];
  readonly #days: number;

  constructor(
    readonly season: Season,
    now: Now,
    readonly pen: Pen,
  ) {
    this.#taken = [...occupancyOf(season, now).trays];
    this.#days = pen.line.species.transfer_day.value;
  }

  /** Two trays of one machine for a set, free until its eggs leave them; null where there are none. */
  take({ set, on, eggs }: Whole): Couple | null {
    const span = { from: on, to: addDays(on, this.#days) };
    for (const setter of machineSetters(this.season)) {
      if ((setter.tray_holds[this.pen.line.speciesName] ?? 0) < eggs) continue;
      if (closedSpans(setter).some((closed) => overlaps(closed, span))) continue;
      const isFree = (tray: number) =>
        this.#taken.every(
          (one) =>
            one.setter !== setter.name ||
            one.tray !== tray ||
            one.set === set ||
            !overlaps(one, span),
        );
      const [near, far] = Array.from({ length: setter.trays }, (_, at) => at + 1).filter(isFree);
      if (near === undefined || far === undefined) continue;
      for (const tray of [near, far]) this.#taken.push({ ...span, setter: setter.name, tray, set });
      return { setter: setter.name, trays: [near, far] };
    }
    return null;
  }
}
