import { describe, expect, test } from 'vitest';
import type { HatchingProblem } from './hatching-model.ts';
import { brokenRules, type Start } from './hatching-schedule.ts';

// Fowl of 21 days and ducks of 28, set a week apart, hatch together: after the last day for setting.
const fowl = { setDays: [7], transfer: 18, hatch: 21, lastOpening: 22 };
const duck = { setDays: [0], transfer: 25, hatch: 28, lastOpening: 29 };
const problem: HatchingProblem = {
  days: 8,
  kinds: [
    { name: 'chicken', timing: 0, liveShare: 1 },
    { name: 'duck', timing: 1, liveShare: 1 },
  ],
  timings: [fowl, duck],
  sources: [
    { name: 'north', kind: 0, supply: [0, 0, 0, 0, 0, 30, 30, 0], maxAge: 7 },
    { name: 'pond', kind: 1, supply: [], stored: [{ age: 1, eggs: 40 }], maxAge: 7 },
  ],
  setters: [{ name: 'cabinet', count: 1, trays: 4, holds: [40, 30], taken: [] }],
  hatchers: [{ name: 'lower', count: 1, holds: [40, 20], cleanDays: 1, oneSet: false, taken: [] }],
};
const starts = (chickens: number, ducks: number): Start[] => [
  {
    timing: 1,
    day: 0,
    setter: 0,
    hatcher: 0,
    sets: 1,
    trays: [{ kind: 1, trays: 1 }],
    eggs: [{ source: 1, laid: -1, eggs: ducks }],
  },
  {
    timing: 0,
    day: 7,
    setter: 0,
    hatcher: 0,
    sets: 1,
    trays: [{ kind: 0, trays: 1 }],
    eggs: [{ source: 0, laid: 5, eggs: chickens }],
  },
];
const broken = (change: Partial<HatchingProblem>, of = starts(20, 10)) => [
  ...new Set(
    brokenRules({ ...problem, ...change }, of).map((rule) => rule.replace(/^day \d+: /, '')),
  ),
];

describe('rules of the machines, also beyond the last day for setting', () => {
  test('half the room for each is room for both, an egg more is not', () => {
    expect(broken({})).toEqual([]);
    expect(broken({}, starts(21, 10))).toEqual(['too many eggs in lower']);
    expect(broken({}, starts(20, 11))).toEqual(['too many eggs in lower']);
  });

  test('a hatcher for one set at a time does not take both', () => {
    const [lower] = problem.hatchers;
    expect(broken({ hatchers: [{ ...lower!, oneSet: true }] })).toEqual(['2 sets in lower']);
    expect(broken({ hatchers: [{ ...lower!, oneSet: true, count: 2 }] })).toEqual([]);
  });

  test('nor does one that is taken on one of the days, or where they hatch on two', () => {
    const [lower] = problem.hatchers;
    const taken = Array.from({ length: 30 }, (_, day) => (day === 28 ? 1 : 0));
    expect(broken({ hatchers: [{ ...lower!, taken }] })).toEqual(['different hatch days in lower']);
    expect(broken({ timings: [{ ...fowl, hatch: 20 }, duck] })).toEqual([
      'different hatch days in lower',
    ]);
  });

  test('trays are taken until the transfer', () => {
    const [cabinet] = problem.setters;
    const taken = (day: number) => Array.from({ length: 40 }, (_, d) => (d === day ? 3 : 0));
    // Both sets lie in the trays to day 24; that morning the last are moved.
    expect(broken({ setters: [{ ...cabinet!, taken: taken(24) }] })).toEqual([
      '5 trays of cabinet in use, 4 there',
    ]);
    expect(broken({ setters: [{ ...cabinet!, taken: taken(25) }] })).toEqual([]);
  });

  test('a set after the last day for setting is outside the season', () => {
    expect(broken({ days: 7 })).toEqual(['outside the season']);
  });
});
