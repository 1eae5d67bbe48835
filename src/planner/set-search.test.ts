import { expect, test } from 'vitest';
import type { HatchingProblem } from './hatching-model.ts';
import { isVeryLargeFarm, onSomeDays } from './set-search.ts';

const MACHINES = 6;

/** Many unlike machines, one pen, sets on some days. */
function farm(setDays: readonly number[], { maxAge = 9, to = 999 } = {}): HatchingProblem {
  const machines = Array.from({ length: MACHINES }, (_, i) => i);
  const rest = { count: 1, taken: [] };
  return {
    days: 1000,
    sources: [{ name: 'north', kind: 0, supply: [], maxAge, to }],
    kinds: [{ name: 'chicken', timing: 0, liveShare: 1 }],
    timings: [{ setDays, transfer: 18, hatch: 21, lastOpening: 22 }],
    setters: machines.map((i) => ({ ...rest, name: `s${i}`, trays: 2, holds: [30 + i] })),
    hatchers: machines.map((i) => ({
      ...rest,
      name: `h${i}`,
      holds: [40 + i],
      cleanDays: 1,
      oneSet: true,
    })),
  };
}

const every = (step: number) => Array.from({ length: 60 }, (_, i) => i * step);
const planned = (problem: HatchingProblem) => onSomeDays(problem).timings[0]!.setDays;

test('a very large farm is planned on every third day, and on the last', () => {
  const problem = farm(every(1));
  expect(isVeryLargeFarm(problem)).toBe(true);
  expect(planned(problem)).toEqual([...every(3).filter((day) => day < 59), 59]);
});

test('sets once a week are planned on every week: eggs would grow too old', () => {
  expect(planned(farm(every(7)))).toEqual(every(7));
});

test('no egg that could be set on some day is too old on the days that stay', () => {
  // Two days and then four days apart.
  const days = every(3)
    .map((day, i) => day * 2 + (i % 2) * -4)
    .filter((day) => day >= 0);
  for (const setDays of [days.sort((a, b) => a - b), every(1), every(2)])
    for (const maxAge of [1, 2, 3, 5, 9]) {
      const kept = planned(farm(setDays, { maxAge }));
      const settable = (on: readonly number[], laid: number) =>
        on.some((day) => laid <= day && day - laid <= maxAge);
      for (let laid = 0; laid <= setDays.at(-1)!; laid++)
        expect(settable(kept, laid), `laid ${laid}, ${maxAge} days`).toBe(settable(setDays, laid));
    }
});

test('the last day on which a pen may be set stays', () => {
  expect(planned(farm(every(1), { to: 31 }))).toContain(31);
});
