/**
 * A plan that is sought: what is asked of it, what it gives, and which of two is better.
 */
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import type { Goal } from '../facts/goals.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { PlannedShare } from '../judge/rates/worlds.ts';
import type { Now, Season } from '../season/model.ts';
import { numberOfDay } from '../text/day.ts';
import type { Start } from './hatching-schedule.ts';
import { type Need, needOf } from './needs.ts';
import type { PlanLine } from './plan-lines.ts';
import { ofRelaxed, type RelaxedSeason } from './relaxed.ts';
import type { SeasonProblem } from './season-problem.ts';
import { onSomeDays, type PlanLimits, type Search } from './set-search.ts';

/** What a goal may expect: birds of its line, sex and age by its day. */
export interface GoalOutlook {
  expected: number;
  sd: number;
  /** Chance of at least the number wanted. */
  probability: number;
}

/** The outlook of every goal with what is recorded, what is kept of the plan, and these new shares. */
export type Outlook = (shares: readonly PlannedShare[]) => GoalOutlook[];

export interface GoalResult extends GoalOutlook {
  goal: Goal;
  met: boolean;
}

/** What is asked of a plan. */
export interface Asking {
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
export interface Seeking extends Asking {
  relaxed: RelaxedSeason;
}

/** Opens the relaxed program of what is asked for as long as the work goes on. */
export async function withRelaxed<T>(
  asking: Asking,
  work: (seeking: Seeking) => T | Promise<T>,
): Promise<T> {
  const none = needsOf(asking, noBirds(asking));
  return ofRelaxed(asking.problem, none, (relaxed) => work({ ...asking, relaxed }));
}

/** None of any goal. */
export const noBirds = ({ problem }: Asking): number[] => problem.goals.map(() => 0);

/** The same on fewer days for setting, where the farm is very large. */
export function onFewerDays(asking: Asking): Asking {
  const { problem } = asking;
  return { ...asking, problem: { ...problem, problem: onSomeDays(problem.problem) } };
}

export interface Candidate {
  search: Search;
  /** Birds to be expected of each goal, and of the new sets alone. */
  targets: readonly number[];
  needs: readonly Need[];
  lines: PlanLine[];
  /** The same sets as the machines' room is counted. */
  starts: readonly Start[];
  loss: number;
  goals: GoalResult[];
  /** The fewest sets there could be, where known. */
  fewest: number;
}

/** True if every goal has the confidence asked. */
export function isMet({ goals }: Candidate): boolean {
  return goals.every((one) => one.met);
}

/** A goal counts as met a hair below its confidence: the simulation is not finer. */
export const HAIR = 0.0005;

/** Close enough: the chance may lie above the confidence by this much. */
const CLOSE = 0.015;

/** Targets that differ by less than this many birds are the same. */
export const SAME = 0.4;

/** A plan whose chances are short by no more than this in all may come right when asked otherwise. */
export const NEARLY_MET = 0.03;

/** The birds to be had from new sets, where so many are to be expected of each goal in all. */
export function needsOf({ problem, rates, without }: Asking, targets: readonly number[]): Need[] {
  return problem.goals.map((goal, i) => {
    const birds = targets[i] === 0 ? 0 : Math.max(0, targets[i]! - without[i]!.expected);
    return needOf(problem, rates, goal, birds);
  });
}

/** A number of sets below which no plan gives so many birds. */
export async function fewestOf(seeking: Seeking, targets: readonly number[]): Promise<number> {
  return sum(await seeking.relaxed.fewestByTiming(needsOf(seeking, targets)), (floor) => floor);
}

/** What each goal may expect with these new sets. */
export function outlookOfLines(seeking: Asking, lines: readonly PlanLine[]): GoalResult[] {
  return resultsOf(seeking, seeking.outlook(sharesOf(seeking.base, lines)));
}

/** Which goals an outlook meets. */
export function resultsOf({ problem }: Asking, outlook: readonly GoalOutlook[]): GoalResult[] {
  return outlook.map((one, i) => {
    const goal = problem.goals[i]!;
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

/** By how much a goal's chance is short of what is asked. */
function shortOf({ goal, probability }: GoalResult): number {
  return Math.max(0, goal.confidence - HAIR - probability);
}

/** By how much the chances of all its goals are short together. */
export function shortIn({ goals }: Candidate): number {
  return sum(goals, shortOf);
}

/** A difference in storage loss below this many chicks decides nothing. */
export const CHICKS_ALIKE = 0.25;

/** The aims in their order: shortfall, sets, loss to storage, finish, sets set early, and eggs last. */
export function better(a: Candidate, b: Candidate): boolean {
  const aims: [of: (one: Candidate) => number, alike: number][] = [
    [shortIn, 1e-9],
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

export function sum<T>(all: readonly T[], of: (one: T) => number): number {
  return all.reduce((total, one) => total + of(one), 0);
}

/** Least and most by which the birds asked for change from one rounded plan to the next. */
const NEXT_ASKED = [0.95, 1.3] as const;

/**
 * The birds to ask of another plan like this one. Its sets give less than was asked where eggs may not
 * be laid: so much more is asked as it fell short of the birds that would have the confidence.
 */
export function askedNext(from: Candidate): number[] {
  const [least, most] = NEXT_ASKED;
  return birdsWanted(from, CLOSE / 2).map((wanted, i) => {
    const birds = from.targets[i]!;
    return Math.min(birds * most, Math.max(birds * least, wanted));
  });
}

/**
 * Birds to be counted on for each goal where a plan scatters like this one: so many more, as a share of
 * what it gives, as its chance is short of the confidence and so much above it.
 */
export function birdsWanted({ targets, goals }: Candidate, above = 0): number[] {
  return targets.map((birds, i) => {
    const { goal, expected, sd, probability } = goals[i]!;
    if (birds === 0 || expected <= 0) return birds;
    const wanted = expected + (normal(goal.confidence + above) - normal(probability)) * sd;
    return (birds * wanted) / expected;
  });
}

/**
 * Where the need should lie for the chance to be the confidence: by the scatter of the birds at first,
 * then by what the last step did to the chance (a secant step on the normal scale).
 */
export class Step {
  #before: { birds: number; z: number } | null = null;

  /** The birds to ask for next, so that the chance lies up to `close` above the confidence. */
  next(result: GoalOutlook & { goal: Goal }, birds: number, close = CLOSE): number {
    const { goal, sd, probability } = result;
    const off = probability - goal.confidence;
    if (off >= -HAIR && off <= close) return birds;
    const z = normal(probability);
    const usual = 1 / Math.max(sd, 0.5);
    const found = this.#before ? (z - this.#before.z) / (birds - this.#before.birds) : usual;
    // The chance rises with the birds: other slopes are the noise of whole eggs.
    const slope = Number.isFinite(found)
      ? Math.min(STEEPEST * usual, Math.max(usual / FLATTEST, found))
      : usual;
    this.#before = { birds, z };
    return Math.max(0.5, birds + (normal(goal.confidence + close / 2) - z) / slope);
  }
}

/** A chance moves with the birds as a normal number's would, within these factors. */
const STEEPEST = 6;
const FLATTEST = 2;

/** Beyond this many standard deviations a chance says nothing more. */
const FARTHEST = 3;

export function normal(probability: number): number {
  const least = 0.001_35;
  if (probability <= least) return -FARTHEST;
  if (probability >= 1 - least) return FARTHEST;
  return normalQuantile(probability, 0, 1);
}
