import { type Goal, stagesOf } from '../facts/goals.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Pen } from '../season/model.ts';

/** Expected birds of a goal from one fresh egg: the product of the means of the chain. */
export function meanRate(rates: FarmRates, goal: Pick<Goal, 'want' | 'at'>, pen: Pen): number {
  const { stages, sex } = stagesOf(goal);
  const female = sex === null ? 1 : rates.rate('female', pen).mean;
  return stages.reduce(
    (product, stage) => product * rates.rate(stage, pen).mean,
    sex === 'male' ? 1 - female : female,
  );
}
