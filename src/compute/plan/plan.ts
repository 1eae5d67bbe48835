/**
 * The plan: sets that give each goal its number of birds with the confidence asked for.
 *
 * The program plans on expected birds. How many must be expected for the wanted number to come with
 * the confidence asked is found by simulation: the need is moved until the two agree.
 */
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import type { Now, PlannedSet, Season } from '../../season/model.ts';
import { addDays, type Day, numberOfDay } from '../../text/day.ts';
import type { Fault } from '../../text/fault.ts';
import { conflictsOf } from '../checks/index.ts';
import { milestonesOfPlanned, openPlan } from '../schedule/milestones.ts';
import { type Crowding, crowdingOf } from './brooding.ts';
import { EGG_SLACK, EggSharing } from './egg-shares.ts';
import { type Goal, goalsOf } from './goals.ts';
import { lotsOf } from './hatching-model.ts';
import type { Start } from './hatching-schedule.ts';
import { meanRate, type Need, needOf } from './needs.ts';
import { NoPlace, type PlanLine, planLines, setNames } from './plan-lines.ts';
import type { FarmRates } from './rates.ts';
import { dives, type RelaxedEggs, RelaxedSeason } from './relaxed.ts';
import { type SeasonProblem, seasonKeeping, seasonProblem, type Wishes } from './season-problem.ts';
import {
  BIRD_SLACK,
  betterSets,
  type ChosenSets,
  isAt,
  isShortSeason,
  isVeryLargeFarm,
  leastShortfall,
  metSets,
  onSomeDays,
  type PlanLimits,
  roundedSets,
  type Search,
  searchedSets,
  usualLimits,
  WORTH_TRYING,
} from './set-search.ts';
import { SolverFailure } from './solver.ts';
import type { PlannedShare } from './worlds.ts';

/** What a goal may expect: birds of its line, sex and age by its day. */
export interface GoalOutlook {
  expected: number;
  sd: number;
  /** Chance of at least the number wanted. */
  probability: number;
}

/** The outlook of every goal with what is recorded, what is kept of the plan, and these new shares. */
export type Outlook = (shares: readonly PlannedShare[]) => GoalOutlook[];

export interface PlanOptions extends Wishes {
  /** Plan lines still to come are made anew. */
  replan: boolean;
  limits?: PlanLimits;
  /** False leaves out the aims after the fewest sets. */
  finer?: boolean;
}

export interface GoalResult extends GoalOutlook {
  goal: Goal;
  met: boolean;
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

/** Chances short of what is asked that come this much nearer in one correction are worth another. */
const LESS_SHORT = 0.003;
/** How often the need is corrected with the sets held. */
const EGG_ROUNDS = 6;
/** Most by which the needs rise from one number of sets to the next. */
const MORE_ASKED = 1.05;
/** Close enough: the chance may lie above the confidence by this much. */
const CLOSE = 0.015;
/** Targets that differ by less than this many birds are the same. */
const SAME = 0.4;
/** A goal counts as met a hair below its confidence: the simulation is not finer. */
const HAIR = 0.0005;
/** How often a plan that fits in sum but not in whole setters is solved again. */
const TRIES = 6;

/** What is asked of a plan. */
interface Asking {
  base: Season;
  now: Now;
  rates: FarmRates;
  problem: SeasonProblem;
  outlook: Outlook;
  /** Birds expected of each goal without new sets. */
  without: readonly GoalOutlook[];
  chickRates: readonly number[];
  limits: PlanLimits;
}

/** What stays the same while a plan is sought. */
interface Seeking extends Asking {
  relaxed: RelaxedSeason;
}

interface Candidate {
  search: Search;
  /** Birds to be expected of each goal, and of the new sets alone. */
  targets: readonly number[];
  needs: readonly Need[];
  lines: PlanLine[];
  loss: number;
  goals: GoalResult[];
  /** The fewest sets there could be, where known. */
  fewest: number;
}

/** True if every goal has the confidence asked. */
function isMet({ goals }: Candidate): boolean {
  return goals.every((one) => one.met);
}

/** Plans a season. Throws SolverFailure if the solver gives no trustworthy answer. */
export async function planSeason(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
): Promise<PlanResult> {
  const base = seasonKeeping(season, (line) => !(options.replan && line.on >= now.day));
  const whole = seasonProblem(base, now, rates, goalsOf(base), options);
  const problem = { ...whole, problem: onSomeDays(whole.problem) };
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
  // What is best on some of the days need not be on all.
  const bound =
    problem.problem === whole.problem
      ? best.fewest
      : await withRelaxed({ ...seeking, problem: whole }, (all) => fewestOf(all, best.targets));
  const fewest = areMet ? Math.min(made, bound) : made;
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
      return await withRelaxed(asking, (seeking) => seek(seeking, finer));
    } catch (error) {
      if (!(error instanceof NoPlace)) throw error;
      if (turn === TRIES) throw new SolverFailure(error.message);
      withoutOneTray(asking.problem, error);
    }
  }
}

async function withRelaxed<T>(
  asking: Asking,
  work: (seeking: Seeking) => T | Promise<T>,
): Promise<T> {
  const none = asking.problem.goals.map(() => 0);
  const relaxed = await RelaxedSeason.open(asking.problem, needsOf(asking, none));
  try {
    return await work({ ...asking, relaxed });
  } finally {
    relaxed.close();
  }
}

async function seek(seeking: Seeking, finer: boolean): Promise<Candidate> {
  const targets = firstTargets(seeking);
  if (targets.every((birds) => birds === 0)) return noNewSets(seeking);
  const enough = await enoughSets(seeking, targets);
  const found = enough ?? (await nearest(seeking, targets));
  if (!isMet(found)) return found;
  const fewest = enough ?? (await oneLess(seeking, found));
  return finer ? refined(seeking, fewest) : fewest;
}

const noSets: Search = {
  chosen: [],
  sets: 0,
  missing: [],
  met: 1,
  isBest: true,
  values: new Map(),
};

function noNewSets(seeking: Seeking): Candidate {
  const goals = outlookOfLines(seeking, []);
  const targets = goals.map(() => 0);
  return {
    search: noSets,
    targets,
    needs: needsOf(seeking, targets),
    lines: [],
    loss: 0,
    goals,
    fewest: 0,
  };
}

/**
 * The fewest sets with which the goals are met: a plan rounded from the relaxed one, and then one with
 * less, as long as there is any. Null where none are found.
 */
async function enoughSets(seeking: Seeking, from: readonly number[]): Promise<Candidate | null> {
  const targets = STINTED.map((part) => from.map((birds) => birds * part)).find((birds) =>
    seeking.relaxed.couldMeet(needsOf(seeking, birds)),
  );
  if (targets === undefined) return null;
  const found = (await roundedEnough(seeking, targets)) ?? (await searchedEnough(seeking, targets));
  return found && oneLess(seeking, found);
}

/**
 * Where not even the relaxed program gives what is asked, so much of it is tried: eggs left over from
 * one set serve the next, so a little more may come than the program counts on.
 */
const STINTED = [1, 0.96, 0.92];

/** In how many ways a plan is rounded, and how often each again where it falls short. */
const ROUNDED_AFRESH = 4;
const ROUNDED_AGAIN = 8;

/** Plans rounded from the relaxed one, had in a moment. Null where none does. */
async function roundedEnough(seeking: Seeking, from: readonly number[]): Promise<Candidate | null> {
  const found = await roundedMet(seeking, from);
  return found && earlier(seeking, await fewerAnew(seeking, found));
}

/**
 * A plan rounded from the relaxed one, and rounded again until it will do: more is asked where it falls
 * short, and when it is nearly enough sets are added to it.
 */
async function roundedMet(seeking: Seeking, from: readonly number[]): Promise<Candidate | null> {
  let targets = [...from];
  for (let variant = 0; variant < ROUNDED_AFRESH; variant++) {
    let kept: readonly ChosenSets[] = [];
    for (let turn = 0; turn < ROUNDED_AGAIN; turn++) {
      const needs = needsOf(seeking, targets);
      const options = { kept, variant };
      const search = await seeking.relaxed.dive(needs, { least: 'sets' }, 'fullest', options);
      if (search === null) break;
      const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
      kept = [];
      if (held === null) continue;
      if (isMet(held.best)) return held.best;
      targets = askedNext(held.best);
      if (sum(held.best.goals, shortOf) <= NEARLY_MET) kept = held.best.search.chosen;
    }
  }
  return null;
}

/** Parts of a season, days: in one after the other sets are sought anew. */
const PART = 56;

/** A part of a plan that can be sought anew: the sets of the others, and the fewest in all with them. */
interface Part {
  kept: readonly ChosenSets[];
  fewest: number;
}

/** The parts of a plan, some weeks or a calendar each, those with the fewest sets first. */
function partsOf(
  { problem, relaxed }: Seeking,
  needs: readonly Need[],
  { chosen }: Search,
): Part[] {
  const { days, timings } = problem.problem;
  const others = (isIn: (one: ChosenSets) => boolean) => chosen.filter((one) => !isIn(one));
  const parts = Array.from({ length: Math.ceil((2 * days) / PART) }, (_, i) => {
    const from = (i * PART) / 2;
    return others(({ day }) => from <= day && day < from + PART);
  });
  if (timings.length > 1)
    parts.push(...timings.map((_, own) => others(({ timing }) => timing === own)));
  return parts
    .filter((kept) => kept.length < chosen.length)
    .flatMap((kept) => {
      const fewest = relaxed.fewestWith(needs, kept);
      return fewest === null ? [] : [{ kept, fewest }];
    })
    .sort((one, other) => one.fewest - other.fewest);
}

function setsIn(chosen: readonly ChosenSets[]): number {
  return sum(chosen, ({ sets }) => sets);
}

/** So often a plan is rounded anew for one with less, afresh in another way or in part … */
const TRIED = 16;
/** … and that of a very large farm, where each takes seconds. */
const TRIED_LARGE = 4;

/**
 * The same with fewer sets: rounded afresh in other ways and, turn by turn, in parts; from plans that
 * fall a little short with one set less it goes on.
 */
async function fewerAnew(seeking: Seeking, found: Candidate): Promise<Candidate> {
  const { relaxed, problem } = seeking;
  const isLarge = isVeryLargeFarm(problem.problem);
  let best = found;
  let from = best;
  let parts: Part[] | null = null;
  for (let tried = 0; tried < (isLarge ? TRIED_LARGE : TRIED); tried++) {
    const sets = best.lines.length - 1;
    if (fewestOf(seeking, best.targets) > sets) break;
    const targets = askedNext(from);
    const needs = needsOf(seeking, targets);
    const isInPart = tried % 2 === 1 && !isLarge;
    parts ??= isInPart ? partsOf(seeking, needs, from.search) : null;
    const part = isInPart ? parts?.shift() : undefined;
    const way =
      part && part.fewest <= sets + SETS_ALIKE ? { kept: part.kept } : { variant: tried + 1 };
    const options = { ...way, atMost: sets };
    const search = await relaxed.dive(needs, { least: 'sets' }, 'fullest', options);
    if (search === null || search.sets > sets) continue;
    const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
    if (held === null) continue;
    if (isMet(held.best)) best = held.best;
    else if (from !== best && sum(held.best.goals, shortOf) >= sum(from.goals, shortOf)) continue;
    from = held.best;
    parts = null;
  }
  return best;
}

/** Rounding of a number of sets. */
const SETS_ALIKE = 1e-6;

/** The same with early sets before late ones, where that takes no more of them. */
async function earlier(seeking: Seeking, found: Candidate): Promise<Candidate> {
  const targets = askedNext(found);
  const needs = needsOf(seeking, targets);
  const atMost = found.lines.length;
  let best = found;
  for (const order of dives) {
    const search = await seeking.relaxed.dive(needs, { least: 'early sets' }, order, { atMost });
    if (search === null || search.sets > atMost) continue;
    const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
    if (held !== null && isMet(held.best) && better(held.best, best)) best = held.best;
  }
  return best;
}

/** Null where the sets have no place in the machines: one tray less is offered there from now on. */
async function placedOrNot<T>(seeking: Seeking, work: () => Promise<T>): Promise<T | null> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof NoPlace)) throw error;
    withoutOneTray(seeking.problem, error);
    const { setter, day, days } = error;
    seeking.relaxed.withoutOneTray(setter, (d) => day <= d && d < day + days);
    return null;
  }
}

/** Least and most by which the birds asked for change from one rounded plan to the next. */
const NEXT_ASKED = [0.95, 1.3] as const;

/**
 * The birds to ask of another plan like this one. Its sets give less than was asked where eggs may not
 * be laid: so much more is asked as it fell short of the birds that would have the confidence.
 */
function askedNext({ targets, goals }: Candidate): number[] {
  return targets.map((birds, i) => {
    const { goal, expected, sd, probability } = goals[i]!;
    if (birds === 0 || expected <= 0) return birds;
    const wanted = expected + (normal(goal.confidence + CLOSE / 2) - normal(probability)) * sd;
    const [least, most] = NEXT_ASKED;
    return birds * Math.min(most, Math.max(least, wanted / expected));
  });
}

/** Numbers of sets tried upward from the bound, each with the sets that meet the needs as fully as can be. */
async function searchedEnough(
  seeking: Seeking,
  from: readonly number[],
): Promise<Candidate | null> {
  const { problem, relaxed, limits } = seeking;
  const least = fewestOf(seeking, from);
  let targets = [...from];
  for (let sets = least; sets <= MORE_SETS * least + 2; ) {
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

/** Beyond this share more sets than the bound no plan is looked for. */
const MORE_SETS = 1.35;

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
    const fewest = fewestOf(seeking, best.targets);
    if (sets < fewest) return { ...best, fewest: best.lines.length };
    if (isVeryLargeFarm(problem.problem)) return { ...best, fewest };
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

/** A plan whose chances are short by no more than this in all may come right when asked otherwise … */
const NEARLY_MET = 0.03;
/** … so many times. */
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
    const short = sum(held.goals, shortOf);
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

/** A number of sets below which no plan gives so many birds. */
function fewestOf(seeking: Seeking, targets: readonly number[]): number {
  const floors = seeking.relaxed.fewestByTiming(needsOf(seeking, targets));
  return floors.reduce((sum, one) => sum + one, 0);
}

/** How often the sets are moved for each later aim; once in a long season, where it takes seconds. */
const MOVES = { storage: 2, days: 6 };

/** The later aims, one after the other: less lost to storage with no more sets, an earlier end, fewer eggs. */
async function refined(seeking: Seeking, found: Candidate): Promise<Candidate> {
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
  seeking: Seeking,
  from: Candidate,
  least: 'storage' | 'days',
): Promise<Candidate | null> {
  const { problem, chickRates } = seeking;
  let more = from.targets.map(() => 1);
  try {
    for (const moves of MOVES_EARLIER) {
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

/** Trays that are free in sum but lie in several setters: one less is offered on those days. */
function withoutOneTray({ problem }: SeasonProblem, { setter, day, days }: NoPlace): void {
  const taken = problem.setters[setter]!.taken as number[];
  for (let d = 0; d < day + days; d++) taken[d] = (taken[d] ?? 0) + (d < day ? 0 : 1);
}

function needsOf({ problem, rates, without }: Asking, targets: readonly number[]): Need[] {
  return problem.goals.map((goal, i) => {
    const birds = targets[i] === 0 ? 0 : Math.max(0, targets[i]! - without[i]!.expected);
    return needOf(problem, rates, goal, birds);
  });
}

interface Held {
  best: Candidate;
  /** What would be asked for next. */
  targets: number[];
}

/** With the sets held: the eggs that just reach the confidence asked, and the targets that ask it. */
async function holdSets(seeking: Seeking, search: Search, from: readonly number[]): Promise<Held> {
  const { problem, chickRates } = seeking;
  const sharing = await EggSharing.open(problem, needsOf(seeking, from), search, chickRates);
  try {
    return await corrected(seeking, search, from, sharing);
  } finally {
    sharing.close();
  }
}

async function corrected(
  seeking: Seeking,
  search: Search,
  from: readonly number[],
  sharing: EggSharing,
): Promise<Held> {
  let targets = [...from];
  const steps = targets.map(() => new Step());
  let best: Candidate | null = null;
  let before = Number.POSITIVE_INFINITY;
  for (let round = 0; round < EGG_ROUNDS; round++) {
    const { candidate, missing } = await shared(seeking, search, targets, sharing);
    const { goals, targets: given } = candidate;
    if (best === null || better(candidate, best)) best = candidate;
    const isShort = missing.map((birds) => birds > EGG_SLACK);
    const next = goals.map((result, i) => {
      if (targets[i] === 0 && result.met) return 0;
      // Where all eggs are in use, to ask for more takes them from other goals.
      if (isShort[i] && !result.met) return given[i]!;
      return steps[i]!.next(result, given[i]!);
    });
    const same = next.every((birds, i) => Math.abs(birds - targets[i]!) < SAME / 2);
    const stuck = goals.every((result, i) => result.met || isShort[i]);
    targets = next;
    const short = sum(goals, shortOf);
    const isWorse = short > 0 && short > before - LESS_SHORT;
    before = short;
    if (isWorse) break;
    if (same || (isShort.some(Boolean) && stuck)) break;
  }
  return { best: best!, targets };
}

/** The eggs of sets for so many birds, with what is missing of each. */
async function shared(
  seeking: Seeking,
  search: Search,
  targets: readonly number[],
  sharing: EggSharing,
): Promise<{ candidate: Candidate; missing: readonly number[] }> {
  const { starts, missing, loss } = await sharing.share(needsOf(seeking, targets));
  const lines = await planLines(seeking.problem, starts);
  // What the eggs give, where that is less than was asked.
  const given = targets.map((birds, i) => birds - missing[i]!);
  const candidate = {
    search: inUse(search, starts),
    needs: needsOf(seeking, given),
    targets: given,
    lines,
    loss,
    goals: outlookOfLines(seeking, lines),
    fewest: 0,
  };
  return { candidate, missing };
}

/** How often fewer birds are asked of the sets in hand, and by how much each time. */
const THRIFTY = 4;
const LESS_ASKED = 0.025;

/** The last aim: fewer eggs in the same sets, as long as every goal is met. */
async function thrifty(seeking: Seeking, found: Candidate): Promise<Candidate> {
  const { problem, chickRates } = seeking;
  let best = found;
  const sharing = await EggSharing.open(problem, best.needs, best.search, chickRates);
  try {
    for (let turn = 0; turn < THRIFTY; turn++) {
      const targets = best.targets.map((birds, i) => {
        const { goal, probability } = best.goals[i]!;
        return probability > goal.confidence ? birds * (1 - LESS_ASKED) : birds;
      });
      const { candidate } = await shared(seeking, best.search, targets, sharing);
      if (!isMet(candidate) || !better(candidate, best)) break;
      best = { ...candidate, fewest: found.fewest };
    }
  } catch (error) {
    if (!(error instanceof NoPlace)) throw error;
  } finally {
    sharing.close();
  }
  return best;
}

/** The sets that have eggs. */
function inUse(search: Search, starts: readonly Start[]): Search {
  const chosen = search.chosen.filter((one) => starts.some((start) => isAt(one, start)));
  return { ...search, chosen, sets: setsIn(chosen) };
}

/**
 * Where the need should lie for the chance to be the confidence: by the scatter of the birds at first,
 * then by what the last step did to the chance (a secant step on the normal scale).
 */
class Step {
  #before: { birds: number; z: number } | null = null;

  next(result: GoalOutlook & { goal: Goal }, birds: number): number {
    const { goal, sd, probability } = result;
    const off = probability - goal.confidence;
    if (off >= -HAIR && off <= CLOSE) return birds;
    const z = normal(probability);
    const usual = 1 / Math.max(sd, 0.5);
    const found = this.#before ? (z - this.#before.z) / (birds - this.#before.birds) : usual;
    // The chance rises with the birds: other slopes are the noise of whole eggs.
    const slope = Number.isFinite(found)
      ? Math.min(STEEPEST * usual, Math.max(usual / FLATTEST, found))
      : usual;
    this.#before = { birds, z };
    return Math.max(0.5, birds + (normal(goal.confidence + CLOSE / 2) - z) / slope);
  }
}

/** A chance moves with the birds as a normal number's would, within these factors. */
const STEEPEST = 6;
const FLATTEST = 2;

/** Beyond this many standard deviations a chance says nothing more. */
const FARTHEST = 3;

function normal(probability: number): number {
  const least = 0.001_35;
  if (probability <= least) return -FARTHEST;
  if (probability >= 1 - least) return FARTHEST;
  return normalQuantile(probability, 0, 1);
}

/** Scatter of birds as a share of their number before anything is tried. */
const USUAL_SCATTER = 0.2;
/** How often the need is corrected on the relaxed plan. */
const RELAXED_ROUNDS = 4;

/**
 * Birds to be expected for each goal: what the relaxed plan would need, by simulation. Its sets are
 * parts of sets, so the whole plan may need a little more.
 */
function firstTargets(seeking: Seeking): number[] {
  const { problem, relaxed, without } = seeking;
  let targets = problem.goals.map(({ count, confidence }, i) => {
    if (without[i]!.probability >= confidence - HAIR) return 0;
    return Math.max(
      1,
      count / Math.max(0.25, 1 - Math.max(0, normal(confidence)) * USUAL_SCATTER),
      without[i]!.expected + 0.5,
    );
  });
  const steps = targets.map(() => new Step());
  for (let round = 0; round < RELAXED_ROUNDS; round++) {
    const eggs = relaxed.eggs(needsOf(seeking, targets));
    if (eggs === null) break;
    const outlook = seeking.outlook(relaxedShares(problem, eggs));
    const next = targets.map((birds, i) => {
      const goal = problem.goals[i]!;
      return birds === 0 ? 0 : steps[i]!.next({ ...outlook[i]!, goal }, birds);
    });
    const same = next.every((birds, i) => Math.abs(birds - targets[i]!) < SAME);
    targets = next;
    if (same) break;
  }
  return targets;
}

function relaxedShares(p: SeasonProblem, eggs: readonly RelaxedEggs[]): PlannedShare[] {
  const nameFor = setNames(p);
  const names = new Map<string, string>();
  return eggs
    .map(({ source, day, eggs: amount, set: number }) => {
      const pen = p.pens[source]!;
      const key = `${p.problem.sources[source]!.kind} ${number}`;
      const set = names.get(key) ?? nameFor([pen.name]);
      names.set(key, set);
      return { set, pen, on: addDays(p.first, day), eggs: Math.round(amount) };
    })
    .filter((share) => share.eggs > 0);
}

/** By how much a goal's chance is short of what is asked. */
function shortOf({ goal, probability }: GoalResult): number {
  return Math.max(0, goal.confidence - HAIR - probability);
}

/** A difference in storage loss below this many chicks decides nothing. */
const CHICKS_ALIKE = 0.25;

/** The aims in their order: shortfall, sets, loss to storage, finish, sets set early, and eggs last. */
function better(a: Candidate, b: Candidate): boolean {
  const aims: [of: (one: Candidate) => number, alike: number][] = [
    [({ goals }) => sum(goals, shortOf), 1e-9],
    [({ lines }) => lines.length, 0],
    [({ loss }) => loss, CHICKS_ALIKE],
    [
      ({ lines }) =>
        lines.reduce((last, { lastOpening }) => Math.max(last, numberOfDay(lastOpening)), 0),
      0,
    ],
    [({ lines }) => sum(lines, ({ on }) => numberOfDay(on)), 0],
    [({ lines }) => sum(lines, ({ eggs }) => eggs), 0],
  ];
  const decides = aims.find(([of, alike]) => Math.abs(of(a) - of(b)) > alike);
  return decides !== undefined && decides[0](a) < decides[0](b);
}

function sum<T>(all: readonly T[], of: (one: T) => number): number {
  return all.reduce((total, one) => total + of(one), 0);
}

function outlookOfLines(seeking: Seeking, lines: readonly PlanLine[]): GoalResult[] {
  return seeking.outlook(sharesOf(seeking.base, lines)).map((one, i) => {
    const goal = seeking.problem.goals[i]!;
    return { ...one, goal, met: one.probability >= goal.confidence - HAIR };
  });
}

function sharesOf(season: Season, lines: readonly PlanLine[]): PlannedShare[] {
  return lines.flatMap((line) =>
    Object.entries(line.shares).map(
      ([pen, eggs]): PlannedShare => ({
        set: line.set,
        pen: season.pens.get(pen)!,
        on: line.on,
        eggs,
        ages: line.ages.filter((one) => one.pen === pen),
      }),
    ),
  );
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
