import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { addDays, numberOfDay } from '../text/day.ts';
import {
  drawnStore,
  eggsToCome,
  type HeldEggs,
  plannedDraws,
  storedEggs,
  takeFreshest,
  takeOldest,
} from './egg-store.ts';

/** Ten eggs a day from day 0 to day 12. */
const store = (): HeldEggs[] => Array.from({ length: 13 }, (_, laid) => ({ laid, left: 10 }));
const taken = (result: ReturnType<typeof takeFreshest>) =>
  result.taken.map(({ age, eggs }) => [age, eggs]);

describe('which eggs a set takes', () => {
  test('the freshest, and of the last lot as many as are wanted', () => {
    const held = store();
    const result = takeFreshest(held, { on: 12, eggs: 25, maxAge: 8 });
    expect(taken(result)).toEqual([
      [0, 10],
      [1, 10],
      [2, 5],
    ]);
    expect(result.missing).toBe(0);
    expect(held.map((lot) => lot.left)).toEqual([...new Array(10).fill(10), 5, 0, 0]);
  });

  test.each([
    [7, 80, 20],
    [8, 90, 10],
    [9, 100, 0],
  ])('with a limit of %i days it finds %i of 100, and %i are missing', (maxAge, there, missing) => {
    const result = takeFreshest(store(), { on: 12, eggs: 100, maxAge });
    expect(result.taken.reduce((sum, lot) => sum + lot.eggs, 0)).toBe(there);
    expect(result.missing).toBe(missing);
    expect(result.taken.at(-1)!.age).toBe(maxAge);
  });

  test('no egg that is still to be laid', () => {
    expect(taken(takeFreshest(store(), { on: 0, eggs: 12, maxAge: 8 }))).toEqual([[0, 10]]);
  });

  test.each([
    [
      4,
      5,
      [
        [7, 10],
        [8, 10],
      ],
    ],
    [4, 4, [[8, 10]]],
    [
      null,
      3,
      [
        [9, 10],
        [10, 10],
        [11, 5],
      ],
    ],
    [
      11,
      null,
      [
        [0, 10],
        [1, 10],
      ],
    ],
  ] as const)('laid from day %s to day %s, both within', (from, to, expected) => {
    const asked = { on: 12, eggs: 25, maxAge: 99, from, to };
    expect(taken(takeFreshest(store(), asked))).toEqual(expected);
  });

  test('none, of none, one of one', () => {
    expect(takeFreshest([], { on: 3, eggs: 2, maxAge: 8 })).toEqual({ taken: [], missing: 2 });
    expect(takeFreshest(store(), { on: 3, eggs: 0, maxAge: 8 })).toEqual({ taken: [], missing: 0 });
    expect(takeFreshest([{ laid: 3, left: 1 }], { on: 3, eggs: 1, maxAge: 0 })).toEqual({
      taken: [{ laid: 3, age: 0, eggs: 1 }],
      missing: 0,
    });
  });

  test('what is sold or eaten goes the other way round', () => {
    expect(taken(takeOldest(store(), { on: 12, eggs: 15, maxAge: 99 }))).toEqual([
      [12, 10],
      [11, 5],
    ]);
  });

  test('no younger egg stays while an older one is taken', () => {
    const lots = fc
      .array(fc.integer({ min: 0, max: 9 }), { minLength: 1, maxLength: 20 })
      .map((eggs) => eggs.map((left, laid): HeldEggs => ({ laid, left })));
    const asked = fc.record({
      on: fc.integer({ min: 0, max: 22 }),
      eggs: fc.integer({ min: 0, max: 60 }),
      maxAge: fc.integer({ min: 0, max: 12 }),
    });
    fc.assert(
      fc.property(lots, asked, (held, ask) => {
        const before = held.reduce((sum, lot) => sum + lot.left, 0);
        const result = takeFreshest(held, ask);
        const eggs = result.taken.reduce((sum, lot) => sum + lot.eggs, 0);
        expect(eggs + result.missing).toBe(ask.eggs);
        expect(before - held.reduce((sum, lot) => sum + lot.left, 0)).toBe(eggs);
        for (const one of result.taken) {
          expect(one.eggs).toBeGreaterThan(0);
          expect(one.age).toBeLessThanOrEqual(ask.maxAge);
          for (const lot of held)
            if (lot.laid > one.laid && lot.laid <= ask.on) expect(lot.left).toBe(0);
        }
        if (result.missing > 0)
          for (const lot of held)
            if (lot.laid <= ask.on && ask.on - lot.laid <= ask.maxAge) expect(lot.left).toBe(0);
      }),
    );
  });
});

const kept = (from: string, days: number, eggs: number): Written[] =>
  Array.from({ length: days }, (_, index) => [
    'eggs',
    addDays(day(from), index),
    { pen: 'orchard', kept: eggs },
  ]);

test('the store of a day: settable to the last day of storage, then too old; none before it is laid', () => {
  const season = seasonOf(hill, kept('2027-03-01', 1, 6));
  const on = (text: string) => {
    const { settable, tooOld } = storedEggs(season, day(text));
    return [settable.map((lot) => lot.age), tooOld.map((lot) => lot.age)];
  };
  expect(on('2027-02-28')).toEqual([[], []]);
  expect(on('2027-03-01')).toEqual([[0], []]);
  expect(on('2027-03-09')).toEqual([[8], []]);
  expect(on('2027-03-10')).toEqual([[], [9]]);
});

test('the store is in order of day and pen, whatever order it is written in', () => {
  const on = (text: string, pen: string, eggs: number) => ({ pen, laid: day(text), kept: eggs });
  const { lots, draws } = drawnStore(
    [
      on('2027-03-03', 'yard', 2),
      on('2027-03-01', 'yard', 5),
      on('2027-03-03', 'orchard', 4),
      on('2027-03-02', 'yard', 1),
      on('2027-03-01', 'yard', 1),
      on('2027-03-04', 'orchard', 7),
    ],
    [
      { pen: 'yard', on: day('2027-03-03'), eggs: 4, from: null, to: null },
      { pen: 'yard', on: day('2027-03-03'), eggs: 1, from: null, to: null, oldestFirst: true },
      { pen: 'orchard', on: day('2027-03-04'), eggs: 5, from: day('2027-03-04'), to: null },
      { pen: 'nowhere', on: day('2027-03-04'), eggs: 3, from: null, to: null },
    ],
  );
  expect(lots).toEqual([
    { pen: 'yard', laid: '2027-03-01', kept: 6, left: 4 },
    { pen: 'yard', laid: '2027-03-02', kept: 1, left: 0 },
    { pen: 'orchard', laid: '2027-03-03', kept: 4, left: 4 },
    { pen: 'yard', laid: '2027-03-03', kept: 2, left: 0 },
    { pen: 'orchard', laid: '2027-03-04', kept: 7, left: 2 },
  ]);
  expect(draws.map((one) => [one.drawn.map((lot) => [lot.age, lot.eggs]), one.missing])).toEqual([
    [
      [
        [2, 1],
        [1, 1],
        [0, 2],
      ],
      0,
    ],
    [[[2, 1]], 0],
    [[[0, 5]], 0],
    [[], 3],
  ]);
});

test('what is drawn is not in store any more', () => {
  const season = seasonOf(hill, [
    ...kept('2027-03-01', 1, 6),
    ['set', '2027-03-02', { set: 'A1', pen: 'orchard', tray: 1, eggs: 6 }],
  ]);
  expect(storedEggs(season, day('2027-03-03'))).toEqual({ settable: [], tooOld: [] });
});

describe('eggs still to be laid', () => {
  test('stand behind those of this pen that are in store, and no others', () => {
    const season = seasonOf(hill, [
      ['eggs', '2027-03-04', { pen: 'yard', kept: 9 }],
      ['eggs', '2027-03-05', { pen: 'orchard', kept: 6 }],
      ['eggs', '2027-03-06', { pen: 'orchard', kept: 2 }],
      ['eggs', '2027-03-07', { pen: 'orchard', kept: 5 }],
      ['set', '2027-03-05', { set: 'A1', pen: 'orchard', tray: 1, eggs: 6 }],
    ]);
    const until = (last: string, eggs: number) =>
      eggsToCome(season, 'orchard', day('2027-03-06'), day(last), () => eggs);
    expect(until('2027-03-06', 3)).toEqual([{ laid: numberOfDay(day('2027-03-06')), left: 2 }]);
    // A third of an egg a day is one egg on the third.
    expect(until('2027-03-09', 1 / 3).slice(1)).toEqual([
      { laid: numberOfDay(day('2027-03-09')), left: 1 },
    ]);
  });

  test('reach a set that is planned alone, and nothing is drawn where none is planned', () => {
    const alone = `${hill}plan:\n  - {set: A1, on: 2027-03-10, trays: [1], shares: {orchard: 8}}\n`;
    const missing = (today: string) =>
      plannedDraws(seasonOf(alone), day(today), () => 2).map((one) => one.missing);
    expect(missing('2027-03-06')).toEqual([0]);
    expect(missing('2027-03-07')).toEqual([2]);
    // A line whose day is past draws nothing.
    expect(missing('2027-03-11')).toEqual([]);
    expect(plannedDraws(seasonOf(hill), day('2027-03-06'), () => 2)).toEqual([]);
  });

  test('are whole, never more in sum than expected, and none on the day itself', () => {
    const season = seasonOf(hill, kept('2027-03-05', 1, 6));
    const held = eggsToCome(season, 'orchard', day('2027-03-06'), day('2027-03-16'), () => 2.5);
    expect(held.map((lot) => lot.left)).toEqual([6, 2, 3, 2, 3, 2, 3, 2, 3, 2, 3]);
    expect(held[1]!.laid).toBe(numberOfDay(day('2027-03-07')));
  });

  test('are none before the pen is ready and none once it is parted', () => {
    const parted = hill.replace(
      'males: 1, joined: 2027-01-30}\n  yard',
      'males: 1, joined: 2027-03-01, parted: 2027-03-10}\n  yard',
    );
    const held = eggsToCome(
      seasonOf(parted),
      'orchard',
      day('2027-03-01'),
      day('2027-03-20'),
      () => 1,
    );
    // Seven days to good fertility (seeds/species.yaml): the 8th and the 9th.
    expect(held.map((lot) => lot.laid)).toEqual(
      ['2027-03-08', '2027-03-09'].map((one) => numberOfDay(day(one))),
    );
  });

  test('go to planned sets by the same rule, in order of their days', () => {
    const plan = `${hill}plan:
  - {set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 30}}
  - {set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 20}}
`;
    const season = seasonOf(plan, kept('2027-03-01', 5, 5));
    const draws = plannedDraws(season, day('2027-03-05'), () => 3);
    // A1 takes the 3 of the 6th and 17 kept; A2 finds 3 a day of the 7th to the 13th.
    expect(draws.map((one) => [one.set, one.missing])).toEqual([
      ['A1', 0],
      ['A2', 9],
    ]);
    expect(draws[0]!.drawn.map(({ age, eggs }) => [age, eggs])).toEqual([
      [4, 2],
      [3, 5],
      [2, 5],
      [1, 5],
      [0, 3],
    ]);
    expect(draws[1]!.drawn.reduce((sum, one) => sum + one.eggs, 0)).toBe(21);
  });

  test('bought in are there from the day they come, as old as the road made them', () => {
    const bought = (eggs: string) =>
      hill
        .replace(
          '  yard:',
          `  bought: {line: sussex, bought: {from: a friend, on: 2027-03-10, ${eggs}road_days: 2, days_old: 3}}\n  yard:`,
        )
        .concat(
          `plan:\n  - {set: A1, on: 2027-03-09, trays: [1], shares: {bought: 5}}\n  - {set: A2, on: 2027-03-10, trays: [2], shares: {bought: 12}}\n`,
        );
    const missing = (yaml: string, today: string) =>
      plannedDraws(seasonOf(yaml), day(today), () => 0).map((one) => [one.set, one.missing]);
    expect(missing(bought('eggs: 10, '), '2027-03-01')).toEqual([
      ['A1', 5],
      ['A2', 2],
    ]);
    expect(missing(bought(''), '2027-03-01')).toEqual([
      ['A1', 5],
      ['A2', 0],
    ]);
    // On the day itself they count once they are written down.
    expect(missing(bought('eggs: 10, '), '2027-03-10')).toEqual([['A2', 12]]);
    const [, second] = plannedDraws(seasonOf(bought('eggs: 12, ')), day('2027-03-01'), () => 0);
    expect(second!.drawn).toEqual([{ laid: '2027-03-05', age: 5, eggs: 12 }]);
  });
});
