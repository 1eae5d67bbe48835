/**
 * The season as the planner sees it from `now` on. Days are whole numbers, day 0 being `first`.
 *
 * A *calendar* is a kind with its dates: pens of one calendar may lie in one set. Machines that hold
 * alike are one class and counted together, for stays that fit in sum can be laid out (they are
 * intervals). Plan lines that stay take their eggs and places as what is set does.
 */

import { type Claim, claimsOf, type Rivalry, rivalsOf } from '../facts/claims.ts';
import { isDayOff, isSettingDay } from '../facts/days-off.ts';
import { closedSpans } from '../facts/feasible/days.ts';
import type { LiveEggs } from '../facts/feasible/hatchers.ts';
import { lastSetDay, readyAfter } from '../facts/goals.ts';
import { lastOpeningDay, machineHours, openPlan, storageHours } from '../facts/hatch-time.ts';
import { isCarried, laidOn, restedOn } from '../facts/laying.ts';
import { type Occupancy, occupancyOf } from '../facts/occupancy.ts';
import { holdsDay, type Span } from '../facts/spans.ts';
import { work } from '../facts/tasks/work.ts';
import { expectedIn, liveRate, mostForRoom } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import { storageFactor } from '../judge/rates/storage.ts';
import { machineSetters } from '../season/hens.ts';
import type { Hatcher, Now, Pen, PlannedSet, Season, Setter } from '../season/model.ts';
import {
  addDays,
  type Day,
  daysBetween,
  daysIn,
  later,
  type Weekday,
  weekdayOf,
} from '../text/day.ts';
import { groupedBy, largest, smallest } from '../text/lists.ts';
import { broodingRoom } from './brooding.ts';
import { isAsked } from './goals-in-reach.ts';
import { meanRate } from './mean-rate.ts';
import type { BroodingRoom } from './roofs.ts';
import { type Demand, type DrawnEggs, taken } from './store.ts';
import { type Layer, layCertainty, layersOf, lotsOf } from './supply.ts';

const HOURS_A_DAY = 24;
/** A set whose hour is not known is taken to begin at noon; a clock change adds an hour. */
const FROM_NOON = 13;

/** Which days sets may be started on, beyond the days off. */
export type Rhythm = (day: Day) => boolean;

/** What a plan is to keep to beyond the season file. */
export interface Wishes {
  rhythm?: Rhythm | null;
  /** Latest day for the last opening of a set. */
  lastOpeningBy?: Day;
  /** Pens whose eggs are not to be set. */
  idle?: ReadonlySet<string>;
}

/** The eggs of one pen. */
export interface EggPool {
  pen: Pen;
  calendar: number;
  /** Whole eggs expected by the day laid; entry 0 is `maxAge` days before day 0. */
  lots: readonly number[];
  /** The same, less what lines that stay take of them, in layers that can be counted on alike. */
  layers: readonly Layer[];
  maxAge: number;
  /** Last day on which its eggs serve a claim. */
  to: number;
  /** Days on which they may not be set. */
  closed: ReadonlySet<number>;
  /** What storage leaves of the hatch by age, days. */
  kept: readonly number[];
  /** Sound chicks of a fresh egg, on the average. */
  chicks: number;
  /** The rate at which its eggs are moved alive. */
  live: ReturnType<typeof liveRate>;
}

/** A kind with its dates, as days from setting. */
export interface Calendar {
  species: string;
  setDays: readonly number[];
  /** When the eggs leave the trays: for the hatcher, or as chicks where there is none. */
  transfer: number;
  /** When turning ends. */
  move: number;
  hatch: number;
  lastOpening: number;
  /** Its pens, as places in `pools`. */
  pools: readonly number[];
  /** Eggs that one tray of each class of setter holds; 0 where they do not fit. */
  tray: readonly number[];
  /** Live eggs that one hatcher of each class holds, and eggs to set of which it holds the live ones. */
  holds: readonly number[];
  warm: readonly number[];
  /** No set has fewer eggs, as far as its pens lay so many. */
  leastEggs: number;
}

/** Like setters, or like hatchers. */
export interface MachineClass {
  names: readonly string[];
  /** Trays of one setter; 1 for a hatcher. */
  places: number;
  /** Places taken by day, over the class. */
  taken: readonly number[];
}

export interface HatcherClass extends MachineClass {
  cleanDays: number;
  /** What lies in the one hatcher of the class, where sets that hatch on one day may share it; else null. */
  shared: readonly Lying[] | null;
}

/** A set in a shared hatcher: days from and until clean, the day it hatches, its live eggs. */
export interface Lying {
  from: number;
  to: number;
  hatch: number;
  eggs: readonly LiveEggs[];
}

/** A claim on birds of one calendar. */
export interface WantedBirds {
  claim: Claim;
  calendar: number;
  /** First and last day on which eggs can be set for it. */
  from: number;
  to: number;
  /** Birds of one fresh egg of each pool, on the average; 0 for pens of other lines. */
  rates: readonly number[];
  /** Claims served before it of whose birds it would use some, as places in `wanted`; how many of each. */
  rivals: readonly { rival: number; share: number; others: boolean }[];
}

export interface Problem {
  season: Season;
  now: Now;
  first: Day;
  days: number;
  wanted: readonly WantedBirds[];
  pools: readonly EggPool[];
  calendars: readonly Calendar[];
  setters: readonly MachineClass[];
  hatchers: readonly HatcherClass[];
  brooding: BroodingRoom | null;
  occupancy: Occupancy;
  /** Eggs that lines to come draw: the keeper's own, which stay. */
  stays: readonly Demand[];
  /** What they get. */
  given: readonly DrawnEggs[];
}

/** A set that is planned: its class of setter and hatcher, and eggs by pool. */
export interface Start {
  calendar: number;
  day: number;
  setter: number;
  trays: number;
  /** Class of hatcher; -1 where the eggs stay in the setter. */
  hatcher: number;
  eggs: ReadonlyMap<number, number>;
}

/** The season with the plan lines that stay. */
export function seasonKeeping(season: Season, keep: (line: PlannedSet) => boolean): Season {
  return {
    ...season,
    planned: season.planned.filter((one) => season.sets.has(one.name) || keep(one)),
  };
}

/** The problem of a season: `season` holds the plan lines to keep. */
export function problemOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  wishes: Wishes = {},
): Problem {
  const first = now.day;
  const claims = claimsOf(season);
  const lines = new Set(claims.filter(isAsked).map(({ line }) => line));
  const pens = [...season.pens.values()].filter((pen) => lines.has(pen.line));
  const lastDay = claims.map(lastSetDay).reduce(later, first);
  const days = Math.max(1, daysBetween(first, lastDay) + 1);
  const occupancy = occupancyOf(
    season,
    now,
    expectedIn(season, now, () => rates),
  );

  const keys = [...new Set(pens.map((pen) => calendarKey(season, pen)))];
  // A hen goes broody when she will: eggs are planned for machines.
  const setterGroups = [
    ...groupedBy(machineSetters(season), (one) =>
      JSON.stringify([one.trays, holdsKey(one.tray_holds)]),
    ).values(),
  ];
  const hatcherGroups = [
    ...groupedBy(season.hatchers.values(), (one) =>
      one.one_set_at_a_time ? JSON.stringify([one.clean_days, holdsKey(one.holds)]) : one.name,
    ).values(),
  ];
  const pools = pens.map((pen): EggPool => {
    const maxAge = season.storageMaxDays(pen.line.species);
    const closed = new Set<number>();
    for (let d = 0; d < days; d++)
      if (
        wishes.idle?.has(pen.name) ||
        isCarried(pen, addDays(first, d)) ||
        d < restDays(pen, first)
      )
        closed.add(d);
    const lots = lotsOf(season, now, rates, pen, { first, days, maxAge });
    const scale = rates.storage(pen.line.speciesName).mean;
    return {
      pen,
      calendar: keys.indexOf(calendarKey(season, pen)),
      lots,
      layers: [],
      maxAge,
      to: daysBetween(
        first,
        claims
          .filter(({ line }) => line === pen.line)
          .map(lastSetDay)
          .reduce(later),
      ),
      closed,
      kept: Array.from({ length: maxAge + 1 }, (_, age) =>
        storageFactor(pen.line.species.storage_penalty.value, age, scale),
      ),
      chicks: meanRate(rates, { want: 'chicks', at: 'hatch' }, pen),
      live: liveRate(rates, pen),
    };
  });
  const stays = demandsOf(season, now, pools, first);
  const { drawn: given, left } = taken(pools, stays);
  pools.forEach((pool, i) => {
    pool.layers = layersOf(left[i]!, pool.maxAge, layCertainty(rates, pool.pen));
  });

  const calendars = keys.map((_, c): Calendar => {
    const own = pools.flatMap((pool, i) => (pool.calendar === c ? [i] : []));
    const { line } = pools[own[0]!]!.pen;
    const { species, speciesName } = line;
    const oldest = pools[own[0]!]!.maxAge;
    // Stored eggs hatch late, and some machines: room is kept for the oldest that may be set in the slowest.
    const late =
      storageHours(species, oldest) +
      largest([0, ...machineSetters(season).map(({ name }) => machineHours(season, name))]);
    const lastOpening = lastOpeningDay(species) + Math.floor((FROM_NOON + late) / HOURS_A_DAY);
    const { candle_days, transfer_day, hatch_day } = species;
    const setDays: number[] = [];
    // Later eggs serve no claim.
    const lastSet = largest(own.map((s) => pools[s]!.to));
    for (let d = 0; d <= lastSet; d++) {
      const day = addDays(first, d);
      const ends = addDays(day, lastOpening);
      if (
        isSettingDay(season, species, day) &&
        (!wishes.rhythm || wishes.rhythm(day)) &&
        (wishes.lastOpeningBy === undefined || ends <= wishes.lastOpeningBy) &&
        candle_days.value.every((candle) => canCandle(season, addDays(day, candle)))
      )
        setDays.push(d);
    }
    const tray = setterGroups.map(([one]) => one!.tray_holds[speciesName] ?? 0);
    const holds = hatcherGroups.map(([one]) => one!.holds[speciesName] ?? 0);
    // Of every pen: in a mixed set the scatter is less.
    const warm = holds.map((room) => smallest(own.map((s) => mostForRoom(pools[s]!.live, room))));
    return {
      species: speciesName,
      setDays,
      transfer: hatcherGroups.length === 0 ? lastOpening : transfer_day.value,
      move: transfer_day.value,
      hatch: hatch_day.value,
      lastOpening,
      pools: own,
      tray,
      holds,
      warm,
      leastEggs: smallest([
        work.least_set_eggs.value,
        largest([1, ...tray]),
        ...(warm.length === 0 ? [] : [largest([1, ...warm])]),
        mostEggs(pools, own, setDays),
      ]),
    };
  });
  const wanted = claims.map((claim): WantedBirds => wantedOf(rates, claims, claim, pools, first));
  const longest = largest([0, ...calendars.map(({ hatch }) => hatch)]);
  return {
    season,
    now,
    first,
    days,
    wanted,
    pools,
    calendars,
    setters: setterGroups.map((group) => ({
      names: group.map((one) => one.name),
      places: group[0]!.trays,
      taken: traysTaken(season, now, occupancy, group, first),
    })),
    hatchers: hatcherGroups.map((group) => hatcherClass(occupancy, group, first)),
    brooding: broodingRoom(season, now, rates, pens, addDays(lastDay, longest)),
    occupancy,
    stays,
    given,
  };
}

/** Days until bought eggs have come and stood. */
function restDays(pen: Pen, first: Day): number {
  if (pen.bought === null) return 0;
  return daysBetween(first, restedOn(pen, laidOn(pen, pen.bought.on)));
}

function wantedOf(
  rates: FarmRates,
  claims: readonly Claim[],
  claim: Claim,
  pools: readonly EggPool[],
  first: Day,
): WantedBirds {
  const own = pools.find(({ pen }) => pen.line === claim.line);
  const share = (rival: Rivalry): number => {
    if (!own) return 0;
    const female = rates.rate('female', own.pen).mean;
    const sex =
      rival.others || rival.sex === 'all' ? 1 : rival.sex === 'female' ? female : 1 - female;
    return rival.reared ? sex * rates.rate('reared', own.pen).mean : sex;
  };
  return {
    claim,
    calendar: own?.calendar ?? -1,
    from: claim.from === null ? 0 : daysBetween(first, claim.from) - readyAfter(claim),
    to: daysBetween(first, lastSetDay(claim)),
    rates: pools.map(({ pen }) => (pen.line === claim.line ? meanRate(rates, claim, pen) : 0)),
    rivals: rivalsOf(claims, claim).map((rival) => ({
      rival: claims.indexOf(rival.claim),
      share: share(rival),
      others: rival.others,
    })),
  };
}

/** The most eggs of some pens together that may be set on one of these days. */
function mostEggs(
  pools: readonly EggPool[],
  own: readonly number[],
  setDays: readonly number[],
): number {
  const there = (day: number): number => {
    let sum = 0;
    for (const s of own) {
      const { layers, maxAge, to, closed } = pools[s]!;
      if (day > to || closed.has(day)) continue;
      for (const { lots } of layers)
        for (let age = 0; age <= maxAge; age++) sum += lots[day - age + maxAge] ?? 0;
    }
    return sum;
  };
  return largest([1, ...setDays.map(there)]);
}

/** Eggs of plan lines to come, in the order in which they are set. */
function demandsOf(season: Season, now: Now, pools: readonly EggPool[], first: Day): Demand[] {
  return openPlan(season)
    .filter((line) => line.on >= now.day)
    .flatMap((line) =>
      line.shares.flatMap(({ pen, eggs }): Demand[] => {
        const pool = pools.findIndex((one) => one.pen === pen);
        if (pool < 0) return [];
        return [{ set: line.name, day: daysBetween(first, line.on), pool, eggs }];
      }),
    );
}

/** A candling may slip by some days: one of them must be a working day. */
function canCandle(season: Season, day: Day): boolean {
  for (let late = 0; late <= work.candle_window_days.value; late++)
    if (!isDayOff(season, 'candle', addDays(day, late))) return true;
  return false;
}

/** A count by day with further half-open stays. */
export function withStays(
  counts: readonly number[],
  stays: readonly { from: number; to: number; places: number }[],
): number[] {
  const found = [...counts];
  for (const { from, to, places } of stays)
    for (let day = Math.max(0, from); day < to; day++) found[day] = (found[day] ?? 0) + places;
  return Array.from(found, (n) => n ?? 0);
}

/** A half-open span in days, day 0 being `first`. */
export const countedFrom = (first: Day, { from, to }: Span): { from: number; to: number } => ({
  from: daysBetween(first, from),
  to: daysBetween(first, to),
});

/** Places taken by day, day 0 being `first`, in half-open spans. */
const takenIn = (first: Day, spans: readonly (Span & { places: number })[]): number[] =>
  withStays(
    [],
    spans.map((span) => ({ ...countedFrom(first, span), places: span.places })),
  );

const closedPlaces = (one: Setter | Hatcher, places: number) =>
  closedSpans(one).map((span) => ({ ...span, places }));

function traysTaken(
  season: Season,
  now: Now,
  occupancy: Occupancy,
  group: readonly Setter[],
  first: Day,
): number[] {
  return takenIn(
    first,
    group.flatMap((setter) => {
      const { name, trays, tray_holds } = setter;
      const closed = closedPlaces(setter, trays);
      const lying = occupancy.trays.filter((span) => span.setter === name);
      // Sets may share a tray, and what is closed is taken already.
      const inTrays = [...groupedBy(lying, ({ tray }) => tray).values()].flatMap((spans) =>
        [...new Set(spans.flatMap(({ from, to }) => daysIn(later(from, first), to)))]
          .filter((day) => !closed.some((span) => holdsDay(span, day)))
          .map((day) => ({ from: day, to: addDays(day, 1), places: 1 })),
      );
      // Eggs that lie in a tray nobody wrote down take as many as they fill.
      const unwritten = [...season.sets.values()]
        .flatMap(({ shares }) => shares)
        .filter(({ stage, live }) => stage === 'in-setter' && live > 0)
        .flatMap(({ trays: places, on, pen: { line } }) =>
          places
            .filter((one) => one.setter === name && one.tray === null)
            .map(({ eggs }) => ({
              from: first,
              to: addDays(later(now.day, addDays(on.day, line.species.transfer_day.value)), 1),
              places: Math.ceil(eggs / (tray_holds[line.speciesName] ?? eggs)),
            })),
        );
      return [...closed, ...inTrays, ...unwritten];
    }),
  );
}

function hatcherClass(occupancy: Occupancy, group: readonly Hatcher[], first: Day): HatcherClass {
  const isShared = !group[0]!.one_set_at_a_time;
  const own = group.flatMap((hatcher) =>
    occupancy.hatchers
      .filter((span) => span.hatcher === hatcher.name)
      .map((span) => ({ span, hatcher })),
  );
  return {
    names: group.map(({ name }) => name),
    places: 1,
    taken: takenIn(first, [
      ...group.flatMap((one) => closedPlaces(one, 1)),
      ...(isShared ? [] : own.map(({ span }) => ({ ...span, places: 1 }))),
    ]),
    cleanDays: group[0]!.clean_days,
    shared: isShared
      ? own.map(({ span, hatcher }) => ({
          ...countedFrom(first, span),
          hatch: daysBetween(first, span.hatch),
          eggs: [
            {
              ...span,
              mean: span.eggs,
              holds: hatcher.holds[span.speciesName] ?? Math.max(1, span.eggs),
            },
          ],
        }))
      : null,
  };
}

/** Alike for pens whose eggs may lie in one set and go through the machines as one. */
function calendarKey(season: Season, pen: Pen): string {
  const { speciesName, species } = pen.line;
  return JSON.stringify([
    speciesName,
    species.transfer_day.value,
    species.hatch_day.value,
    lastOpeningDay(species),
    species.candle_days.value,
    species.storage_extra_hours.value,
    season.storageMaxDays(species),
  ]);
}

/** Alike for machines that hold as many of each kind. */
export const holdsKey = (holds: Readonly<Record<string, number>>): string =>
  JSON.stringify(Object.entries(holds).sort(([a], [b]) => (a < b ? -1 : 1)));

/** Sets on some weekdays, week by week. */
export const weeklyOn =
  (days: readonly Weekday[]): Rhythm =>
  (day) =>
    days.includes(weekdayOf(day));

/** Sets every so many days from a first day. */
export const everyDays =
  (step: number, from: Day): Rhythm =>
  (day) =>
    day >= from && daysBetween(from, day) % step === 0;
