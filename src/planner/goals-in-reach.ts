/** Which goals and orders there is still something to plan for, and what is wrong with the others. */

import { goalFaults } from '../facts/checks/goals.ts';
import { type Claim, claimsOf, claimWords } from '../facts/claims.ts';
import type { Now, Season } from '../season/model.ts';
import type { Day } from '../text/day.ts';
import type { Fault } from '../text/fault.ts';

export interface GoalsInReach {
  /** The season without faulty goals; what is past keeps its birds from others, and asks for nothing. */
  season: Season;
  faults: Fault[];
  /** Sentences about those that are past. */
  left: string[];
  /** True where nothing is asked for. */
  isEmpty: boolean;
}

/** A goal or order whose day is past is as sure as anybody asks. */
const ASKS_NOTHING = 0;

/** True if a claim still asks for birds. */
export const isAsked = ({ confidence }: Pick<Claim, 'confidence'>): boolean =>
  confidence > ASKS_NOTHING;

/** Leaves out faulty goals, and lets those goals and orders whose day is past ask for nothing. */
export function goalsInReach(season: Season, now: Now): GoalsInReach {
  const faults = goalFaults({ season, now });
  const placed = ({ line, column }: { line: number; column: number }) => `${line}:${column}`;
  const wrong = new Set(
    faults.filter((one) => one.severity === 'error').map((one) => placed(one.at)),
  );
  const claims = claimsOf(season).filter(
    ({ kind, place }) => kind === 'order' || !wrong.has(placed(place)),
  );
  const isPast = ({ by }: { by: Day }) => by < now.day;
  const settled = <C extends { by: Day; confidence: number }>(one: C): C =>
    isPast(one) ? { ...one, confidence: ASKS_NOTHING } : one;
  const { goals, orders } = season.values;
  const kept = new Set(claims.flatMap(({ kind, index }) => (kind === 'goal' ? [index] : [])));
  return {
    season: {
      ...season,
      values: {
        ...season.values,
        goals: goals.filter((_, index) => kept.has(index)).map(settled),
        orders: orders.map(settled),
      },
    },
    faults,
    left: claims.filter(isPast).map((one) => `${claimWords(one)}: the day is past; left out`),
    isEmpty: claims.every(isPast),
  };
}
