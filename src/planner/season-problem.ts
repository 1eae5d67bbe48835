/** From the season as it stands to the program's problem: days are counted from `now`. */

import { isDayOff } from '../facts/days-off.ts';
import { type Goal, lastSetDay } from '../facts/goals.ts';
import { lastOpeningDay, storageHours } from '../facts/hatch-time.ts';
import { isCarried } from '../facts/laying.ts';
import { type Occupancy, occupancyOf } from '../facts/occupancy.ts';
import { work } from '../facts/tasks/work.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import { storageFactor } from '../judge/rates/storage.ts';
import type { Now, Pen, PlannedSet, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, later, type Weekday, weekdayOf } from '../text/day.ts';
import { broodingRoom } from './brooding.ts';
import type {
  EggSource,
  HatcherClass,
  HatchingProblem,
  SetterClass,
  Timing,
} from './hatching-model.ts';
import { layCertainty, layersOf, type Supply, supplyOf } from './supply.ts';

const HOURS_A_DAY = 24;

/** Which days sets may be started on, beyond the days off. */
export interface Rhythm {
  name: string;
  allows(day: Day): boolean;
}

/** What a plan is to keep to beyond the season file. */
export interface Wishes {
  rhythm?: Rhythm | null;
  /** Latest day for the last opening of a set. */
  lastOpeningBy?: Day;
}

export interface SeasonProblem {
  problem: HatchingProblem;
  /** Pens by source, and machines by class: a pen whose lay is not well known has two sources. */
  pens: readonly Pen[];
  /** Share of the eggs of each source that can be counted on if they are planned for. */
  sure: readonly number[];
  /** Species by kind: lines of one species and one calendar share trays. */
  species: readonly string[];
  setterNames: readonly (readonly string[])[];
  hatcherNames: readonly (readonly string[])[];
  /** Day 0. */
  first: Day;
  goals: readonly Goal[];
  /** The season with only those plan lines that are kept. */
  season: Season;
  occupancy: Occupancy;
  now: Now;
  /** Share of the hatch that storage of so many days leaves the eggs of a source. */
  kept: (source: number, age: number) => number;
  /** Eggs that kept plan lines want and that are not expected, by pen. */
  missing: readonly { pen: string; lines: Supply['missing'] }[];
  /** Ages at setting of the eggs that kept plan lines draw, days, by line. */
  drawn: ReadonlyMap<string, readonly number[]>;
}

/** The season with the plan lines that stay: the keeper's own, or none of those still to come. */
export function seasonKeeping(season: Season, keep: (line: PlannedSet) => boolean): Season {
  return {
    ...season,
    planned: season.planned.filter((one) => season.sets.has(one.name) || keep(one)),
  };
}

/**
 * The problem of a season from `now` on. `season` holds the plan lines to keep, which take their eggs
 * and places as what is set does.
 */
export function seasonProblem(
  season: Season,
  now: Now,
  rates: FarmRates,
  goals: readonly Goal[],
  wishes: Wishes = {},
): SeasonProblem {
  const { rhythm = null, lastOpeningBy } = wishes;
  const first = now.day;
  const wanted = goals;
  const lines = new Set(wanted.map((goal) => goal.line));
  const pens = [...season.pens.values()].filter((pen) => lines.has(pen.line));
  const lastDay = wanted.map(lastSetDay).reduce(later, first);
  const days = Math.max(1, daysBetween(first, lastDay) + 1);
  const occupancy = occupancyOf(season, now);
  const stays = season.hatchers.size === 0;

  const kindKey = (pen: Pen) => calendarKey(season, pen);
  const kindKeys = [...new Set(pens.map(kindKey))];
  const tables = kindKeys.map((one) => pens.find((pen) => kindKey(pen) === one)!.line);
  const species = tables.map((line) => line.speciesName);
  const timings = tables.map(({ species: table }): Timing => {
    const hatch = table.hatch_day.value;
    // Stored eggs hatch late, the oldest last.
    const oldest = season.storageMaxDays(table);
    const late = Math.round(storageHours(table, oldest) / HOURS_A_DAY);
    const lastOpening = lastOpeningDay(table) + late;
    const setDays: number[] = [];
    for (let d = 0; d < days; d++) {
      const day = addDays(first, d);
      if (rhythm && !rhythm.allows(day)) continue;
      const free =
        !isDayOff(season, 'set', day) &&
        !isDayOff(season, 'transfer', addDays(day, table.transfer_day.value)) &&
        !isDayOff(season, 'hatch', addDays(day, hatch)) &&
        table.candle_days.value.every((candle) => canCandle(season, addDays(day, candle)));
      if (free) setDays.push(d);
    }
    return {
      setDays,
      transfer: stays ? lastOpening : table.transfer_day.value,
      hatch,
      lastOpening,
    };
  });

  const inDays = (from: Day, to: Day, visit: (d: number) => void): void => {
    const until = daysBetween(first, to);
    for (let d = Math.max(0, daysBetween(first, from)); d < until; d++) visit(d);
  };

  // Machines alike in what they hold are one class; what lies in them already counts by day.
  const setterGroups = grouped([...season.setters.values()], (s) =>
    JSON.stringify([s.trays, sorted(s.tray_holds)]),
  );
  const setters = setterGroups.map((group): SetterClass => {
    const taken: number[] = [];
    for (const span of occupancy.trays)
      if (group.some((s) => s.name === span.setter))
        inDays(span.from, span.to, (d) => {
          taken[d] = (taken[d] ?? 0) + 1;
        });
    for (const set of season.sets.values())
      for (const share of set.shares)
        for (const lying of share.trays) {
          if (lying.tray !== null || share.stage !== 'in-setter' || share.live <= 0) continue;
          const setter = group.find((s) => s.name === lying.setter);
          if (!setter) continue;
          const holds = setter.tray_holds[set.speciesName] ?? lying.eggs;
          const until = addDays(
            later(now.day, addDays(share.on.day, set.species.transfer_day.value)),
            1,
          );
          inDays(first, until, (d) => {
            taken[d] = (taken[d] ?? 0) + Math.ceil(lying.eggs / holds);
          });
        }
    return {
      name: group.map((s) => s.name).join('/'),
      count: group.length,
      trays: group[0]!.trays,
      holds: species.map((name) => group[0]!.tray_holds[name] ?? 0),
      taken: dense(taken),
    };
  });
  const hatcherGroups = grouped([...season.hatchers.values()], (h) =>
    h.one_set_at_a_time ? JSON.stringify([h.clean_days, sorted(h.holds)]) : h.name,
  );
  const hatchers = stays
    ? [
        {
          name: 'the setter itself',
          count: Number.MAX_SAFE_INTEGER,
          holds: species.map(() => Number.MAX_SAFE_INTEGER),
          cleanDays: 0,
          oneSet: true,
          taken: [],
        },
      ]
    : hatcherGroups.map((group): HatcherClass => {
        const taken: number[] = [];
        for (const span of occupancy.hatchers)
          if (group.some((h) => h.name === span.hatcher))
            inDays(span.from, span.to, (d) => {
              taken[d] = (taken[d] ?? 0) + 1;
            });
        return {
          name: group.map((h) => h.name).join('/'),
          count: group.length,
          holds: species.map((name) => group[0]!.holds[name] ?? 0),
          cleanDays: group[0]!.clean_days,
          oneSet: group[0]!.one_set_at_a_time,
          taken: dense(taken),
        };
      });

  const supplies: Supply[] = [];
  const sources: EggSource[] = [];
  const pensOfSources: Pen[] = [];
  const sure: number[] = [];
  for (const pen of pens) {
    const last = wanted
      .filter((goal) => goal.line === pen.line)
      .map(lastSetDay)
      .reduce(later);
    const maxAge = season.storageMaxDays(pen.line.species);
    const closed = new Set<number>();
    for (let d = 0; d < days; d++) if (isCarried(pen, addDays(first, d))) closed.add(d);
    const eggs = supplyOf(season, now, rates, pen, { first, days, maxAge });
    supplies.push(eggs);
    for (const layer of layersOf(eggs, layCertainty(rates, pen))) {
      pensOfSources.push(pen);
      sure.push(layer.sure);
      sources.push({
        name: layer.name === '' ? pen.name : `${pen.name} (${layer.name})`,
        kind: kindKeys.indexOf(kindKey(pen)),
        supply: layer.supply,
        stored: layer.stored,
        maxAge,
        closed,
        to: daysBetween(first, last),
      });
    }
  }
  const brooding = broodingRoom(season, now, rates, wanted, pensOfSources, lastDay);
  return {
    problem: {
      ...(brooding === null ? {} : { brooding }),
      days,
      sources,
      kinds: species.map((name, i) => ({ name, timing: i, liveShare: 1 })),
      timings,
      setters,
      hatchers,
      ...(lastOpeningBy === undefined ? {} : { lastOpeningBy: daysBetween(first, lastOpeningBy) }),
    },
    pens: pensOfSources,
    sure,
    species,
    setterNames: setterGroups.map((group) => group.map((s) => s.name)),
    hatcherNames: stays ? [[]] : hatcherGroups.map((group) => group.map((h) => h.name)),
    first,
    goals: wanted,
    season,
    occupancy,
    now,
    kept: keptTable(rates, pensOfSources),
    drawn: new Map(
      supplies
        .flatMap((one) => [...one.drawn.keys()])
        .map((name) => [name, supplies.flatMap((one) => one.drawn.get(name) ?? [])]),
    ),
    missing: pens.map((pen, i) => ({ pen: pen.name, lines: supplies[i]!.missing })),
  };
}

/** What storage leaves of the hatch by source and age, by the table and the farm's own loss. */
function keptTable(rates: FarmRates, pens: readonly Pen[]): SeasonProblem['kept'] {
  const known = pens.map(() => [] as number[]);
  return (source, age) => {
    const { line } = pens[source]!;
    const row = known[source]!;
    row[age] ??= storageFactor(
      line.species.storage_penalty.value,
      age,
      rates.storage(line.speciesName).mean,
    );
    return row[age];
  };
}

/** Alike for pens whose eggs may lie in one tray and go through the machines as one. */
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

/** A candling may slip by some days: one of them must be a working day. */
function canCandle(season: Season, day: Day): boolean {
  for (let late = 0; late <= work.candle_window_days.value; late++)
    if (!isDayOff(season, 'candle', addDays(day, late))) return true;
  return false;
}

function sorted(holds: Readonly<Record<string, number>>): [string, number][] {
  return Object.entries(holds).sort(([a], [b]) => (a < b ? -1 : 1));
}

function grouped<T>(all: readonly T[], by: (one: T) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const one of all) {
    const group = groups.get(by(one));
    if (group) group.push(one);
    else groups.set(by(one), [one]);
  }
  return [...groups.values()];
}

function dense(sparse: readonly (number | undefined)[]): number[] {
  return Array.from(sparse, (n) => n ?? 0);
}

/** Sets on some weekdays, week by week. */
export function weeklyOn(days: readonly Weekday[]): Rhythm {
  return { name: `every ${days.join(', ')}`, allows: (day) => days.includes(weekdayOf(day)) };
}

/** Sets every so many days from a first day. */
export function everyDays(step: number, from: Day): Rhythm {
  return {
    name: `every ${step} days`,
    allows: (day) => day >= from && daysBetween(from, day) % step === 0,
  };
}
