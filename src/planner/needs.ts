/** Goals as the program sees them: expected birds an egg, and how many must be expected. */

import { type Goal, lastSetDay, stagesOf } from '../facts/goals.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Pen } from '../season/model.ts';
import { daysBetween } from '../text/day.ts';
import type { SeasonProblem } from './season-problem.ts';

/** A goal with the birds to be expected from new sets. */
export interface Need {
  goal: Goal;
  birds: number;
  /** Birds to be counted on from a fresh egg planned for, by source. */
  rates: readonly number[];
  /** Last day on which its eggs can be set, counted from the season's first. */
  lastSet: number;
}

/** Expected birds of a goal from one fresh egg: the product of the means of the chain. */
export function meanRate(rates: FarmRates, goal: Pick<Goal, 'want' | 'at'>, pen: Pen): number {
  const { stages, sex } = stagesOf(goal);
  const female = sex === null ? 1 : rates.rate('female', pen).mean;
  return stages.reduce(
    (product, stage) => product * rates.rate(stage, pen).mean,
    sex === 'male' ? 1 - female : female,
  );
}

export function needOf(p: SeasonProblem, rates: FarmRates, goal: Goal, birds: number): Need {
  return {
    goal,
    birds,
    rates: p.pens.map((pen, source) =>
      pen.line === goal.line ? p.sure[source]! * meanRate(rates, goal, pen) : 0,
    ),
    lastSet: daysBetween(p.first, lastSetDay(goal)),
  };
}

/** Expected birds of a need from one egg of a source, set on a day of the season at an age. */
export function worthOf(
  p: SeasonProblem,
  need: Need,
  egg: { source: number; set: number; age: number },
): number {
  const rate = need.rates[egg.source]!;
  if (rate === 0 || egg.set > need.lastSet) return 0;
  return rate * p.kept(egg.source, egg.age);
}

/** True if eggs of a timing serve the need. */
export function isServed({ problem }: SeasonProblem, need: Need, timing: number): boolean {
  return problem.sources.some(
    ({ kind }, source) => need.rates[source]! > 0 && problem.kinds[kind]!.timing === timing,
  );
}

/** The needs that eggs of one timing serve; the others ask for nothing. */
export function needsOfTiming(p: SeasonProblem, needs: readonly Need[], timing: number): Need[] {
  return needs.map((need) => (isServed(p, need, timing) ? need : { ...need, birds: 0 }));
}
