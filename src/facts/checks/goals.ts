import type { Now, Season } from '../../season/model.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { goalsOf, goalWords, lastSetDay, pensOf, readyDay } from '../goals.ts';
import { openPlan } from '../hatch-time.ts';
import type { Check } from './check.ts';

/** What is wrong with the goals as they stand on a day. */
export function goalFaults(season: Season, now: Now): Fault[] {
  const faults: Fault[] = [];
  for (const goal of goalsOf(season)) {
    const { line, by } = goal;
    const serving = [
      ...[...season.sets.values()].flatMap((set) =>
        set.shares.map((share) => ({ line: share.pen.line, on: share.on.day })),
      ),
      ...openPlan(season).flatMap((set) =>
        set.shares.map((share) => ({ line: share.pen.line, on: set.on })),
      ),
    ].some((one) => one.line === line && readyDay(goal, one.on) <= by);
    const last = lastSetDay(goal);
    // With sets that may still give the birds, the goal is the season's to judge.
    if (!serving && by < now.day)
      faults.push(
        fault(
          'goal-out-of-reach',
          goal.place,
          `${goalWords(goal)}: the day is past, and nothing was set for it`,
          {
            hint: `give by a day after ${now.day}, or take the goal out`,
          },
        ),
      );
    else if (!serving && last < now.day)
      faults.push(
        fault(
          'goal-out-of-reach',
          goal.place,
          `${goalWords(goal)}: eggs for it had to be set by ${last}`,
          {
            hint: `${line.species.hatch_day.value} days to hatch${goal.ageDays > 0 ? ` and ${goal.ageDays} of rearing` : ''}: give a later day under by, or buy started birds`,
          },
        ),
      );
    const pens = pensOf(season, goal);
    if (pens.length > 0 && pens.some((pen) => pen.hens > 0 || pen.bought !== null)) continue;
    const [empty] = pens;
    faults.push(
      fault(
        'pen-without-hens',
        goal.place,
        empty
          ? `${empty.name}: no hens, and ${goalWords(goal)} are wanted`
          : `${goalWords(goal)}: no pen holds ${line.name}`,
        {
          pen: empty?.name,
          severity: serving ? 'warning' : 'error',
          hint: empty ? 'say how many under hens' : `add a pen with line: ${line.name}`,
        },
      ),
    );
  }
  return faults;
}

/** `goal-out-of-reach`, `pen-without-hens`: goals that no set can serve. */
export const goalsCanBeMet: Check = ({ season, now }) => goalFaults(season, now);
