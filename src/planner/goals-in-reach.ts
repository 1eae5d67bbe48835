/** Which goals and orders there is still something to plan for, and what is wrong with the others. */

import { goalFaults } from '../facts/checks/goals.ts';
import { type Claim, claimsOf, claimWords } from '../facts/claims.ts';
import type { Now, Season } from '../season/model.ts';
import type { Fault } from '../text/fault.ts';

export interface GoalsInReach {
  /** The season with the goals and orders that can be planned for. */
  season: Season;
  faults: Fault[];
  /** Sentences about those left out that are no fault: their time is over. */
  left: string[];
}

/** Leaves out goals and orders whose day is past, and goals that are faulty. */
export function goalsInReach(season: Season, now: Now): GoalsInReach {
  const faults = goalFaults({ season, now });
  const left: string[] = [];
  const placed = ({ line, column }: { line: number; column: number }) => `${line}:${column}`;
  const wrong = new Set(
    faults.filter((one) => one.severity === 'error').map((one) => placed(one.at)),
  );
  const out = claimsOf(season).filter((claim) => {
    if (claim.kind === 'goal' && wrong.has(placed(claim.place))) return true;
    if (claim.by >= now.day) return false;
    left.push(`${claimWords(claim)}: the day is past; left out`);
    return true;
  });
  const stays = (kind: Claim['kind']) => (_: unknown, index: number) =>
    !out.some((claim) => claim.kind === kind && claim.index === index);
  const { goals, orders } = season.values;
  return {
    season: {
      ...season,
      values: {
        ...season.values,
        goals: goals.filter(stays('goal')),
        orders: orders.filter(stays('order')),
      },
    },
    faults,
    left,
  };
}
