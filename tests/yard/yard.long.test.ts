// Whole seasons played hour by hour against a yard that knows nothing of the program (yard.ts), by a
// keeper who does as the morning says (keeper.ts). The seed stands in the name of each season.
import { describe, expect, test } from 'vitest';
import { Keeper } from './keeper.ts';

const DAYS = 110;
/** Last day on which eggs are kept for setting. */
const LAST_SETTING = 65;

const seasons = [
  [1, 'duck'],
  [2, 'goose'],
  [3, 'duck'],
  [4, 'goose'],
  [5, 'duck'],
  [6, 'goose'],
  [10, 'goose'],
  [11, 'duck'],
] as const;

describe.each(seasons)('seed %i, hens and %s', (seed, second) => {
  const keeper = new Keeper(seed, second, DAYS);

  test('no chick under the wrong heat or without a warm brooder, no hatch ended over a live egg', () => {
    keeper.season(DAYS, LAST_SETTING);
    expect(keeper.wrong).toEqual([]);
    // A yard in which nothing happened would show nothing.
    expect(keeper.closed).toBeGreaterThan(8);
    expect(keeper.yard.cuts.some((one) => one.hours > 3)).toBe(true);
  });

  test('every fault of half a degree is told within three readings that show it', () => {
    expect(keeper.shown.length).toBeGreaterThan(2);
    for (const { fault, readings, toldAfter } of keeper.shown)
      expect(toldAfter ?? readings, JSON.stringify(fault)).toBeLessThanOrEqual(
        toldAfter === null ? 2 : 3,
      );
  });

  test('a fox is told the day it came, and at most one alarm is false', () => {
    expect(keeper.alarms.some(({ what }) => what.includes('lost to a predator'))).toBe(true);
    expect(keeper.falseAlarms.length, JSON.stringify(keeper.falseAlarms, null, 1)).toBeLessThan(2);
  });

  test('mornings with nothing but routine are silent, and there are many', () => {
    expect(keeper.quiet).toBeGreaterThan(DAYS / 5);
  });
});
