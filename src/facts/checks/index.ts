import type { Now, Season } from '../../season/model.ts';
import { type Fault, inOrder } from '../../text/fault.ts';
import type { Expected } from '../expected.ts';
import { reasonsAgainst } from '../feasible/feasible.ts';
import { outOfBalance } from './balance.ts';
import { birdsInOrder } from './birds.ts';
import { brooderChecks } from './brooders.ts';
import type { Check } from './check.ts';
import { goalFaults } from './goals.ts';
import { likelyChecks } from './likely.ts';
import { orderOfEvents } from './order.ts';
import { penChecks } from './pens.ts';
import { impossibleReading } from './readings.ts';
import { withdrawal } from './treatments.ts';
import { twinRows } from './twins.ts';

/**
 * Every rule of the season but what `feasible` asks. A new one is a function in the list of its file,
 * and a code in `text/fault.ts`.
 */
const checks: readonly Check[] = [
  ...penChecks,
  outOfBalance,
  orderOfEvents,
  ...brooderChecks,
  withdrawal,
  birdsInOrder,
  goalFaults,
  twinRows,
  ...likelyChecks,
  impossibleReading,
];

/**
 * Every conflict of a season, recorded and planned, in the order of the files, but those accepted.
 * @param expected what is expected of what is not recorded yet; null to ask only what is recorded
 */
export function conflictsOf(season: Season, now: Now, expected: Expected | null = null): Fault[] {
  return judged(season, now, expected).open;
}

/** The conflicts of a season: those open, and those that an acceptance settles. */
export function judged(
  season: Season,
  now: Now,
  expected: Expected | null = null,
): { open: Fault[]; accepted: Fault[] } {
  const all = inOrder([
    ...reasonsAgainst(season, now, expected),
    ...checks.flatMap((check) => check({ season, now })),
  ]);
  const settled = new Set(
    season.rows.acceptance.map(({ values }) => JSON.stringify([values.code, values.about])),
  );
  const isSettled = (one: Fault) => settled.has(JSON.stringify([one.code, one.about]));
  return { open: all.filter((one) => !isSettled(one)), accepted: all.filter(isSettled) };
}
