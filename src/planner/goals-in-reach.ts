/** Which goals there is still something to plan for, and what is wrong with the others. */

import { goalFaults } from '../facts/checks/goals.ts';
import { goalsOf, goalWords } from '../facts/goals.ts';
import type { Now, Season } from '../season/model.ts';
import type { Fault } from '../text/fault.ts';

export interface GoalsInReach {
  /** The season with the goals that can be planned for. */
  season: Season;
  faults: Fault[];
  /** Sentences about goals left out that are no fault: their time is over. */
  left: string[];
}

/** Leaves out the goals whose day is past and those that are faulty. */
export function goalsInReach(season: Season, now: Now): GoalsInReach {
  const faults = goalFaults({ season, now });
  const left: string[] = [];
  const placed = ({ line, column }: { line: number; column: number }) => `${line}:${column}`;
  const wrong = new Set(
    faults.filter((one) => one.severity === 'error').map((one) => placed(one.at)),
  );
  const goals = goalsOf(season).filter((goal) => {
    if (wrong.has(placed(goal.place))) return false;
    if (goal.by >= now.day) return true;
    left.push(`${goalWords(goal)}: the day is past; left out`);
    return false;
  });
  return {
    season: {
      ...season,
      values: { ...season.values, goals: goals.map((goal) => season.values.goals[goal.index]!) },
    },
    faults,
    left,
  };
}
