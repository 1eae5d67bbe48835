import { describe, expect, test } from 'vitest';
import { hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { looksOf } from './looks.ts';
import { imbalancesOf, missingOf, totalKnown } from './tally.ts';

const life = (...rows: Written[]) =>
  seasonOf(hill, [
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
    ...rows,
  ]).sets.get('A1')!.shares[0]!;
const candled = (cells: object): Written => ['candling', '2027-03-13', { set: 'A1', ...cells }];
const moved = (cells: object): Written => ['transfer', '2027-03-24', { set: 'A1', ...cells }];
const hatched = (cells: object): Written => ['hatch', '2027-03-27', { set: 'A1', ...cells }];
const final = { final: 'yes' };
const steps = (...rows: Written[]) =>
  imbalancesOf(life(...rows)).map((one) => [one.step, one.eggs]);

test('both looks are summed, and each is known apart', () => {
  const { tally } = life(
    candled({ clear: 2, quit: 1, cracked: 1, rotten: 1, doubtful: 4 }),
    candled({ clear: 1, doubtful: 2 }),
    moved({ moved: 10, clear: 1, quit: 1, cracked: 1, rotten: 1 }),
    hatched({ hatched: 7, weak: 2, dead: 1 }),
    hatched({ hatched: 0, pipped: 1, unpipped: 1, ...final }),
  );
  expect(tally).toMatchObject({
    eggs: 20,
    clear: 4,
    quit: 2,
    cracked: 2,
    rotten: 2,
    at: { candling: { clear: 3, all: 6 }, transfer: { clear: 1, all: 4 } },
    doubtful: 2,
    moved: 10,
    wentIn: 10,
    hatched: 7,
    emerged: 8,
    sound: 5,
    cameOut: 10,
    left: 0,
    missingAtTransfer: 0,
    missingAtHatch: 0,
  });
});

test('nothing written is not zero', () => {
  const { tally } = life();
  expect(tally).toMatchObject({ moved: null, hatched: null, wentIn: 20, left: 20 });
  expect([tally.missingAtTransfer, tally.missingAtHatch]).toEqual([null, null]);
  // All taken out is not too many taken out.
  expect(life(candled({ clear: 20 })).tally.missingAtTransfer).toBeNull();
  expect(totalKnown([null, 3, null, 0], (one) => one)).toBe(3);
  expect(totalKnown([null], (one) => one)).toBeNull();
});

test.each([
  [19, false, []],
  [20, false, []],
  [21, false, [['hatch', -1]]],
  [19, true, [['hatch', 1]]],
  [20, true, []],
  [21, true, [['hatch', -1]]],
])(
  '%i of twenty hatched where no transfer was written, closed: %s',
  (chicks, isClosed, expected) => {
    const rows = [hatched({ hatched: chicks, ...(isClosed ? final : {}) })];
    expect(steps(...rows)).toEqual(expected);
    if (expected.length > 0)
      expect(imbalancesOf(life(...rows))[0]!.counts).toBe(
        `20 in the setter, ${chicks} hatched, 0 dead, 0 pipped, 0 unpipped`,
      );
  },
);

describe('a step that does not balance: one egg short, even, one too many', () => {
  test.each([
    [19, []],
    [20, []],
    [21, [['candling', -1]]],
  ])('%i clear of 20 set', (clear, expected) => {
    expect(steps(candled({ clear }))).toEqual(expected);
  });

  test.each([
    [14, [['transfer', 1]]],
    [15, []],
    [16, [['transfer', -1]]],
  ])('%i moved after 3 and 2 were taken out', (count, expected) => {
    expect(steps(candled({ clear: 3 }), moved({ moved: count, quit: 2 }))).toEqual(expected);
  });

  test.each([
    [16, [['hatch', 1]]],
    [17, []],
    [18, [['hatch', -1]]],
  ])('%i hatched of 20 moved, with 1 dead, 1 pipped, 1 unpipped', (count, expected) => {
    const last = { hatched: count, dead: 1, pipped: 1, unpipped: 1 };
    expect(steps(moved({ moved: 20 }), hatched({ ...last, ...final }))).toEqual(expected);
    // Until the final opening the rest may still hatch.
    const open = expected.filter(([, eggs]) => Number(eggs) < 0);
    expect(steps(moved({ moved: 20 }), hatched(last))).toEqual(open);
  });

  test('what is missing at both steps adds up', () => {
    const both = life(
      candled({ clear: 3 }),
      moved({ moved: 15 }),
      hatched({ hatched: 12, ...final }),
    );
    expect([both.tally.missingAtTransfer, both.tally.missingAtHatch]).toEqual([2, 3]);
    expect(missingOf(both.tally)).toBe(5);
    expect(missingOf(life().tally)).toBe(0);
  });

  test('chicks without a transfer are measured against what the candlings left', () => {
    const share = life(candled({ clear: 5 }), hatched({ hatched: 12, ...final }));
    expect([share.tally.wentIn, share.tally.left, missingOf(share.tally)]).toEqual([15, 0, 3]);
    expect(life(candled({ clear: 5 }), hatched({ hatched: 12 })).tally.left).toBe(3);
    expect(life(candled({ clear: 25 }), hatched({ hatched: 1 })).tally.left).toBe(0);
  });
});

test('what does not balance is told with its counts, at the step where it shows', () => {
  const told = (...rows: Written[]) => imbalancesOf(life(...rows)).map((one) => one.counts);
  expect(told(candled({ clear: 25 }))).toEqual(['20 set, 25 taken out at candling']);
  expect(told(candled({ clear: 3 }), moved({ moved: 15, quit: 1 }))).toEqual([
    '20 set, 3 taken out at candling, 1 at transfer, 15 moved',
  ]);
  expect(told(moved({ moved: 20 }), hatched({ hatched: 12, dead: 1, ...final }))).toEqual([
    '20 moved, 12 hatched, 1 dead, 0 pipped, 0 unpipped',
  ]);
});

describe('looks', () => {
  test('nobody looked: fertility is not known, however many hatched', () => {
    expect(looksOf(life(moved({ moved: 20, cracked: 1 })))).toBeNull();
    expect(looksOf(life(moved({ moved: 20 }), hatched({ hatched: 20, ...final })))).toBeNull();
  });

  test('a candling is a look though it took nothing out, a transfer where it sorted eggs out', () => {
    expect(looksOf(life(candled({})))).toEqual({ eggs: 20, clear: 0, apparent: 20 });
    expect(looksOf(life(moved({ moved: 19, clear: 1 })))).toEqual({
      eggs: 20,
      clear: 1,
      apparent: 19,
    });
    expect(looksOf(life(moved({ moved: 19, quit: 1 })))).toEqual({
      eggs: 20,
      clear: 0,
      apparent: 20,
    });
    expect(looksOf(life(moved({ moved: 18, clear: 1, quit: 1 })))?.clear).toBe(1);
  });

  test('an egg that vanished before transfer is in no denominator; all clear is none fertile', () => {
    expect(looksOf(life(candled({ clear: 5 }), moved({ moved: 13 })))).toEqual({
      eggs: 18,
      clear: 5,
      apparent: 13,
    });
    expect(looksOf(life(candled({ clear: 20 })))).toEqual({ eggs: 20, clear: 20, apparent: 0 });
    expect(looksOf(life(candled({ clear: 21 })))!.apparent).toBe(0);
  });
});
