import type { GoalValues } from '../../season/schema.ts';
import type { Stage } from './stages.ts';

export type Want = GoalValues['want'];
export type At = NonNullable<GoalValues['at']>;

/** Stages an egg that is set has still to pass, and whether it must turn out female or male. */
export function stagesOf(goal: { readonly want: Want; readonly at: At }): {
  stages: Stage[];
  sex: 'female' | 'male' | null;
} {
  const stages: Stage[] = ['fertile', 'candled', 'transferred', 'hatched', 'sound'];
  if (goal.at !== 'hatch') stages.push('reared');
  const sex = goal.want === 'pullets' ? 'female' : goal.want === 'cockerels' ? 'male' : null;
  return { stages, sex };
}
