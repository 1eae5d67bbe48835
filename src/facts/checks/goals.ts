import { type Fault, fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { goalsOf, goalWords, lastSetDay, pensOf, readyDay } from '../goals.ts';
import { openPlan } from '../hatch-time.ts';
import type { Checked } from './check.ts';

/** `goal-out-of-reach`, `pen-without-hens`: goals that no set can serve, as they stand on a day. */
export const goalFaults = gathered(function* ({ season, now }: Checked): Generator<Fault> {
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
    const words = goalWords(goal);
    // With sets that may still give the birds, the goal is the season's to judge.
    if (!serving && by < now.day)
      yield fault(
        'goal-out-of-reach',
        goal.place,
        `${words}: the day is past, and nothing was set for it`,
        { hint: `give by a day after ${now.day}, or take the goal out` },
      );
    else if (!serving && last < now.day)
      yield fault(
        'goal-out-of-reach',
        goal.place,
        `${words}: eggs for it had to be set by ${last}`,
        {
          hint: `${line.species.hatch_day.value} days to hatch${goal.ageDays > 0 ? ` and ${goal.ageDays} of rearing` : ''}: give a later day under by, or buy started birds`,
        },
      );
    const pens = pensOf(season, goal);
    if (pens.some((pen) => pen.hens > 0 || pen.bought !== null)) continue;
    const [empty] = pens;
    yield fault(
      'pen-without-hens',
      goal.place,
      empty
        ? `${empty.name}: no hens, and ${words} are wanted`
        : `${words}: no pen holds ${line.name}`,
      {
        pen: empty?.name,
        severity: serving ? 'warning' : 'error',
        hint: empty ? 'say how many under hens' : `add a pen with line: ${line.name}`,
      },
    );
  }
});
