import { costsOf } from '../costs/costs.ts';
import { flockOf as birdList } from '../facts/birds/bird-list.ts';
import { limitsOver, nightsOf, staysOf } from '../facts/birds/brooders.ts';
import { flockOf, type Group } from '../facts/birds/groups.ts';
import { birdsOfSex, livingOfSex } from '../facts/birds/pullets.ts';
import { birdSummary } from '../facts/birds/summary.ts';
import { claimsOf } from '../facts/claims.ts';
import type { Goal } from '../facts/goals.ts';
import { wantedWords } from '../facts/goals.ts';
import { brooderReport } from '../flock/brooder-report.ts';
import { expectedHatches } from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import { Forecast } from '../planner/forecast.ts';
import { USUAL_DRAWS } from '../planner/outlook.ts';
import { type SeasonForecast, seasonForecast } from '../planner/season-forecast.ts';
import { growing } from '../season/brooding.ts';
import type { Now, Season } from '../season/model.ts';
import { soFar } from '../tables/birds.ts';
import type { TreeBird } from '../tables/html/pictures.ts';
import type { HeatNeed, PageGoal, SeasonPage } from '../tables/html/season-page.ts';
import { placesOf, wholeSpan } from '../tables/occupancy.ts';
import { addDays, type Day, daysBetween, earlier } from '../text/day.ts';
import { largest } from '../text/lists.ts';

/** As many seasons as `forecast` draws, with its seed: the page and the command say the same. */
const SEED = 1;
const WEEKS_AHEAD = 8;
const WEEK = 7;

/** What the page needs beyond what `summary` knows; `told` hears the forecast, if a goal is still open. */
export function pageMatter(
  season: Season,
  previous: readonly Season[],
  now: Now,
  told: (forecast: SeasonForecast) => void,
): Pick<SeasonPage, 'goals' | 'costs' | 'places' | 'heat' | 'tree'> {
  const span = wholeSpan(season, now);
  return {
    goals: pageGoals(season, previous, now, told),
    costs: costsOf(season, now),
    places: placesOf(season, now, span.from, span.to),
    heat: heatNeed(season, previous, now),
    tree: familyOf(season, previous),
  };
}

function pageGoals(
  season: Season,
  previous: readonly Season[],
  now: Now,
  told: (forecast: SeasonForecast) => void,
): PageGoal[] {
  const goals = claimsOf(season);
  if (goals.length === 0) return [];
  const isOpen = goals.some((goal) => goal.by >= now.day);
  const outlook = isOpen
    ? seasonForecast(
        new Forecast(
          new Worlds(season, now.day, farmRates(season, previous, now.day), USUAL_DRAWS, SEED),
        ),
        now,
      )
    : null;
  if (outlook !== null) told(outlook);
  const birds = birdSummary(season, now);
  return goals.map((goal): PageGoal => {
    const { line, want, by, count, confidence } = goal;
    const ahead = outlook?.claims.find(
      ({ claim }) => claim.kind === goal.kind && claim.index === goal.index,
    );
    // Birds of a line are counted once: what an order has so far is not told apart.
    const steps = goal.kind === 'order' ? null : stepsOf(goal, season, now);
    const hatched = (steps ?? []).reduce((sum, step) => sum + step.count, 0);
    return {
      words: `${wantedWords(goal, line.name)}${goal.for === null ? '' : ` for ${goal.for}`}`,
      by,
      count,
      confidence,
      soFar: steps === null ? null : soFar({ line: line.name, want, hatched }, birds),
      steps,
      forecast:
        by < now.day || ahead === undefined
          ? null
          : {
              probability: ahead.probability,
              onCourse: ahead.met,
              median: ahead.median,
              low: ahead.low,
              high: ahead.high,
            },
    };
  });
}

/** Birds that count for a goal, by the day they hatched: they add up to what it has so far. */
function stepsOf(goal: Goal, season: Season, now: Now): NonNullable<PageGoal['steps']> {
  const groups = [...flockOf(season).groups.values()].filter((group) => group.line === goal.line);
  const steps =
    goal.want === 'chicks' || groups.length === 0
      ? [...season.sets.values()]
          .flatMap((set) => set.shares)
          .filter((share) => share.pen.line === goal.line)
          .flatMap((share) => share.openings)
          .map((row) => ({ day: row.on.day, count: row.values.hatched - row.values.weak }))
      : groups.map((group) => ({ day: group.youngest, count: counting(group, goal.want, now) }));
  return steps.filter((step) => step.count > 0).sort((a, b) => (a.day < b.day ? -1 : 1));
}

function counting(group: Group, want: Goal['want'], now: Now): number {
  const share = growing.sexRatioFemale.value;
  if (want === 'pullets') {
    const birds = birdsOfSex(group, 'female', now);
    return livingOfSex(birds, share).likely + birds.housed;
  }
  if (want === 'cockerels') {
    const birds = birdsOfSex(group, 'male', now);
    return livingOfSex(birds, 1 - share).likely + birds.table;
  }
  return group.living;
}

/** Places under the heat that were needed week by week, and with the chicks still to hatch will be. */
function heatNeed(season: Season, previous: readonly Season[], now: Now): HeatNeed {
  const groups = [...flockOf(season).groups.values()];
  const stays = staysOf(season, groups, now, nightsOf(season));
  if (stays.length === 0) return { points: [], room: null };
  const first = stays.map((stay) => stay.from).reduce(earlier);
  const needOn = (day: Day): { need: number; have: number | null } => {
    const limits = [...season.brooders.values()].map(
      (brooder) =>
        limitsOver(season, brooder, stays, day, addDays(day, 1))[0]!.limits.find(
          (limit) => limit.what === 'heat',
        )!,
    );
    const have = limits.map((limit) => limit.have);
    return {
      need: limits.reduce((sum, limit) => sum + limit.need, 0),
      have: have.some((one) => one === null) ? null : have.reduce<number>((a, b) => a + b!, 0),
    };
  };
  const past = Array.from(
    { length: Math.ceil(Math.max(0, daysBetween(first, now.day)) / WEEK) },
    (_, week) => addDays(first, week * WEEK),
  ).map((day) => ({ day, need: needOn(day).need, high: null }));
  const today = needOn(now.day);
  const rates = farmRates(season, previous, now.day);
  const expected = expectedHatches(season, now, rates);
  const ahead = brooderReport(season, now, WEEKS_AHEAD, expected).weeks.flatMap((week) => {
    const heat = week.limits.find((limit) => limit.what === 'heat');
    return heat === undefined || week.from <= now.day
      ? []
      : [{ day: week.from, need: heat.median, high: heat.high }];
  });
  const points = [...past, { day: now.day, need: today.need, high: today.need }, ...ahead];
  const last = points.findLastIndex((one) => one.need > 0);
  return {
    points: points.slice(0, last < 0 ? 0 : last + 2),
    room: today.have,
  };
}

/** Most birds that the family picture takes, the ones that are here first. */
const MOST_BIRDS = 60;

/** The birds that are here with the parents that are known, by generation. */
function familyOf(season: Season, previous: readonly Season[]): TreeBird[] {
  const { birds, here } = birdList([...previous, season]);
  const wanted = new Set([...here].slice(0, MOST_BIRDS));
  for (const name of wanted) {
    const bird = birds.get(name);
    for (const parent of [bird?.sire, bird?.dam])
      if (parent && birds.has(parent) && wanted.size < MOST_BIRDS) wanted.add(parent);
  }
  const generationOf = (name: string, depth = 0): number => {
    const bird = birds.get(name);
    const parents = [bird?.sire, bird?.dam].filter(
      (one): one is string => !!one && wanted.has(one),
    );
    // A pedigree with a loop is told elsewhere; here it must only end.
    if (parents.length === 0 || depth > MOST_BIRDS) return 0;
    return 1 + largest(parents.map((one) => generationOf(one, depth + 1)));
  };
  return [...wanted].flatMap((name): TreeBird[] => {
    const bird = birds.get(name);
    if (bird === undefined) return [];
    const parents = [bird.sire, bird.dam].filter((one): one is string => !!one && wanted.has(one));
    return [{ name, generation: generationOf(name), parents, isMale: bird.sex === 'male' }];
  });
}
