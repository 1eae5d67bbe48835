/** What the forecast says: each goal's chance, what one more set would add, and the chicks to come. */

import { type Claim, isOnCourse } from '../facts/claims.ts';
import { type Goal, lastSetDay, pensOf } from '../facts/goals.ts';
import { openPlan } from '../facts/hatch-time.ts';
import { layIsGood } from '../facts/laying.ts';
import { Birds } from '../judge/rates/birds.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import type { PlannedShare } from '../judge/rates/worlds.ts';
import { machineSetters } from '../season/hens.ts';
import type { Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, later, weekdayOf, weekdays } from '../text/day.ts';
import { largest } from '../text/lists.ts';
import { type Forecast, linesToCome, plannedShares } from './forecast.ts';
import { type Problem, problemOf } from './problem.ts';
import { hasRoom, roomFor } from './room.ts';

/** What a further set would change. */
export interface OneMore {
  on: Day;
  eggs: number;
  chance: number;
  /** Birds more than without it, expected. */
  birds: number;
}

/** What the forecast says of a goal or an order. */
export interface ClaimForecast {
  claim: Claim;
  probability: number;
  /** True if the chance is as asked, within the simulation's error. */
  met: boolean;
  /** Standard error of the chance from the number of draws. */
  error: number;
  expected: number;
  median: number;
  /** 95 in 100 lie from `low` to `high`. */
  low: number;
  high: number;
  /** The last day on which eggs can be set for it, days off left out; null if that is past or none can be. */
  lastSet: Day | null;
  /** The next set beyond the plan, and one as late as can be: null where none has room. */
  next: OneMore | null;
  last: OneMore | null;
  /** True if there would be time for one more set, but no trays or hatcher on any day. */
  full: boolean;
  /** Why no set can serve it any more. */
  closed: 'day past' | 'too late to set' | 'no hens' | 'no day to set' | null;
}

export interface ChickWeek {
  /** Monday. */
  from: Day;
  sets: string[];
  median: number;
  /** 95 in 100 lie from `low` to `high`. */
  low: number;
  high: number;
}

export interface SeasonForecast {
  claims: ClaimForecast[];
  weeks: ChickWeek[];
  /** Plan lines whose day is past without a record. */
  missed: string[];
}

const WEEK = 7;
/** What a 95 % range leaves out on either side. */
const TAIL = 0.025;

/** Eggs of a usual set of a line: the middle of those set and planned, else what its pens lay in a week. */
function usualSet(season: Season, goal: Goal, pens: readonly Pen[], weekly: number): number {
  const sizes = [
    ...[...season.sets.values()].map((set) => set.shares),
    ...openPlan(season).map((line) => line.shares),
  ]
    .map((shares) =>
      shares.reduce((sum, share) => (share.pen.line === goal.line ? sum + share.eggs : sum), 0),
    )
    .filter((eggs) => eggs > 0)
    .sort((a, b) => a - b);
  if (sizes.length > 0) return sizes[Math.floor(sizes.length / 2)]!;
  const tray = largest([
    0,
    ...machineSetters(season).map((one) => one.tray_holds[goal.line.speciesName] ?? 0),
  ]);
  return Math.max(1, Math.min(tray || Number.POSITIVE_INFINITY, Math.floor(weekly)), pens.length);
}

/** The first day that suits, from `start` forward or backward until `end`. */
function nearestDay(start: Day, step: 1 | -1, end: Day, suits: (day: Day) => boolean): Day | null {
  for (let day = start; step > 0 ? day <= end : day >= end; day = addDays(day, step))
    if (suits(day)) return day;
  return null;
}

/** Eggs of one more set, from pens that may be bred from on that day, by their hens. */
function sharesOf(pens: readonly Pen[], on: Day, eggs: number): PlannedShare[] {
  const good = pens.filter((pen) => layIsGood(pen, on));
  const hens = good.reduce((sum, pen) => sum + pen.hens, 0);
  let given = 0;
  let counted = 0;
  return good.flatMap((pen) => {
    counted += pen.hens;
    const upTo = Math.round((eggs * counted) / hens);
    const own = upTo - given;
    given = upTo;
    return own > 0 ? [{ set: `one more on ${on}`, pen, on, eggs: own }] : [];
  });
}

/** The outlook of a season from the plan lines still to come; `told` hears how many claims are done. */
export function seasonForecast(
  forecast: Forecast,
  now: Now,
  told?: (done: number, of: number) => void,
): SeasonForecast {
  const { season, worlds } = forecast;
  const { today } = worlds;
  // Trays and hatchers are asked for one more set, roofs are not.
  const problem = problemOf({ ...season, brooders: new Map() }, now, worlds.rates);
  const planned = plannedShares(linesToCome(season, today));
  return {
    claims: forecast.claims.map((_, at) => {
      told?.(at, forecast.claims.length);
      return claimForecast(forecast, at, planned, problem);
    }),
    weeks: weeksOf(forecast, planned),
    missed: openPlan(season)
      .filter((line) => line.on < today)
      .map((line) => line.name),
  };
}

/** Whether a plan may set eggs for a claim on a day: its own days, with eggs of its pens that may be set. */
function setDayFor(
  { first, wanted, calendars, pools }: Problem,
  at: number,
): (day: Day) => boolean {
  const { calendar, from, to } = wanted[at]!;
  const known = calendars[calendar];
  const own = (known?.pools ?? []).map((pool) => pools[pool]!);
  const line = wanted[at]!.claim.line;
  const hasEggs = (day: number) =>
    own.some(
      ({ pen, lots, maxAge, closed }) =>
        pen.line === line &&
        !closed.has(day) &&
        lots.slice(Math.max(0, day), day + maxAge + 1).some((eggs) => eggs > 0),
    );
  const days = new Set(known?.setDays.filter((day) => day >= from && day <= to && hasEggs(day)));
  return (day) => days.has(daysBetween(first, day));
}

function claimForecast(
  forecast: Forecast,
  at: number,
  planned: readonly PlannedShare[],
  problem: Problem,
): ClaimForecast {
  const { season, worlds } = forecast;
  const { today } = worlds;
  const goal = forecast.claims[at]!;
  const [birds] = forecast.birdsOf(planned, [at]);
  if (!birds) throw new RangeError('no such claim');
  const { chance, error } = birds.chance(goal.count);
  const pens = pensOf(season, goal).filter((pen) => pen.hens > 0 || pen.bought !== null);
  const isGood = setDayFor(problem, at);
  const lastSet = nearestDay(lastSetDay(goal), -1, today, isGood);
  const closed =
    goal.by < today
      ? 'day past'
      : lastSetDay(goal) < today
        ? 'too late to set'
        : pens.length === 0
          ? 'no hens'
          : lastSet === null
            ? 'no day to set'
            : null;
  const base = {
    claim: goal,
    probability: chance,
    met: isOnCourse(chance, goal.confidence, worlds.draws),
    error,
    expected: birds.expected,
    median: birds.quantile(0.5),
    low: birds.quantile(TAIL),
    high: birds.quantile(1 - TAIL),
    closed,
  } as const;
  if (closed !== null || lastSet === null)
    return { ...base, lastSet: null, next: null, last: null, full: false };
  const weekly = pens.reduce((sum, pen) => sum + WEEK * eggsADay(worlds.rates, pen), 0);
  const eggs = usualSet(season, goal, pens, weekly);
  const oneMore = (on: Day | null): OneMore | null => {
    if (on === null) return null;
    const more = sharesOf(pens, on, eggs);
    if (more.length === 0) return null;
    const then = forecast.birdsOf([...planned, ...more], [at])[0]!;
    return {
      on,
      eggs,
      chance: then.chance(goal.count).chance,
      birds: Math.max(0, then.expected - birds.expected),
    };
  };
  // A week after the last set of the line, when its pens have laid again.
  const before = [
    ...[...season.sets.values()].flatMap((set) =>
      set.shares.filter((share) => share.pen.line === goal.line).map((share) => share.on.day),
    ),
    ...planned.filter((share) => share.pen.line === goal.line).map((share) => share.on),
  ].reduce<Day | null>((a, b) => (a === null ? b : later(a, b)), null);
  const ready = before === null ? addDays(today, WEEK) : later(today, addDays(before, WEEK));
  const pool = problem.pools.findIndex(({ pen }) => pen === pens[0]);
  const room = roomFor(problem, problem.pools[pool]!.calendar, []);
  const fits = (day: Day) =>
    isGood(day) && hasRoom(problem, room, pool, daysBetween(problem.first, day), eggs);
  const next = nearestDay(ready, 1, lastSet, fits);
  const last = nearestDay(lastSet, -1, next ?? today, fits);
  return {
    ...base,
    lastSet,
    next: oneMore(next),
    last: next === last ? null : oneMore(last),
    full: next === null && last === null,
  };
}

function mondayOf(day: Day): Day {
  return addDays(day, -weekdays.indexOf(weekdayOf(day)));
}

function weeksOf(forecast: Forecast, planned: readonly PlannedShare[]): ChickWeek[] {
  const coming = forecast.coming(planned);
  const mondays = [...new Set(coming.map((one) => mondayOf(one.hatch)))].sort();
  return mondays.map((from) => {
    const here = coming.filter((one) => mondayOf(one.hatch) === from);
    const birds = Birds.of(forecast.worlds.draws, here);
    return {
      from,
      sets: [...new Set(here.map((one) => one.set))],
      median: birds.quantile(0.5),
      low: birds.quantile(TAIL),
      high: birds.quantile(1 - TAIL),
    };
  });
}
