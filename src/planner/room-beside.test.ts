import { expect, test } from 'vitest';
import type { HatchingProblem } from './hatching-model.ts';
import { brokenRules, type Start } from './hatching-schedule.ts';
import { aloneBeside } from './room-beside.ts';

const CHICKENS = 0;
const DUCKS = 1;
const timing = (hatch: number) => ({
  setDays: [0, 5, 9],
  transfer: hatch - 3,
  hatch,
  lastOpening: hatch + 1,
});
const supply = Array.from({ length: 60 }, () => 10);
const source = (kind: number) => ({ name: `pen ${kind}`, kind, supply, maxAge: 7 });

/** One setter of three trays and two hatchers of one class, for hens' and ducks' eggs. */
const problem: HatchingProblem = {
  days: 60,
  sources: [source(CHICKENS), source(DUCKS)],
  kinds: [
    { name: 'chicken', timing: CHICKENS, liveShare: 1 },
    { name: 'duck', timing: DUCKS, liveShare: 1 },
  ],
  timings: [timing(21), timing(28)],
  setters: [{ name: 'cabinet', count: 1, trays: 3, holds: [20, 15], taken: [1] }],
  hatchers: [
    { name: 'lower', count: 2, holds: [60, 40], cleanDays: 2, oneSet: true, taken: [] },
    { name: 'upper', count: 1, holds: [60, 40], cleanDays: 0, oneSet: false, taken: [] },
  ],
  brooding: {
    groups: 2,
    groupOf: [0, 1],
    looks: [
      { name: 'area', week: 5, free: [[9, 9]], awaited: [1, 2], asked: (_, set) => 0.01 * set },
    ],
  },
};
const set = (of: number, day: number, trays: number, hatcher: number): Start => ({
  timing: of,
  day,
  setter: 0,
  hatcher,
  sets: 1,
  trays: [{ kind: of, trays }],
  eggs: [{ source: of, laid: day - 1, eggs: 10 }],
});

test('sets of another calendar take their trays, their hatcher until it is clean, and room for their chicks', () => {
  const beside = aloneBeside(problem, CHICKENS, [set(DUCKS, 5, 2, 0), set(DUCKS, 9, 1, 1)]);
  expect(beside.timings.map(({ setDays }) => setDays)).toEqual([[0, 5, 9], []]);
  const taken = (all: readonly number[]) =>
    all.flatMap((places, day) => (places > 0 ? [[day, places]] : []));
  const days = (from: number, to: number, places: number) =>
    Array.from({ length: to - from }, (_, i) => [from + i, places]);
  expect(taken(beside.setters[0]!.taken)).toEqual([
    [0, 1],
    ...days(5, 9, 2),
    ...days(9, 30, 3),
    ...days(30, 34, 1),
  ]);
  // Moved on day 30, opened for the last time on day 34, clean two days later.
  expect(taken(beside.hatchers[0]!.taken)).toEqual(days(30, 36, 1));
  expect(taken(beside.hatchers[1]!.taken)).toEqual(days(34, 38, 1));
  // Ten eggs set on day 5 and ten on day 9, at a hundredth a day: 0.5 and 0.9.
  const [look] = beside.brooding!.looks;
  expect(look!.awaited[0]).toBe(1);
  expect(look!.awaited[1]).toBeCloseTo(2 + 0.5 + 0.9, 12);
});

test('what fits beside the sets of another calendar fits with them', () => {
  const ducks = [set(DUCKS, 5, 2, 0)];
  const beside = aloneBeside(problem, CHICKENS, ducks);
  let fitting = 0;
  for (const day of [0, 5, 9])
    for (const trays of [1, 2, 3])
      for (const hatcher of [0, 1]) {
        const chickens = [set(CHICKENS, day, trays, hatcher)];
        const fits = brokenRules(beside, chickens).length === 0;
        expect(brokenRules(problem, [...ducks, ...chickens]).length === 0).toBe(fits);
        if (fits) fitting++;
      }
  expect(fitting).toBeGreaterThan(0);
  expect(fitting).toBeLessThan(18);
});
