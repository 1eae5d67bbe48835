/** What a goal asks of the chain: which stages, by which day, in which pens. */
import type { Line, Pen, Season } from '../../season/model.ts';
import type { GoalValues } from '../../season/schema.ts';
import { addDays, type Day } from '../../text/day.ts';
import { growthDays } from './growth.ts';
import type { Stage } from './stages.ts';

export type Want = GoalValues['want'];
export type At = NonNullable<GoalValues['at']>;

export interface Goal {
  index: number;
  line: Line;
  want: Want;
  at: At;
  by: Day;
  count: number;
  confidence: number;
  /** Days from hatch to the age wanted. */
  ageDays: number;
}

/** The age meant when a goal does not say. */
function usualAt(want: Want): At {
  switch (want) {
    case 'chicks':
      return 'hatch';
    case 'pullets':
      return 'point-of-lay';
    case 'cockerels':
    case 'birds':
      return 'table';
  }
}

/** The goals of a season, with their ages. */
export function goalsOf(season: Season): Goal[] {
  return season.values.goals.map((values, index) => {
    const line = season.lines.get(values.line)!;
    const at = values.at ?? usualAt(values.want);
    return {
      index,
      line,
      want: values.want,
      at,
      by: values.by,
      count: values.count,
      confidence: values.confidence,
      ageDays: ageDaysOf(season, line, at),
    };
  });
}

export function ageDaysOf(season: Season, line: Line, at: At): number {
  const own = season.values.lines[line.name]!;
  switch (at) {
    case 'hatch':
      return 0;
    case 'point-of-lay':
      return own.point_of_lay_days ?? growthDays(line).firstEgg;
    case 'table':
      return growthDays(line).table;
  }
}

/** Stages an egg that is set has still to pass, and whether it must turn out female or male. */
export function stagesOf(goal: Pick<Goal, 'want' | 'at'>): {
  stages: Stage[];
  sex: 'female' | 'male' | null;
} {
  const stages: Stage[] = ['fertile', 'candled', 'transferred', 'hatched', 'sound'];
  if (goal.at !== 'hatch') stages.push('reared');
  const sex = goal.want === 'pullets' ? 'female' : goal.want === 'cockerels' ? 'male' : null;
  return { stages, sex };
}

/** Day on which birds of eggs set on a day are counted for a goal: off the hatcher, or of age. */
export function readyDay(goal: Goal, set: Day): Day {
  const { hatch_day, hatcher_days_after_hatch } = goal.line.species;
  return goal.at === 'hatch'
    ? addDays(set, hatch_day.value + hatcher_days_after_hatch.value)
    : addDays(set, hatch_day.value + goal.ageDays);
}

/** The last day on which eggs can be set for a goal. */
export function lastSetDay(goal: Goal): Day {
  const { hatch_day, hatcher_days_after_hatch } = goal.line.species;
  const after = goal.at === 'hatch' ? hatcher_days_after_hatch.value : goal.ageDays;
  return addDays(goal.by, -(hatch_day.value + after));
}

/** Pens whose eggs serve a goal. */
export function pensOf(season: Season, goal: Goal): Pen[] {
  return [...season.pens.values()].filter((pen) => pen.line === goal.line);
}

/** A goal in words: `40 dorking pullets at point of lay by 2027-10-15`. */
export function goalWords(goal: Goal): string {
  const at = goal.at === 'hatch' ? '' : goal.at === 'table' ? ' for the table' : ' at point of lay';
  return `${goal.count} ${goal.line.name} ${goal.want}${at} by ${goal.by}`;
}
