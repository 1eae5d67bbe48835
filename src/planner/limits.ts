/** Why a plan falls short: the least change of each kind that frees it, and what could be asked instead. */
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, Season } from '../season/model.ts';
import { largest } from '../text/lists.ts';
import { type Effort, Interrupted } from './effort.ts';
import { plannedShares } from './forecast.ts';
import {
  type ClaimResult,
  type PlanOptions,
  type PlanResult,
  plannedLine,
  planSeason,
} from './plan.ts';
import { type Problem, problemOf, seasonKeeping } from './problem.ts';
import { Program } from './program.ts';
import { someDays } from './search.ts';
import { SolverFailure } from './solver.ts';
import { CHANCE_STEP, needsOf, type Outlook } from './tried.ts';
import { type Binding, type Way, waysOut, withClaim } from './ways-out.ts';

/** A change that would free the plan: a plan was made with it. */
export interface Limit {
  /** What binds. */
  limit: Binding;
  /** The change, in words. */
  change: string;
  amount: number;
  /** True if one less was solved and does not do. */
  least: boolean;
  /** Chance of the claim it frees that fell shortest, less what it was. */
  gain: number;
  /** The claims it frees, by their place in the plan: all that fall short, or one of several. */
  frees: number[];
}

/** Fewer birds that could be promised as the season stands. */
export interface Instead {
  /** The claim, by its place in the plan. */
  claim: number;
  count: number;
  /** True if one more was solved and cannot be promised. */
  most: boolean;
}

export interface WaysOut {
  limits: Limit[];
  /** For each claim that falls short, what could be asked instead; none where not even one bird. */
  instead: Instead[];
  /** What was tried, and what was not to the end for the work it takes. */
  tried: Binding[];
  untried: Binding[];
}

export const noWaysOut: WaysOut = { limits: [], instead: [], tried: [], untried: [] };

/** Plans made for one way at most. */
const MOST_PLANS = 4;
/** Ways that stand for each other and of which none frees the plan: so many are solved. */
const MOST_INSTEAD = 3;
/** Other claims that fall short are asked for as often as they are met, less this. */
const LESS = 0.05;
const NEVER = 1e-4;
/** Programs solved for all ways together, in the measure of those that the nearest plan took, and no fewer. */
const WORK = { least: 300, times: 1 };

export interface Asking {
  season: Season;
  now: Now;
  rates: FarmRates;
  outlookOf: (season: Season) => Outlook;
  options: PlanOptions;
}

/**
 * The least changes that would free a plan, one of each kind, smaller ones first, and what could be asked
 * instead. For each way the program in parts finds where to begin; plans, simulated, then show what does.
 * Where several claims fall short, changes of other kinds that free one alone are told for each.
 *
 * @param effort what the nearest plan took
 * @param onFound told of each as it is found
 */
export async function waysOutOf(
  asking: Asking,
  plan: PlanResult,
  effort: Effort,
  onFound: (found: Limit | Instead) => void = () => {},
): Promise<WaysOut> {
  const budget = effort.within(Math.max(WORK.least, WORK.times * effort.solves));
  const search = new WaySearch(asking, plan, budget, onFound);
  try {
    await search.all();
  } catch (error) {
    if (!(error instanceof Interrupted)) throw error;
  }
  return search.found;
}

/** The season with every other claim that falls short asked for no more often than it is met. */
function askingLess(season: Season, claims: readonly ClaimResult[], claim: number): Season {
  return claims.reduce(
    (all, { claim: one, met, probability }, i) =>
      met || i === claim
        ? all
        : withClaim(all, one, { confidence: Math.max(NEVER, probability - LESS) }),
    season,
  );
}

class WaySearch {
  readonly found: WaysOut = { limits: [], instead: [], tried: [], untried: [] };
  /** What could bind the season, smaller changes first. */
  readonly #known: Binding[] = [];
  /** Birds to be expected of claims that fall short, at least. */
  readonly #needed = new Map<number, number>();

  constructor(
    readonly asking: Asking,
    readonly plan: PlanResult,
    readonly effort: Effort,
    readonly onFound: (found: Limit | Instead) => void,
  ) {}

  async all(): Promise<void> {
    const { plan, found } = this;
    const { season } = this.asking;
    const short = plan.claims.flatMap((one, i) => (one.met ? [] : [i]));
    for (const claim of short) await this.fewerBirds(claim);
    await this.ways(season, short, new Set());
    if (short.length < 2) return;
    const kinds = new Set(found.limits.map((one) => one.limit));
    for (const claim of short)
      await this.ways(askingLess(season, plan.claims, claim), [claim], kinds);
  }

  async ways(season: Season, short: readonly number[], known: ReadonlySet<Binding>): Promise<void> {
    const { plan, effort, found } = this;
    const guesses = await this.#guesses(season, short, known);
    const done = new Set<string>();
    for (const [at, { way, guess }] of guesses.entries()) {
      const { limit, instead } = way;
      if (instead !== undefined && done.has(instead)) continue;
      if (instead === 'all' && found.limits.some((one) => one.limit === limit)) continue;
      // A first way that is dear must not leave the others untried.
      const own = effort.part(1 / (guesses.length - at));
      const least = await leastOf(guess, way.most, (n) => this.#solved(way.change(season, n), own));
      if (least === null) {
        if (own.isSpent) this.#leave(limit);
        else this.#end(limit);
        continue;
      }
      if (instead !== undefined) done.add(instead);
      this.#end(limit, true);
      const { amount, plan: freed, isLeast } = least;
      const one: Limit = {
        limit,
        change: way.say(amount, freed),
        amount,
        least: isLeast,
        gain: largest(short.map((i) => freed.claims[i]!.probability - plan.claims[i]!.probability)),
        frees: [...short],
      };
      found.limits.push(one);
      this.onFound(one);
    }
    found.tried.sort((a, b) => this.#known.indexOf(a) - this.#known.indexOf(b));
  }

  /** The ways that may free the claims, each with the amount that would do for sets in parts. */
  async #guesses(
    season: Season,
    short: readonly number[],
    known: ReadonlySet<Binding>,
  ): Promise<{ way: Way; guess: number }[]> {
    const { plan, effort } = this;
    const claims = short.map((i) => plan.claims[i]!.claim);
    const solved = new Map<string, number>();
    const found: { way: Way; guess: number }[] = [];
    for (const way of waysOut(season, this.asking.now, claims)) {
      if (known.has(way.limit)) continue;
      if (!this.#known.includes(way.limit)) this.#known.push(way.limit);
      if (effort.isSpent) {
        this.#leave(way.limit);
        continue;
      }
      if (way.instead !== undefined && (solved.get(way.instead) ?? 0) >= MOST_INSTEAD) continue;
      const guess = await this.#leastInParts(season, way, short);
      if (guess === null) {
        this.#end(way.limit);
        continue;
      }
      if (way.instead !== undefined) solved.set(way.instead, (solved.get(way.instead) ?? 0) + 1);
      found.push({ way, guess });
    }
    return found;
  }

  /** A way of some kind was not gone to its end, and no other of its kind frees the plan. */
  #leave(limit: Binding): void {
    const { limits, tried, untried } = this.found;
    if (limits.some((one) => one.limit === limit)) return;
    if (tried.includes(limit)) tried.splice(tried.indexOf(limit), 1);
    if (!untried.includes(limit)) untried.push(limit);
  }

  /** A way of some kind was gone to its end; one that frees the plan is enough of its kind. */
  #end(limit: Binding, isFound = false): void {
    const { tried, untried } = this.found;
    if (isFound && untried.includes(limit)) untried.splice(untried.indexOf(limit), 1);
    if (!untried.includes(limit) && !tried.includes(limit)) tried.push(limit);
  }

  /** The most birds of a claim that fell short which the nearest plan gives with the confidence asked. */
  async fewerBirds(at: number): Promise<void> {
    const { season, outlookOf } = this.asking;
    const { claims, lines } = this.plan;
    const { claim, expected } = claims[at]!;
    const lower = askingLess(season, claims, at);
    const outlook = outlookOf(this.#base(lower));
    const shares = plannedShares(lines.map((line) => plannedLine(season, line)));
    let low = 0;
    let high = claim.count;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (outlook(shares, [at], middle)[0]!.probability >= claim.confidence - CHANCE_STEP)
        low = middle;
      else high = middle;
    }
    // What lies between those expected and those sure grows at least as a count of birds scatters.
    const beyond = Math.max(0, expected - low) * Math.sqrt(claim.count / Math.max(1, low));
    this.#needed.set(at, claim.count + beyond);
    if (low === 0) return;
    const more =
      low + 1 < claim.count
        ? await this.#solved(withClaim(lower, claim, { count: low + 1 }))
        : null;
    const instead = { claim: at, count: more === null ? low : low + 1, most: more === null };
    this.found.instead.push(instead);
    this.onFound(instead);
  }

  /** The season with the lines that its plan keeps. */
  #base(season: Season): Season {
    const { now, options } = this.asking;
    return seasonKeeping(season, (line) => !(options.replan && line.on >= now.day));
  }

  /** A plan of a changed season that meets every claim; null if none is found. */
  async #solved(season: Season, effort = this.effort): Promise<PlanResult | null> {
    const { now, rates, outlookOf, options } = this.asking;
    if (effort.isSpent) return null;
    try {
      const plan = await planSeason(season, now, rates, outlookOf, {
        ...options,
        aim: 'any',
        effort,
      });
      return plan.status === 'infeasible' ? null : plan;
    } catch (error) {
      if (error instanceof SolverFailure) return null;
      throw error;
    }
  }

  /** The least amount of a way for which sets in parts give the birds needed; null if none does. */
  async #leastInParts(season: Season, way: Way, short: readonly number[]): Promise<number | null> {
    const could = (amount: number) => this.#couldMeet(way.change(season, amount), short);
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

  /** True if sets in parts give what claims that fall short would need, each calendar by itself. */
  async #couldMeet(season: Season, short: readonly number[]): Promise<boolean> {
    const { asking, plan, effort } = this;
    const { now, rates, options } = asking;
    const p = problemOf(this.#base(season), now, rates, options);
    const needs = needsOf(
      p,
      this.#without(p),
      plan.claims.map((_, i) => (short.includes(i) ? this.#needed.get(i)! : 0)),
    );
    for (const c of new Set(short.map((i) => p.wanted[i]!.calendar))) {
      if (c < 0) return false;
      const days = someDays(p.calendars[c]!.setDays);
      const program = await Program.open(p, c, days, [], effort, 'mean');
      try {
        program.ask(needs);
        if (program.fewest(NEARLY_ALL) === null) return false;
      } finally {
        program.close();
      }
    }
    return true;
  }

  /** What claims have without new sets: as in the nearest plan, which tells it apart. */
  #without(p: Problem) {
    return p.wanted.map((_, i) => this.plan.without[i]!);
  }
}

/** Part of a need for which sets in parts make a way worth a plan. */
const NEARLY_ALL = 0.97;

/** The least amount from 1 to `most` that has a plan, sought from a guess; null if none was found. */
export async function leastOf<T>(
  guess: number,
  most: number,
  solve: (amount: number) => Promise<T | null>,
): Promise<{ amount: number; plan: T; isLeast: boolean } | null> {
  let best: { amount: number; plan: T } | null = null;
  let failed = 0;
  let at = guess;
  let step = 1;
  for (let turn = 0; turn < MOST_PLANS; turn++) {
    const plan = await solve(at);
    if (plan === null) failed = Math.max(failed, at);
    else best = { amount: at, plan };
    // A guess of many days is wrong by many.
    if (best === null) step = Math.max(step, Math.round(guess / 4));
    const high: number = best?.amount ?? most + 1;
    if (high - failed <= 1) break;
    // A good guess is proved by one less; a bad one is left behind in growing steps.
    at = best === null ? Math.min(most, failed + step) : Math.max(failed + 1, high - step);
    step *= 2;
  }
  return best && { ...best, isLeast: best.amount - failed <= 1 };
}
