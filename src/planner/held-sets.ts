/** Sets that are held: the eggs that just reach the confidence asked. */

import {
  type Asking,
  better,
  type Candidate,
  isMet,
  needsOf,
  outlookOfLines,
  SAME,
  type Seeking,
  Step,
  shortIn,
} from './candidate.ts';
import { EGG_SLACK, EggSharing } from './egg-shares.ts';
import type { Start } from './hatching-schedule.ts';
import { NoPlace, planLines } from './plan-lines.ts';
import type { SeasonProblem } from './season-problem.ts';
import { isAt, type Search, setsIn } from './set-search.ts';

/** Chances short of what is asked that come this much nearer in one correction are worth another. */
const LESS_SHORT = 0.003;

/** A chance this far above what is asked is more than another goal that is short of eggs should do without. */
const SPARE = 0.002;

/** How often the need is corrected with the sets held. */
const EGG_ROUNDS = 6;

interface Held {
  best: Candidate;
  /** What would be asked for next. */
  targets: number[];
}

/** With the sets held: the eggs that just reach the confidence asked, and the targets that ask it. */
export async function holdSets(
  seeking: Asking,
  search: Search,
  from: readonly number[],
): Promise<Held> {
  const { problem, chickRates } = seeking;
  const sharing = await EggSharing.open(problem, needsOf(seeking, from), search, chickRates);
  try {
    return await corrected(seeking, search, from, sharing);
  } finally {
    sharing.close();
  }
}

async function corrected(
  seeking: Asking,
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
    const isLacking = goals.some((result, i) => isShort[i] && !result.met);
    const hasSpare = goals.map(
      (result, i) => given[i]! > 0 && result.probability > result.goal.confidence + SPARE,
    );
    // Where all eggs are in use, to ask for more takes them from other goals: from those with some to spare.
    const canGive = isLacking && hasSpare.some(Boolean);
    const next = goals.map((result, i) => {
      if (targets[i] === 0 && result.met) return 0;
      if (isShort[i] && !result.met && !canGive) return given[i]!;
      return steps[i]!.next(result, given[i]!, isLacking && hasSpare[i] ? SPARE : undefined);
    });
    const same = next.every((birds, i) => Math.abs(birds - targets[i]!) < SAME / 2);
    const stuck = goals.every((result, i) => result.met || isShort[i]) && !canGive;
    targets = next;
    const short = shortIn(candidate);
    const isWorse = short > 0 && short > before - LESS_SHORT;
    before = short;
    if (isWorse) break;
    if (same || (isShort.some(Boolean) && stuck)) break;
  }
  return { best: best!, targets };
}

/** The eggs of sets for so many birds, with what is missing of each. */
async function shared(
  seeking: Asking,
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
    starts,
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
export async function thrifty(seeking: Asking, found: Candidate): Promise<Candidate> {
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

/** Null where the sets have no place in the machines: one tray less is offered there from now on. */
export async function placedOrNot<T>(seeking: Seeking, work: () => Promise<T>): Promise<T | null> {
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

/** Trays that are free in sum but lie in several setters: one less is offered on those days. */
export function withoutOneTray({ problem }: SeasonProblem, { setter, day, days }: NoPlace): void {
  const taken = problem.setters[setter]!.taken as number[];
  for (let d = 0; d < day + days; d++) taken[d] = (taken[d] ?? 0) + (d < day ? 0 : 1);
}
