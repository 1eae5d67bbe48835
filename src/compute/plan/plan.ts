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
import { shareEggs } from './egg-shares.ts';
import { type Goal, goalsOf } from './goals.ts';
import { lotsOf } from './hatching-model.ts';
import { meanRate, type Need, needOf } from './needs.ts';
import { NoPlace, type PlanLine, planLines } from './plan-lines.ts';
import type { FarmRates } from './rates.ts';
import { type SeasonProblem, seasonKeeping, seasonProblem, type Wishes } from './season-problem.ts';
import {
  BIRD_SLACK,
  betterSets,
  fewestByTiming,
  fewestSets,
  type PlanLimits,
  type Search,
  usualLimits,
} from './set-search.ts';
import { SolverFailure } from './solver.ts';
import { eggsADay } from './supply.ts';
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
  /** Birds expected of the new sets, by goal. */
  birds: readonly number[];
  /** Hatching eggs expected and not needed, by pen, until its last day for setting. */
  spare: { pen: string; eggs: number }[];
}

/** How often the need is corrected: with the sets held, and over sets found anew. */
const EGG_ROUNDS = 6;
const SET_ROUNDS = 5;
/** Close enough: the chance may lie above the confidence by this much. */
const CLOSE = 0.012;
/** Targets that differ by less than this many birds are the same. */
const SAME = 0.4;
/** A goal counts as met a hair below its confidence: the simulation is not finer. */
const HAIR = 0.0005;
/** How often a plan that fits in sum but not in whole setters is solved again. */
const TRIES = 6;

/** What stays the same while a plan is sought. */
interface Seeking {
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

interface Candidate {
  search: Search;
  needs: Need[];
  lines: PlanLine[];
  loss: number;
  goals: GoalResult[];
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
  const problem = seasonProblem(base, now, rates, goalsOf(base), options);
  const outlook = outlookOf(base);
  const seeking: Seeking = {
    base,
    now,
    rates,
    problem,
    outlook,
    without: outlook([]),
    chickRates: problem.pens.map((pen) => meanRate(rates, { want: 'chicks', at: 'hatch' }, pen)),
    limits: options.limits ?? usualLimits,
  };
  const best = await seek(seeking, options.finer !== false);
  const faults = planFaults(base, now, best.lines);
  if (faults.length > 0)
    throw new SolverFailure(
      `the plan breaks a rule of check: ${faults[0]!.code}: ${faults[0]!.message}`,
    );
  const made = best.lines.length;
  const fewest = Math.min(made, best.search.fewest);
  return {
    status: !best.goals.every((r) => r.met) ? 'infeasible' : fewest < made ? 'bounded' : 'optimal',
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
    birds: best.goals.map((one, i) => Math.max(0, one.expected - seeking.without[i]!.expected)),
    spare: spareOf(problem, best.lines),
  };
}

function newSet(seeking: Seeking, line: PlanLine): PlannedView {
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

function keptSet({ base, problem, rates }: Seeking, line: PlannedSet): PlannedView {
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

/** The best plan: sets are found for a need, the need is moved to the confidence, until both agree. */

async function seek(seeking: Seeking, finer: boolean): Promise<Candidate> {
  const { problem, without, limits } = seeking;
  // First what a usual scatter asks, then what the simulation says.
  let targets = firstTargets(seeking);
  // Pooled eggs count as fresh: what their age takes is asked for on top.
  let markups = targets.map(() => 1);
  let best: Candidate | null = null;
  let scattered = 0;
  for (let round = 0; round < SET_ROUNDS; round++) {
    const search = await fewestSets(problem, needsOf(seeking, targets, markups), limits);
    const held = await orNoPlace(() => holdSets(seeking, search, targets));
    if (held instanceof NoPlace) {
      if (++scattered > TRIES) throw new SolverFailure(held.message);
      withoutOneTray(problem, held);
      round--;
      continue;
    }
    if (best === null || better(held.best, best)) best = held.best;
    const same = held.targets.every((birds, i) => Math.abs(birds - targets[i]!) < SAME);
    if (held.best.goals.every((r) => r.met)) {
      if (same || (await isFewest(seeking, held, search.sets))) break;
    } else {
      // Nothing more to be had.
      if (search.missing.some((birds) => birds > BIRD_SLACK)) break;
      // Short of what the sets were found for: the ages of the eggs took it.
      const asked = held.asked.every((birds, i) => birds <= targets[i]! + SAME);
      if (held.isShort && asked)
        markups = markups.map((m, i) => m * (1 + held.shortShare[i]!) + 0.002);
    }
    targets = held.targets;
  }
  const found = best!;
  if (!finer || found.lines.length === 0 || !found.goals.every((r) => r.met)) return found;
  const birds = found.needs.map((need, i) => need.birds + without[i]!.expected);
  const improved = await betterSets(
    problem,
    needsOf(seeking, birds, markups),
    found.search,
    seeking.chickRates,
    limits,
  );
  const held = await orNoPlace(() => holdSets(seeking, improved, birds));
  return !(held instanceof NoPlace) && better(held.best, found) ? held.best : found;
}

async function orNoPlace<T>(work: () => Promise<T>): Promise<T | NoPlace> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof NoPlace) return error;
    throw error;
  }
}

/** Trays that are free in sum but lie in several setters: one less is offered on those days. */
function withoutOneTray({ problem }: SeasonProblem, { setter, day, days }: NoPlace): void {
  const taken = problem.setters[setter]!.taken as number[];
  for (let d = 0; d < day + days; d++) taken[d] = (taken[d] ?? 0) + (d < day ? 0 : 1);
}

/** True if a plan that is met has no more sets than the relaxed program asks for its targets. */
async function isFewest(
  seeking: Seeking,
  held: { best: Candidate; targets: readonly number[] },
  sets: number,
): Promise<boolean> {
  if (!held.best.goals.every((r) => r.met)) return false;
  const floors = await fewestByTiming(seeking.problem, needsOf(seeking, held.targets));
  return sets <= floors.reduce((sum, one) => sum + one, 0);
}

function needsOf(
  { problem, rates, without }: Seeking,
  targets: readonly number[],
  markups?: readonly number[],
): Need[] {
  return problem.goals.map((goal, i) => {
    const birds = targets[i] === 0 ? 0 : Math.max(0, targets[i]! - without[i]!.expected);
    return needOf(problem, rates, goal, birds * (markups?.[i] ?? 1));
  });
}

interface Held {
  best: Candidate;
  /** What would be asked for next, and what was asked for last. */
  targets: number[];
  asked: number[];
  /** True if the sets did not hold what was asked for last, and by which share of each need. */
  isShort: boolean;
  shortShare: number[];
}

/** With the sets held: the eggs that just reach the confidence asked, and the targets that ask it. */
async function holdSets(seeking: Seeking, search: Search, from: readonly number[]): Promise<Held> {
  const { problem, chickRates } = seeking;
  let targets = [...from];
  let asked = targets;
  let best: Candidate | null = null;
  let isShort = false;
  let shortShare = targets.map(() => 0);
  for (let round = 0; round < EGG_ROUNDS; round++) {
    const needs = needsOf(seeking, targets);
    const { starts, missing, loss } = await shareEggs(problem, needs, search.chosen, chickRates);
    const lines = planLines(problem, starts);
    const goals = outlookOfLines(seeking, lines);
    const candidate = { search, needs, lines, loss, goals };
    if (best === null || better(candidate, best)) best = candidate;
    isShort = missing.some((birds) => birds > BIRD_SLACK);
    shortShare = missing.map((birds, i) => (birds > BIRD_SLACK ? birds / needs[i]!.birds : 0));
    const next = goals.map((result, i) => {
      if (targets[i] === 0 && result.met) return 0;
      return nextTarget(result, targets[i]!, targets[i]! - missing[i]!);
    });
    const same = next.every((birds, i) => Math.abs(birds - targets[i]!) < SAME / 2);
    // A goal whose eggs are all in use cannot be asked for more; for less it can.
    const stuck = goals.every((result, i) => result.met || shortShare[i]! > 0);
    asked = targets;
    targets = next;
    if (same || (isShort && stuck)) break;
  }
  return { best: best!, targets, asked, isShort, shortShare };
}

/** Where the need should lie for the chance to be the confidence, if birds scatter as they do now. */
function nextTarget(result: GoalResult, target: number, birds: number): number {
  const { goal, sd, probability } = result;
  const off = probability - goal.confidence;
  if (off >= -HAIR && off <= CLOSE) return target;
  const aim = normal(goal.confidence + CLOSE / 2);
  return Math.max(0.5, birds + (aim - normal(probability)) * Math.max(sd, 0.5));
}

/** Beyond this many standard deviations a chance says nothing more. */
const FARTHEST = 3;

function normal(probability: number): number {
  const least = 0.001_35;
  if (probability <= least) return -FARTHEST;
  if (probability >= 1 - least) return FARTHEST;
  return normalQuantile(probability, 0, 1);
}

/** A bird wanted comes or not: what the least scatter is of so many, as a share of their number. */
const LEAST_VARIANCE = 0.6;
/** Scatter of sets as a share of their birds where nothing can be tried. */
const USUAL_SCATTER = 0.2;

/**
 * Birds to be expected for each goal, by the scatter of a few sets over the season: what is not
 * known of the farm and what differs from set to set grows with the birds, luck with their root.
 */
function firstTargets({ problem, outlook, without, rates }: Seeking): number[] {
  const trial = outlook(trialShares(problem, rates));
  return problem.goals.map(({ count, confidence }, i) => {
    if (without[i]!.probability >= confidence - HAIR) return 0;
    const { expected, sd } = trial[i]!;
    const scatter =
      expected > 1
        ? Math.sqrt(Math.max(0, sd ** 2 - LEAST_VARIANCE * expected)) / expected
        : USUAL_SCATTER;
    const z = normal(confidence);
    let birds = count;
    for (let i = 0; i < 20; i++)
      birds = Math.min(
        3 * count,
        count + z * Math.sqrt(LEAST_VARIANCE * birds + (scatter * birds) ** 2),
      );
    return Math.max(1, birds, without[i]!.expected + 0.5);
  });
}

const TRIAL_SETS = 4;
const TRIAL_DAYS = 6;

/** A few sets over the season, to see how they scatter. */
function trialShares(p: SeasonProblem, rates: FarmRates): PlannedShare[] {
  return p.pens.flatMap((pen, s) => {
    const last = p.problem.sources[s]!.to ?? 0;
    const eggs = Math.round(TRIAL_DAYS * eggsADay(rates, pen));
    if (last < 1 || eggs === 0) return [];
    return Array.from({ length: TRIAL_SETS }, (_, k) => ({
      set: `trial ${k + 1}`,
      pen,
      on: addDays(p.first, Math.round((last * (k + 1)) / TRIAL_SETS)),
      eggs,
    }));
  });
}

/** A difference in storage loss below this many chicks decides nothing. */
const CHICKS_ALIKE = 0.25;

/** The aims in their order: shortfall, sets, loss to storage, finish, and eggs last. */
function better(a: Candidate, b: Candidate): boolean {
  const rank = (x: Candidate) => [
    x.goals.reduce((sum, r) => sum + Math.max(0, r.goal.confidence - HAIR - r.probability), 0),
    x.lines.length,
    Math.round(x.loss / CHICKS_ALIKE),
    x.lines.reduce((last, line) => Math.max(last, numberOfDay(line.lastOpening)), 0),
    x.lines.reduce((sum, line) => sum + line.eggs, 0),
  ];
  const [one, other] = [rank(a), rank(b)];
  const at = one.findIndex((value, i) => Math.abs(value - other[i]!) > 1e-9);
  return at >= 0 && one[at]! < other[at]!;
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

function chicksOf({ problem, chickRates }: Seeking, line: PlanLine): number {
  return line.ages.reduce((sum, { pen, age, eggs }) => {
    const of = problem.pens.findIndex((one) => one.name === pen);
    return sum + eggs * chickRates[of]! * problem.kept(of, age);
  }, 0);
}

function spareOf(p: SeasonProblem, lines: readonly PlanLine[]): PlanResult['spare'] {
  return p.problem.sources.map((source, s) => {
    const there = lotsOf(source).reduce(
      (sum, [laid, eggs]) => (laid <= (source.to ?? p.problem.days) ? sum + eggs : sum),
      0,
    );
    const used = lines.reduce((sum, line) => sum + (line.shares[p.pens[s]!.name] ?? 0), 0);
    return { pen: source.name, eggs: there - used };
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

/** Birds that new sets would have to be expected to give for each goal to have its confidence. */
export function askedOf(plan: PlanResult): number[] {
  return plan.goals.map(({ goal, expected, sd, met }, i) => {
    const birds = plan.birds[i]!;
    if (met) return birds;
    // Scatter grows with the birds: most of it is what is not known of the farm.
    const scatter = expected > 1 ? Math.min(0.6, sd / expected) : USUAL_SCATTER;
    const all = goal.count / Math.max(0.25, 1 - Math.max(0, normal(goal.confidence)) * scatter);
    return Math.max(birds + 0.5, birds + all - expected);
  });
}
