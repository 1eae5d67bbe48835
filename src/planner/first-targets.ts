/** How many birds a plan must count on before any plan is made. */

import type { PlannedShare } from '../judge/rates/worlds.ts';
import { addDays } from '../text/day.ts';
import { HAIR, needsOf, normal, SAME, type Seeking, Step } from './candidate.ts';
import { setNames } from './plan-lines.ts';
import type { RelaxedEggs } from './relaxed.ts';
import type { SeasonProblem } from './season-problem.ts';

/** Scatter of birds as a share of their number before anything is tried. */
export const USUAL_SCATTER = 0.2;

/** Where not even the relaxed program gives what is asked, so much of it is tried. */
const STINTED = [1, 0.96, 0.92];

/**
 * As many birds of those asked for as the relaxed program can give, or not much less: eggs left over from
 * one set serve the next, so a little more may come than the program counts on. Null where it gives less.
 */
export function withinReach(seeking: Seeking, targets: readonly number[]): number[] | null {
  for (const part of STINTED) {
    const birds = targets.map((one) => one * part);
    if (seeking.relaxed.couldMeet(needsOf(seeking, birds))) return birds;
  }
  return null;
}

/** How often the need is corrected on the relaxed plan. */
const RELAXED_ROUNDS = 4;

/**
 * Birds to be expected for each goal: what the relaxed plan would need, by simulation. Its sets are
 * parts of sets, so the whole plan may need a little more.
 */
export function firstTargets(seeking: Seeking): number[] {
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
