/** Why a plan falls short: what binds, and the least change of each kind that frees it. */
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { goalsOf } from '../facts/goals.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, Season } from '../season/model.ts';
import type { Outlook } from './candidate.ts';
import { needOf } from './needs.ts';
import { askedOf, type PlanOptions, type PlanResult, planSeason } from './plan.ts';
import { ofRelaxed } from './relaxed.ts';
import { seasonKeeping, seasonProblem } from './season-problem.ts';
import { SolverFailure } from './solver.ts';
import { type Binding, type Way, waysOut } from './ways-out.ts';

/** A change that would free the plan. Each figure comes from a solve. */
export interface Limit {
  /** What binds. */
  limit: Binding;
  /** The change, in words. */
  change: string;
  amount: number;
  /** True if one less was solved and does not do. */
  least: boolean;
  /** Chance of the goal it frees that fell shortest, less what it was. */
  gain: number;
  /** The goals it frees, by their place in the plan: all that fall short, or one of several. */
  frees: number[];
}

/** Fewer birds that could be promised as the season stands. */
export interface Instead {
  /** The goal, by its place in the plan. */
  goal: number;
  count: number;
  /** True if one more was solved and cannot be promised. */
  most: boolean;
}

export interface WaysOut {
  limits: Limit[];
  /** For each goal that falls short, what could be asked instead; none where not even one bird. */
  instead: Instead[];
}

export const noWaysOut: WaysOut = { limits: [], instead: [] };

/** Whole plans made for one way at most. */
const MOST_PLANS = 8;
/** Ways that stand for each other and of which none frees the plan: so many are solved. */
const MOST_INSTEAD = 3;
/** Other goals that fall short are asked for as often as they are met, less this. */
const HAIR = 0.01;

interface Asking {
  season: Season;
  now: Now;
  rates: FarmRates;
  outlookOf: (season: Season) => Outlook;
  options: PlanOptions;
}

/**
 * The least changes that would free a plan, one of each kind, and what could be asked instead.
 *
 * For each way the relaxed program, with sets and trays in parts, finds where to begin; whole plans,
 * simulated, then show the least amount that does and that one less does not. Where several goals
 * fall short, changes of other kinds that free one of them alone are told for each.
 */
export async function waysOutOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
  plan: PlanResult,
): Promise<WaysOut> {
  const asking = { season, now, rates, outlookOf, options };
  const short = plan.goals.flatMap((one, i) => (one.met ? [] : [i]));
  const limits = await limitsFor(asking, plan, short);
  if (short.length > 1) {
    const kinds = new Set(limits.map((one) => one.limit));
    for (const goal of short) {
      const alone = { ...asking, season: askingLess(season, plan, goal) };
      limits.push(...(await limitsFor(alone, plan, [goal], kinds)));
    }
  }
  const instead: Instead[] = [];
  for (const goal of short) {
    const fewer = await fewerBirds(asking, plan, goal);
    if (fewer !== null) instead.push(fewer);
  }
  return { limits, instead };
}

/** The season with every other goal that falls short asked for no more often than it is met. */
function askingLess(season: Season, plan: PlanResult, goal: number): Season {
  const goals = season.values.goals.map((values, i) => {
    const { met, probability } = plan.goals[i]!;
    return met || i === goal
      ? values
      : { ...values, confidence: Math.max(HAIR, probability - HAIR) };
  });
  return { ...season, values: { ...season.values, goals } };
}

async function limitsFor(
  asking: Asking,
  plan: PlanResult,
  short: readonly number[],
  known: ReadonlySet<Binding> = new Set(),
): Promise<Limit[]> {
  const { season, now } = asking;
  let asked = askedOf(plan).map((birds, i) =>
    plan.goals[i]!.met || short.includes(i) ? birds : plan.birds[i]!,
  );
  const lines = new Set(short.map((i) => plan.goals[i]!.goal.line.name));
  const found: Limit[] = [];
  const solved = new Map<string, number>();
  for (const way of waysOut(season, now, lines)) {
    if (known.has(way.limit)) continue;
    if (way.instead !== undefined) {
      if ((solved.get(way.instead) ?? 0) >= MOST_INSTEAD) continue;
      if (way.instead === 'all' && found.some((one) => one.limit === way.limit)) continue;
    }
    const guess = await leastRelaxed(asking, way, asked);
    if (guess === null) continue;
    if (way.instead !== undefined) solved.set(way.instead, (solved.get(way.instead) ?? 0) + 1);
    const least = await leastOf({ most: way.most, guess, without: plan }, (amount) =>
      solve({ ...asking, season: way.change(season, amount) }),
    );
    if (least === null) continue;
    const { amount, freed, isLeast } = least;
    if (way.instead !== undefined) solved.set(way.instead, MOST_INSTEAD);
    // What a plan that is met expects is a better guess at the birds needed than the first one.
    asked = asked.map((birds, i) => Math.min(birds, freed.birds[i]!));
    found.push({
      limit: way.limit,
      change: way.say(amount, freed),
      amount,
      least: isLeast,
      gain: Math.max(...short.map((i) => freed.goals[i]!.probability - plan.goals[i]!.probability)),
      frees: [...short],
    });
  }
  return found;
}

/** The plan of a changed season; null if the solver gives no answer: then nothing is said of it. */
async function solve(asking: Asking): Promise<PlanResult | null> {
  const { season, now, rates, outlookOf, options } = asking;
  try {
    return await planSeason(season, now, rates, outlookOf, { ...options, finer: false });
  } catch (error) {
    if (error instanceof SolverFailure) return null;
    throw error;
  }
}

/** The least amount of a way for which the relaxed program gives the birds asked; null if none does. */
async function leastRelaxed(
  { season, now, rates, options }: Asking,
  way: Way,
  asked: readonly number[],
): Promise<number | null> {
  const could = (amount: number) => {
    const changed = way.change(season, amount);
    const base = seasonKeeping(changed, (line) => !(options.replan && line.on >= now.day));
    const problem = seasonProblem(base, now, rates, goalsOf(base), options);
    const needs = problem.goals.map((goal, i) => needOf(problem, rates, goal, asked[i]!));
    return ofRelaxed(problem, needs, (relaxed) => relaxed.couldMeet(needs));
  };
  let high = way.most;
  if (!(await could(high))) return null;
  let low = 0;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (await could(middle)) high = middle;
    else low = middle;
  }
  return high;
}

type Judged = Pick<PlanResult, 'status' | 'goals'>;

interface Least<T> {
  amount: number;
  freed: T;
  /** True if one less was tried in vain. */
  isLeast: boolean;
}

/**
 * The least amount from 1 to `most` whose plan is met; null if none was found. From the guess it goes
 * where the chances point, for what is missing shrinks about evenly with the amount, then by halves.
 */
export async function leastOf<T extends Judged>(
  { most, guess, without }: { most: number; guess: number; without: Judged },
  solve: (amount: number) => Promise<T | null>,
): Promise<Least<T> | null> {
  let best: { amount: number; freed: T } | null = null;
  /** The largest amount that is not met, and by how much; and the one before. */
  let low = { amount: 0, missing: missingOf(without) };
  let before = low;
  let at = guess;
  let down = 1;
  for (let turn = 0; turn < MOST_PLANS; turn++) {
    const plan = await solve(at);
    if (plan !== null && plan.status !== 'infeasible') {
      if (best !== null) down *= 2;
      best = { amount: at, freed: plan };
    } else {
      before = low;
      low = { amount: at, missing: plan ? missingOf(plan) : low.missing };
    }
    const high: number = best?.amount ?? most + 1;
    if (high - low.amount <= 1) break;
    // A good guess is proved by one less; a bad one is left behind in growing steps.
    at =
      low.amount === 0 && best !== null
        ? Math.max(1, high - down)
        : nextAmount(before, low, high, best === null);
  }
  return best && { ...best, isLeast: best.amount - low.amount <= 1 };
}

/** An amount between one that is not met and one that is, or is beyond all. */
function nextAmount(
  before: { amount: number; missing: number },
  low: { amount: number; missing: number },
  high: number,
  isOpen: boolean,
): number {
  const within = (amount: number) => Math.min(high - 1, Math.max(low.amount + 1, amount));
  const slope = (before.missing - low.missing) / (low.amount - before.amount);
  const step = slope > 0 ? Math.ceil(low.missing / slope) : low.amount;
  if (isOpen) return within(low.amount + Math.min(step, 2 * low.amount));
  const middle = (low.amount + high) >> 1;
  return within(slope > 0 ? Math.min(middle, low.amount + step) : middle);
}

/** By how many standard deviations the goals of a plan fall short in all. */
function missingOf({ goals }: Judged): number {
  return goals.reduce(
    (sum, one) => sum + (one.met ? 0 : quantile(one.goal.confidence) - quantile(one.probability)),
    0,
  );
}

/** Standard deviations of a chance, no more than three either way. */
function quantile(chance: number): number {
  const least = 0.001_35;
  return normalQuantile(Math.min(1 - least, Math.max(least, chance)), 0, 1);
}

/** The most birds of a goal that fell short which the season gives with the confidence asked. */
async function fewerBirds(asking: Asking, plan: PlanResult, goal: number): Promise<Instead | null> {
  const { season } = asking;
  const { goal: wanted, expected, sd } = plan.goals[goal]!;
  if (wanted.count < 2) return null;
  const lower = askingLess(season, plan, goal);
  const asksFor = (count: number): Season => ({
    ...lower,
    values: {
      ...lower.values,
      goals: lower.values.goals.map((values, i) => (i === goal ? { ...values, count } : values)),
    },
  });
  // If birds scatter as they do in the nearest plan.
  const had = Math.floor(expected - quantile(wanted.confidence) * sd);
  const most = wanted.count - 1;
  const guess = Math.max(1, Math.min(most, wanted.count - had));
  const least = await leastOf({ most, guess, without: plan }, (fewer) =>
    solve({ ...asking, season: asksFor(wanted.count - fewer) }),
  );
  return least && { goal, count: wanted.count - least.amount, most: least.isLeast };
}
