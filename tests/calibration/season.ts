/** One simulated season: records kept, eggs sized for nine chances in ten, played out. */

import { claimsOf } from '../../src/facts/claims.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { type PlannedShare, Worlds } from '../../src/judge/rates/worlds.ts';
import { leastReaching } from '../../src/judge/statistics/search.ts';
import { Forecast } from '../../src/planner/forecast.ts';
import type { Season } from '../../src/season/model.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { seasonOf } from '../support/season.ts';
import {
  Chance,
  FarmTruth,
  FIRST_SET,
  MAX_DAYS,
  type PenKind,
  SeasonTruth,
  type Wanted,
  type Wrong,
} from './truth.ts';

export interface FarmKind {
  name: string;
  pens: readonly PenKind[];
  /** Weekly sets of the season that is planned, and of those before it. */
  weeks: number;
  earlier: readonly number[];
  /** Sets run and recorded before the plan is made. */
  running: number;
  goals: readonly Wish[];
  /** Birds promised to somebody; none where nothing is said. */
  orders?: readonly Wish[];
}

/** Birds that a goal or an order wants. */
interface Wish {
  line: string;
  want: 'pullets' | 'chicks';
  count: number;
  /** The days between which they are wanted, as month and day: from any day, by the end of the year. */
  from?: string;
  by?: string;
  /** Sold as they hatch, before others have theirs. */
  fate?: 'sold';
}

/** Who is to have birds of a farm in a year: its goals, then its orders, as in its file. */
export function wantedOf({ goals, orders = [] }: FarmKind, year: number): Wanted[] {
  return [...goals, ...orders].map(({ line, want, count, from, by, fate }, i) => ({
    line,
    want,
    count,
    from: `${year}-${from ?? '01-01'}` as Day,
    by: `${year}-${by ?? '12-31'}` as Day,
    isKept: i < goals.length && fate === undefined,
  }));
}

export interface Promise9 {
  /** Chance that was promised for the eggs chosen, at least nine in ten. */
  chance: number;
  met: boolean;
  birds: number;
  eggs: number;
  /** Where the birds that came lie in what was forecast, 0 to 1: even over many seasons if it is right. */
  place: number;
}

const CONFIDENCE = 0.9;
/** More eggs of a share than any tray here takes. */
const MOST_EGGS = 120;
const USUAL_EGGS = 20;

/** Machines that never bind, for seasons on a fixed calendar. */
const wideMachines = `setters: {cabinet: {trays: 10, tray_holds: {chicken: 200, duck: 200}}}
hatchers: {lower: {holds: {chicken: 500, duck: 500}}}
brooders: {barn: {area: 50}}`;

export function yamlOf(kind: FarmKind, year: number, machines = wideMachines, parted = ''): string {
  const wanted = wantedOf(kind, year);
  const wish = ({ line, want, count, by }: Wanted) =>
    `line: ${line}, want: ${want}, count: ${count}, by: ${by}, confidence: ${CONFIDENCE}`;
  const lines = [...new Map(kind.pens.map((pen) => [pen.line, pen.species]))];
  return `format: traybook/1
season: ${year}
place: {name: Trial, timezone: UTC}
lines:
${lines.map(([line, species]) => `  ${line}: {species: ${species}}`).join('\n')}
pens:
${kind.pens.map((pen) => `  ${pen.name}: {line: ${pen.line}, hens: ${pen.hens}, males: 2, joined: ${year}-02-01${parted}}`).join('\n')}
${machines}
storage: {max_days: ${MAX_DAYS}}
goals: [${wanted.slice(0, kind.goals.length).map((one) => `{${wish(one)}${one.isKept ? '' : ', fate: sold'}}`)}]
orders: [${wanted.slice(kind.goals.length).map((one, i) => `{for: buyer ${i + 1}, from: ${one.from}, ${wish(one)}}`)}]
`;
}

/** Eggs of a share out of so many spread evenly over shares. */
function spread(total: number, shares: number, index: number): number {
  return Math.floor(((index + 1) * total) / shares) - Math.floor((index * total) / shares);
}

export interface Begun {
  truth: SeasonTruth;
  today: Day;
  season: Season;
  previous: Season[];
  setDay: (truth: SeasonTruth, week: number) => Day;
}

/** A farm drawn from the priors, with the records of its earlier seasons and of the weeks run so far. */
export function begun(
  kind: FarmKind,
  wrong: Wrong,
  seed: number,
  ...more: [machines?: string, parted?: string]
): Begun {
  const chance = new Chance(seed);
  const farm = new FarmTruth(chance, wrong);
  const setDay = (truth: SeasonTruth, week: number): Day =>
    addDays(truth.joined, FIRST_SET + week * 7);
  const usual = kind.pens.map((pen) => ({ pen, eggs: USUAL_EGGS }));
  const year = 2027;
  const previous = kind.earlier.map((weeks, i): Season => {
    const then = year - kind.earlier.length + i;
    const truth = new SeasonTruth(farm, kind.pens, then, weeks);
    for (let week = 0; week < weeks; week++) truth.run(`S${week}`, setDay(truth, week), usual);
    return seasonOf(yamlOf(kind, then), truth.rows(`${then}-12-31` as Day));
  });
  const truth = new SeasonTruth(farm, kind.pens, year, kind.weeks);
  for (let week = 0; week < kind.running; week++) truth.run(`S${week}`, setDay(truth, week), usual);
  const today = kind.running === 0 ? truth.joined : setDay(truth, kind.running);
  const season = seasonOf(yamlOf(kind, year, ...more), truth.rows(today));
  return { truth, today, season, previous, setDay };
}

/**
 * Draws a farm, keeps its records, sizes the season on a fixed weekly calendar by the forecast's own
 * chance, and plays it out. One result a goal; null where no number of eggs promises enough.
 */
export function simulate(
  kind: FarmKind,
  wrong: Wrong,
  seed: number,
  draws: number,
): (Promise9 | null)[] {
  const { truth, today, season, previous, setDay } = begun(kind, wrong, seed);
  const worlds = new Worlds(season, today, farmRates(season, previous, today), draws, seed);
  const forecast = new Forecast(worlds, claimsOf(season));
  const weeks = kind.weeks - kind.running;

  const sharesFor = (line: string, total: number): PlannedShare[] => {
    const pens = kind.pens.filter((pen) => pen.line === line);
    return Array.from({ length: weeks * pens.length }, (_, i) => ({
      set: `S${kind.running + Math.floor(i / pens.length)}`,
      pen: season.pens.get(pens[i % pens.length]!.name)!,
      on: setDay(truth, kind.running + Math.floor(i / pens.length)),
      eggs: spread(total, weeks * pens.length, i),
    }));
  };
  const sized = forecast.claims.map((goal, at) => {
    const chanceOf = (eggs: number) =>
      forecast.birdsOf(sharesFor(goal.line.name, eggs), [at])[0]!.chance(goal.count).chance;
    const pens = kind.pens.filter((pen) => pen.line === goal.line.name).length;
    if (chanceOf(MOST_EGGS * weeks * pens) < CONFIDENCE) return null;
    const eggs = leastReaching(chanceOf, CONFIDENCE, 0);
    return { eggs, chance: chanceOf(eggs), shares: sharesFor(goal.line.name, eggs) };
  });
  for (let week = kind.running; week < kind.weeks; week++) {
    const here = sized.flatMap((one) => one?.shares ?? []).filter((s) => s.set === `S${week}`);
    truth.run(
      `S${week}`,
      setDay(truth, week),
      here.map((share) => ({
        pen: kind.pens.find((pen) => pen.name === share.pen.name)!,
        eggs: share.eggs,
      })),
    );
  }
  return forecast.claims.map((goal, i) => {
    const one = sized[i];
    if (!one) return null;
    const birds = truth.birds(goal.line.name, goal.want as 'pullets' | 'chicks');
    const foreseen = forecast.birdsOf(one.shares, [i])[0]!;
    const place = 1 - (foreseen.chance(birds).chance + foreseen.chance(birds + 1).chance) / 2;
    return { chance: one.chance, eggs: one.eggs, birds, place, met: birds >= goal.count };
  });
}
