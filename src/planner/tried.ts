/** A plan that is tried: what is asked of it, what it gives, and which of two is better. */

import type { Claim } from '../facts/claims.ts';
import type { PlannedShare } from '../judge/rates/worlds.ts';
import { normalQuantile } from '../judge/statistics/normal.ts';
import { addDays } from '../text/day.ts';
import { largest } from '../text/lists.ts';
import type { Effort } from './effort.ts';
import type { Problem, Start } from './problem.ts';
import type { Need } from './program.ts';
import { eggsIn } from './room.ts';
import { type DrawnEggs, taken } from './store.ts';

/** What a claim may expect: birds of its line, sex and age by its day, after others took theirs. */
export interface ClaimOutlook {
  expected: number;
  sd: number;
  /** Chance of at least the number wanted. */
  probability: number;
  /** Standard error of the chance from the number of draws. */
  error: number;
}

/** What is simulated of a season, over so many draws, with what is recorded and the lines that stay. */
export interface Outlook {
  readonly draws: number;
  /** Of some claims, by `wanted`, with new shares: the chance of so many birds, or of as many as are wanted. */
  (shares: readonly PlannedShare[], wanted: readonly number[], birds?: number): ClaimOutlook[];
  /** Sound chicks expected of each set to come, by name, with new shares. */
  chicksOf(shares: readonly PlannedShare[]): ReadonlyMap<string, number>;
}

/** What is sought: the fewest sets, the fewest eggs, or any sets that meet what is asked. */
export type Aim = 'sets' | 'eggs' | 'any';

/** What stays the same while a plan is sought. */
export interface Seeking {
  p: Problem;
  outlook: Outlook;
  /** Of each claim, without new sets. */
  without: readonly ClaimOutlook[];
  effort: Effort;
  aim: Aim;
}

export interface Tried {
  starts: readonly Start[];
  /** Of the claims asked about, by `wanted`. */
  outlook: ReadonlyMap<number, ClaimOutlook>;
  /** By how much the chances are short together. */
  short: number;
  /** Chicks expected to be lost to storage. */
  loss: number;
}

/** A chance counts as enough from this far below the confidence: the simulation tells no finer steps. */
export const CHANCE_STEP = 0.0005;

/** Where chances are next to nothing, birds missing still tell two plans apart: a share of them counts so much. */
const BIRDS_MISSING = 0.001;

/** By how much a claim's chance is short of the confidence; 0 where it is met. */
function shortOf({ confidence, count }: Claim, { probability, expected }: ClaimOutlook): number {
  const short = confidence - CHANCE_STEP - probability;
  return short <= 0 ? 0 : short + (BIRDS_MISSING * Math.max(0, count - expected)) / count;
}

export function sharesOf(p: Problem, starts: readonly Start[]): PlannedShare[] {
  return starts.flatMap(({ day, eggs }, i) =>
    [...eggs].map(([pool, count]) => ({
      set: `new set ${i}`,
      pen: p.pools[pool]!.pen,
      on: addDays(p.first, day),
      eggs: count,
    })),
  );
}

/** Chicks that storage is expected to take of each set, and the age of its oldest egg. */
export function storageOf(
  p: Problem,
  starts: readonly Start[],
): { loss: number; oldest: number }[] {
  const demands = starts.flatMap(({ day, eggs }, at) =>
    [...eggs].map(([pool, count]) => ({ at, set: '', day, pool, eggs: count })),
  );
  const { drawn } = taken(p.pools, [...p.stays, ...demands]);
  const found = starts.map(() => ({ loss: 0, oldest: 0 }));
  demands.forEach(({ at, pool }, i) => {
    const { ages } = drawn[p.stays.length + i]!;
    const one = found[at]!;
    one.loss += lossOf(p, pool, ages);
    one.oldest = largest([one.oldest, ...ages.map(({ age }) => age)]);
  });
  return found;
}

/** Chicks that storage is expected to take of some eggs of a pool. */
export function lossOf({ pools }: Problem, pool: number, ages: DrawnEggs['ages']): number {
  const { kept, chicks } = pools[pool]!;
  return ages.reduce((sum, { age, eggs }) => sum + eggs * chicks * (1 - kept[age]!), 0);
}

/** What some sets give some claims. */
export function tried(
  p: Problem,
  outlook: Outlook,
  starts: readonly Start[],
  wanted: readonly number[],
): Tried {
  const found = outlook(sharesOf(p, starts), wanted);
  const known = new Map(wanted.map((one, i) => [one, found[i]!]));
  return {
    starts,
    outlook: known,
    short: wanted.reduce((sum, one) => sum + shortOf(p.wanted[one]!.claim, known.get(one)!), 0),
    loss: storageOf(p, starts).reduce((sum, one) => sum + one.loss, 0),
  };
}

export const isMet = ({ short }: Tried): boolean => short <= 0;

/** A difference in storage loss below this many chicks decides nothing, nor such days of steadiness. */
const CHICKS_ALIKE = 0.25;
const DAYS_ALIKE = 3;

/** Days by which the gaps between sets differ from the middle one, in all: steady work has none. */
export function unsteadiness(starts: readonly Pick<Start, 'day'>[]): number {
  const days = [...new Set(starts.map(({ day }) => day))].sort((a, b) => a - b);
  const gaps = days.slice(1).map((day, i) => day - days[i]!);
  const middle = [...gaps].sort((a, b) => a - b)[Math.floor(gaps.length / 2)] ?? 0;
  return gaps.reduce((sum, gap) => sum + Math.abs(gap - middle), 0);
}

/** The aims in their order: shortfall, sets, loss to storage, steady work, an early end, and eggs last. */
export function better(a: Tried, b: Tried): boolean {
  const last = (one: Tried) => one.starts.reduce((most, { day }) => Math.max(most, day), 0);
  const eggs = (one: Tried) => one.starts.reduce((sum, start) => sum + eggsIn(start), 0);
  const aims: [of: (one: Tried) => number, alike: number][] = [
    [({ short }) => short, 1e-9],
    [({ starts }) => starts.length, 0],
    [({ loss }) => loss, CHICKS_ALIKE],
    [({ starts }) => unsteadiness(starts), DAYS_ALIKE],
    [last, 0],
    [eggs, 0],
  ];
  const decides = aims.find(([of, alike]) => Math.abs(of(a) - of(b)) > alike);
  return decides !== undefined && decides[0](a) < decides[0](b);
}

/** What new sets are to give, where so many birds are to be expected of each claim in all; 0 asks nothing. */
export function needsOf(
  p: Problem,
  without: readonly ClaimOutlook[],
  targets: readonly number[],
): Need[] {
  return p.wanted.map(({ claim }, i) => ({
    birds: targets[i] === 0 ? 0 : Math.max(0, targets[i]! - without[i]!.expected),
    takes: Math.max(0, claim.count - without[i]!.expected),
  }));
}

/** Scatter of birds as a share of their number before anything is tried. */
const USUAL_SCATTER = 0.2;

/** Birds to be expected of a claim before anything is tried; 0 where it has them. */
export function firstTarget({ count, confidence }: Claim, without: ClaimOutlook): number {
  if (without.probability >= confidence - CHANCE_STEP) return 0;
  const least = Math.max(0.25, 1 - normal(confidence) * USUAL_SCATTER);
  return Math.max(1, count / least, without.expected + 0.5);
}

/** Birds to be expected for a chance to be what was asked, if they scatter as they do. */
export function birdsNeeded(
  { confidence }: Claim,
  { expected, sd, probability }: ClaimOutlook,
): number {
  return expected - Math.max(0, normal(probability) - normal(confidence)) * sd;
}

/**
 * Where the target should lie for the chance to be the confidence: by the scatter of the birds at first,
 * then by what the last step did to the chance (a secant step on the normal scale).
 */
export class Step {
  #before: { birds: number; z: number } | null = null;

  /** The birds to ask for next, so that the chance lies up to `close` above the confidence. */
  next(claim: Claim, { sd, probability }: ClaimOutlook, birds: number, close: number): number {
    const off = probability - claim.confidence;
    if (off >= -CHANCE_STEP && off <= close) return birds;
    const z = normal(probability);
    const usual = 1 / Math.max(sd, 0.5);
    const found = this.#before ? (z - this.#before.z) / (birds - this.#before.birds) : usual;
    // The chance rises with the birds: flatter slopes are the noise of whole eggs.
    const slope = Number.isFinite(found) ? Math.max(usual / FLATTEST, found) : usual;
    this.#before = { birds, z };
    return Math.max(0.5, birds + (normal(claim.confidence + close / 2) - z) / slope);
  }
}

/** A chance moves with the birds as a normal number's would, or this many times less. */
const FLATTEST = 2;

/** Beyond three standard deviations a chance says nothing more. */
const LEAST_CHANCE = 0.001_35;

/** Standard deviations of a chance, no more than three either way. */
export function normal(chance: number): number {
  return normalQuantile(Math.min(1 - LEAST_CHANCE, Math.max(LEAST_CHANCE, chance)));
}
