/**
 * The plan: sets that give each goal its number of birds with the confidence asked for.
 *
 * The program plans on expected birds. How many must be expected for the wanted number to come with
 * the confidence asked is found by simulation: the need is moved until the two agree.
 */

import { conflictsOf } from '../facts/checks/index.ts';
import { goalsOf } from '../facts/goals.ts';
import { milestonesOfPlanned, openPlan } from '../facts/hatch-time.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, PlannedSet, Season } from '../season/model.ts';
import type { Day } from '../text/day.ts';
import type { Fault } from '../text/fault.ts';
import { type Crowding, crowdingOf } from './brooding.ts';
import { plannedByCalendar } from './calendar-plans.ts';
import {
  type Asking,
  askedNext,
  better,
  type Candidate,
  CHICKS_ALIKE,
  fewestOf,
  type GoalResult,
  isMet,
  NEARLY_MET,
  needsOf,
  noBirds,
  normal,
  type Outlook,
  onFewerDays,
  resultsOf,
  type Seeking,
  shortIn,
  sum,
  withRelaxed,
} from './candidate.ts';
import { firstTargets, USUAL_SCATTER, withinReach } from './first-targets.ts';
import { lotsOf } from './hatching-model.ts';
import { holdSets, thrifty, withoutOneTray } from './held-sets.ts';
import { meanRate } from './needs.ts';
import { NoPlace, type PlanLine } from './plan-lines.ts';
import { fewestByTiming } from './relaxed.ts';
import { earlier, fewerRounded, roundedEnough } from './rounded-plans.ts';
import { type SeasonProblem, seasonKeeping, seasonProblem, type Wishes } from './season-problem.ts';
import {
  BIRD_SLACK,
  betterSets,
  isShortSeason,
  isVeryLargeFarm,
  leastShortfall,
  metSets,
  mostSets,
  type PlanLimits,
  roundedSets,
  type Search,
  searchedSets,
  usualLimits,
  WORTH_TRYING,
} from './set-search.ts';
import { SolverFailure } from './solver.ts';

export interface PlanOptions extends Wishes {
  /** Plan lines still to come are made anew. */
  replan: boolean;
  limits?: PlanLimits;
  /** False leaves out the aims after the fewest sets. */
  finer?: boolean;
}

/** A set of the plan: a new one, or the keeper's own line. */
export interface PlannedView {
  set: string;
  on: Day;
  setter: string;
  trays: readonly number[];
  shares: Readonly<Record<string, number>>;
  eggs: number;
  /** Age of the oldest egg, days. */
  oldest_days: number;
  transfer: Day;
  hatch: Day;
  hatcher: string | null;
  /** Sound chicks expected. */
  expected: number;
  kept: boolean;
}

export interface PlanResult {
  status: 'optimal' | 'bounded' | 'infeasible';
  /** Share by which there may be more new sets than the fewest possible. */
  gap: number;
  /** The fewest new sets there could be. */
  fewest: number;
  /** All sets to come, by day. */
  sets: readonly PlannedView[];
  /** The new ones, as season.yaml takes them. */
  lines: readonly PlanLine[];
  /** Sound chicks of the new sets expected to be lost to storage. */
  loss: number;
  /** Where the chicks to come ask more of the brooders than they have. */
  crowding: readonly Crowding[];
  /** Eggs that kept lines want that are not expected to be there. */
  missing: readonly { set: string; pen: string; eggs: number }[];
  goals: GoalResult[];
  /** Birds that the program counts on from the new sets, by goal. */
  birds: readonly number[];
  /** Hatching eggs expected and not needed, by pen, until its last day for setting. */
  spare: { pen: string; eggs: number }[];
}

/** Most by which the needs rise from one number of sets to the next. */
const MORE_ASKED = 1.05;

/** How often a plan that fits in sum but not in whole setters is solved again. */
const TRIES = 6;

/** Plans a season. Throws SolverFailure if the solver gives no trustworthy answer. */
export async function planSeason(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
): Promise<PlanResult> {
  const base = seasonKeeping(season, (line) => !(options.replan && line.on >= now.day));
  const problem = seasonProblem(base, now, rates, goalsOf(base), options);
  const outlook = outlookOf(base);
  const seeking: Asking = {
    base,
    now,
    rates,
    problem,
    outlook,
    without: outlook([]),
    chickRates: problem.pens.map((pen) => meanRate(rates, { want: 'chicks', at: 'hatch' }, pen)),
    limits: options.limits ?? usualLimits,
  };
  const best = await seekPlaced(seeking, options.finer !== false);
  const faults = planFaults(base, now, best.lines);
  if (faults.length > 0)
    throw new SolverFailure(
      `the plan breaks a rule of check: ${faults[0]!.code}: ${faults[0]!.message}`,
    );
  const made = best.lines.length;
  const areMet = isMet(best);
  const fewest = areMet ? Math.min(made, best.fewest) : made;
  return {
    status: !areMet ? 'infeasible' : fewest < made ? 'bounded' : 'optimal',
    gap: made === 0 ? 0 : 1 - fewest / made,
    fewest,
    sets: [
      ...best.lines.map((line) => newSet(seeking, line)),
      ...openPlan(base)
        .filter((line) => line.on >= now.day)
        .map((line) => keptSet(seeking, line)),
    ].sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0)),
    lines: best.lines,
    loss: best.loss,
    crowding: crowdingOf(base, now, rates, problem.goals, best.lines),
    missing: problem.missing.flatMap(({ pen, lines }) => lines.map((one) => ({ ...one, pen }))),
    goals: best.goals,
    birds: best.needs.map((need) => need.birds),
    spare: spareOf(problem, best.lines),
  };
}

function newSet(seeking: Asking, line: PlanLine): PlannedView {
  return {
    set: line.set,
    on: line.on,
    setter: line.setter,
    trays: line.trays,
    shares: line.shares,
    eggs: line.eggs,
    oldest_days: line.oldestDays,
    transfer: line.transfer,
    hatch: line.hatch,
    hatcher: line.hatcher,
    expected: chicksOf(seeking, line),
    kept: false,
  };
}

function keptSet({ base, problem, rates }: Asking, line: PlannedSet): PlannedView {
  const dates = milestonesOfPlanned(line, base);
  const drawn = problem.drawn.get(line.name) ?? [];
  return {
    set: line.name,
    on: line.on,
    setter: line.setter,
    trays: line.trays,
    shares: Object.fromEntries(line.shares.map((share) => [share.pen.name, share.eggs])),
    eggs: line.shares.reduce((sum, share) => sum + share.eggs, 0),
    oldest_days: drawn.reduce((most, age) => Math.max(most, age), 0),
    transfer: dates.transfer,
    hatch: dates.hatch,
    hatcher: line.hatcher,
    expected: line.shares.reduce(
      (sum, { pen, eggs }) => sum + eggs * meanRate(rates, { want: 'chicks', at: 'hatch' }, pen),
      0,
    ),
    kept: true,
  };
}

/** The best plan for which there is a place in the machines, and not only in sum. */
async function seekPlaced(asking: Asking, finer: boolean): Promise<Candidate> {
  for (let turn = 0; ; turn++) {
    try {
      const found = await seek(asking);
      return finer && isMet(found) && found.lines.length > 0 ? await refined(asking, found) : found;
    } catch (error) {
      if (!(error instanceof NoPlace)) throw error;
      if (turn === TRIES) throw new SolverFailure(error.message);
      withoutOneTray(asking.problem, error);
    }
  }
}

async function seek(asking: Asking): Promise<Candidate> {
  const none = noNewSets(asking);
  if (isMet(none)) return none;
  const found = await plannedByCalendar(asking);
  if (isVeryLargeFarm(asking.problem.problem)) return found ?? seekNearest(asking);
  if (found === null) return withRelaxed(asking, seekTogether);
  return withRelaxed(asking, async (seeking) => {
    if (found.lines.length <= found.fewest) return earlier(seeking, found);
    const fewer = await oneLess(seeking, await fewerRounded(seeking, found));
    return { ...fewer, fewest: Math.max(fewer.fewest, found.fewest) };
  });
}

/** The sets of all calendars together. */
async function seekTogether(seeking: Seeking): Promise<Candidate> {
  const targets = firstTargets(seeking);
  const enough = await enoughSets(seeking, targets);
  if (enough !== null) return enough;
  const found = await nearest(seeking, targets);
  return isMet(found) ? oneLess(seeking, found) : found;
}

/** What comes nearest for a very large farm, on some of its days. */
async function seekNearest(asking: Asking): Promise<Candidate> {
  return withRelaxed(onFewerDays(asking), async (seeking) => {
    const targets = firstTargets(seeking);
    const found = await nearest(seeking, targets);
    if (!isMet(found)) return found;
    // What is best on some of the days need not be on all.
    const fewest = await fewestByTiming(asking.problem, needsOf(asking, found.targets));
    return { ...found, fewest: sum(fewest, (floor) => floor) };
  });
}

const noSets: Search = {
  chosen: [],
  sets: 0,
  missing: [],
  met: 1,
  isBest: true,
  values: new Map(),
};

function noNewSets(asking: Asking): Candidate {
  const targets = noBirds(asking);
  return {
    search: noSets,
    targets,
    needs: needsOf(asking, targets),
    lines: [],
    starts: [],
    loss: 0,
    goals: resultsOf(asking, asking.without),
    fewest: 0,
  };
}

/**
 * The fewest sets with which the goals are met: a plan rounded from the relaxed one, and then one with
 * less, as long as there is any. Null where none are found.
 */
async function enoughSets(seeking: Seeking, from: readonly number[]): Promise<Candidate | null> {
  const targets = withinReach(seeking, from);
  if (targets === null) return null;
  const found = (await roundedEnough(seeking, targets)) ?? (await searchedEnough(seeking, targets));
  return found && oneLess(seeking, found);
}

/** Numbers of sets tried upward from the bound, each with the sets that meet the needs as fully as can be. */
async function searchedEnough(
  seeking: Seeking,
  from: readonly number[],
): Promise<Candidate | null> {
  const { problem, relaxed, limits } = seeking;
  const least = await fewestOf(seeking, from);
  let targets = [...from];
  for (let sets = least; sets <= mostSets(least); ) {
    const needs = needsOf(seeking, targets);
    const rounded = await roundedSets(relaxed, needs, sets);
    if (rounded === null) return null;
    const search = await searchedSets(problem, needs, sets, rounded, relaxed, limits);
    if (search === null) return null;
    const held = search.met < WORTH_TRYING ? null : await holdSets(seeking, search, targets);
    if (held && isMet(held.best)) return held.best;
    if (search.sets < sets) return null;
    if (held) targets = targets.map((birds, i) => Math.min(held.targets[i]!, birds * MORE_ASKED));
    // Birds grow no faster than the sets do.
    sets = Math.max(sets + 1, Math.floor(sets / Math.max(0.5, held ? 1 : search.met)));
  }
  return null;
}

/**
 * The same with one set less, and again, as long as the goals are met. The fewest are known when the
 * relaxed program has no plan with less, or when the fullest with one less does not reach the
 * confidence.
 */
async function oneLess(seeking: Seeking, found: Candidate): Promise<Candidate> {
  const { problem, relaxed, limits } = seeking;
  let best = found;
  for (;;) {
    const sets = best.lines.length - 1;
    const fewest = await fewestOf(seeking, best.targets);
    if (sets < fewest) return { ...best, fewest: best.lines.length };
    const needs = needsOf(seeking, best.targets);
    const met = await metSets(problem, needs, sets, limits);
    if (met === 'no sets do') return { ...best, fewest: best.lines.length };
    const fewer = await searchedSets(problem, needs, sets, met ?? best.search, relaxed, limits);
    const tried = fewer && (await heldOrAskedAgain(seeking, fewer, best.targets, sets));
    if (tried === null || !isMet(tried) || !better(tried, best))
      return { ...best, fewest: fewer?.isBest ? best.lines.length : fewest };
    best = tried;
  }
}

/** How often a plan that is nearly met is asked for otherwise. */
const ASKED_AGAIN = 1;

/**
 * Sets that were searched, with their eggs. Where one goal falls just short and another has more than
 * it asks, sets are searched once more with that in mind.
 */
async function heldOrAskedAgain(
  seeking: Seeking,
  search: Search,
  from: readonly number[],
  sets: number,
): Promise<Candidate | null> {
  const { problem, relaxed, limits } = seeking;
  let best: Candidate | null = null;
  let targets = from;
  let next: Search | null = search;
  for (let turn = 0; next !== null && next.met >= WORTH_TRYING; turn++) {
    const { best: held } = await holdSets(seeking, next, targets);
    if (best === null || better(held, best)) best = held;
    const short = shortIn(held);
    if (short === 0 || short > NEARLY_MET || held.goals.length === 1 || turn === ASKED_AGAIN) break;
    targets = askedNext(held);
    next = await searchedSets(problem, needsOf(seeking, targets), sets, next, relaxed, limits);
  }
  return best;
}

/** How often more is asked where nothing is missing and the chance is short. */
const MORE_TURNS = 3;

/** Where the fewest sets are not found or not all can be met: the sets that miss least. */
async function nearest(seeking: Seeking, from: readonly number[]): Promise<Candidate> {
  let targets = [...from];
  let best: Candidate | null = null;
  for (let turn = 0; turn < MORE_TURNS; turn++) {
    const search = await leastShortfall(
      seeking.problem,
      needsOf(seeking, targets),
      seeking.relaxed,
      seeking.limits,
    );
    const held = await holdSets(seeking, search, targets);
    if (best === null || better(held.best, best)) best = held.best;
    // More is asked only of what is to be had.
    const asked = askedNext(held.best);
    const next = targets.map((birds, i) =>
      held.best.goals[i]!.met || search.missing[i]! > BIRD_SLACK
        ? birds
        : Math.max(birds, asked[i]!),
    );
    if (next.every((birds, i) => birds === targets[i])) break;
    targets = next;
  }
  return best!;
}

/** How often the sets are moved for each later aim; once in a long season, where it takes seconds. */
const MOVES = { storage: 2, days: 6 };

/** The later aims, one after the other: less lost to storage with no more sets, an earlier end, fewer eggs. */
async function refined(seeking: Asking, found: Candidate): Promise<Candidate> {
  let best = found;
  for (const least of ['storage', 'days'] as const)
    for (let move = 0; move < (isShortSeason(seeking.problem.problem) ? MOVES[least] : 1); move++) {
      const moved = await movedSets(seeking, best, least);
      if (moved === null || !better(moved, best)) break;
      best = { ...moved, fewest: found.fewest };
    }
  return thrifty(seeking, best);
}

/**
 * Days by which sets may move to an earlier end, try by try. Each time more birds are asked of them:
 * sets that follow close draw on eggs that may not come.
 */
const MOVES_EARLIER = [7, 2];
const MOST_MORE = 1.15;

async function movedSets(
  seeking: Asking,
  from: Candidate,
  least: 'storage' | 'days',
): Promise<Candidate | null> {
  const { problem, chickRates } = seeking;
  let more = from.targets.map(() => 1);
  try {
    // Of a very large farm each try takes seconds.
    const tries = isVeryLargeFarm(problem.problem) ? MOVES_EARLIER.slice(-1) : MOVES_EARLIER;
    for (const moves of tries) {
      const aim =
        least === 'storage' ? { least } : { least, lost: from.loss + CHICKS_ALIKE / 2, moves };
      const needs = from.needs.map((need, i) => ({ ...need, birds: need.birds * more[i]! }));
      const improved = await betterSets(problem, needs, from.search, chickRates, aim);
      if (improved === null) {
        // Only an earlier end has another reach to try.
        if (least === 'storage') return null;
        continue;
      }
      const held = await holdSets(seeking, improved, from.targets);
      if (isMet(held.best)) return held.best;
      more = more.map((share, i) =>
        held.best.goals[i]!.met
          ? share
          : share * Math.min(MOST_MORE, from.goals[i]!.expected / held.best.goals[i]!.expected),
      );
    }
  } catch (error) {
    if (!(error instanceof NoPlace)) throw error;
  }
  return null;
}

function chicksOf({ problem, rates }: Asking, line: PlanLine): number {
  return line.ages.reduce((sum, { pen, age, eggs }) => {
    const of = problem.pens.findIndex((one) => one.name === pen);
    const rate = meanRate(rates, { want: 'chicks', at: 'hatch' }, problem.pens[of]!);
    return sum + eggs * rate * problem.kept(of, age);
  }, 0);
}

function spareOf(
  { pens, problem }: SeasonProblem,
  lines: readonly PlanLine[],
): PlanResult['spare'] {
  return [...new Set(pens)].map(({ name }) => {
    const own = problem.sources.filter((_, s) => pens[s]!.name === name);
    const there = own.flatMap((source) =>
      lotsOf(source).map(([laid, eggs]) => (laid <= (source.to ?? problem.days) ? eggs : 0)),
    );
    const used = sum(lines, (line) => line.shares[name] ?? 0);
    return { pen: name, eggs: sum(there, (eggs) => eggs) - used };
  });
}

/** The season as it would stand with the lines in its plan. */
export function withLines(season: Season, lines: readonly PlanLine[]): Season {
  const added = lines.map((line): PlannedSet => {
    const shares = Object.entries(line.shares).map(([name, eggs]) => ({
      pen: season.pens.get(name)!,
      eggs,
    }));
    return {
      name: line.set,
      on: line.on,
      setter: line.setter,
      trays: line.trays,
      shares,
      hatcher: line.hatcher,
      species: shares[0]!.pen.line.species,
      speciesName: line.species,
      at: { file: 'season.yaml', line: 1, column: 1 },
    };
  });
  const planned = [...season.planned, ...added].sort((a, b) =>
    a.on < b.on ? -1 : a.on > b.on ? 1 : 0,
  );
  return { ...season, planned };
}

/** Conflicts that the lines bring into a season. */
export function planFaults(season: Season, now: Now, lines: readonly PlanLine[]): Fault[] {
  const before = new Set(conflictsOf(season, now).map((f) => `${f.code} ${f.message}`));
  return conflictsOf(withLines(season, lines), now).filter(
    (f) => !before.has(`${f.code} ${f.message}`),
  );
}

/** Birds that the program would have to count on from new sets for each goal to have its confidence. */
export function askedOf(plan: PlanResult): number[] {
  return plan.goals.map(({ goal, expected, sd, met }, i) => {
    const birds = plan.birds[i]!;
    if (met) return birds;
    // Scatter grows with the birds: most of it is what is not known of the farm.
    const scatter = expected > 1 ? Math.min(0.6, sd / expected) : USUAL_SCATTER;
    const all = goal.count / Math.max(0.25, 1 - Math.max(0, normal(goal.confidence)) * scatter);
    return birds > 0 && expected > 1
      ? Math.max(birds + 0.5, (birds * all) / expected)
      : Math.max(0.5, birds + all - expected);
  });
}
