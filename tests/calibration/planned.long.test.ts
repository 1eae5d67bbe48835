import { expect, test } from 'vitest';
import { binomialAtMost } from '../vectors/textbook/distributions.ts';
import { kinds } from './calibrate.ts';
import { competing, keptOf, playPlans } from './calibrate-plans.ts';
import { right } from './truth.ts';

// A short form of `npm run calibrate:plans`: few seasons, so only what cannot be luck fails.
const SEASONS = 14;
const DRAWS = 300;
const SEED = 4711;
/** A planner that keeps its word fails less than once in a thousand choices of seed. */
const LUCK = 0.0005;

test('plans for nine chances in ten keep them', async () => {
  const kind = kinds.find((one) => one.name === 'one pen, one short season')!;
  const { promised, met, chance } = keptOf('', await playPlans(kind, right, SEASONS, SEED, DRAWS));
  expect(promised).toBeGreaterThan(SEASONS / 2);
  expect(chance).toBeGreaterThanOrEqual(0.899);
  expect(chance).toBeLessThan(0.94);
  expect(binomialAtMost(met, promised, chance)).toBeGreaterThan(LUCK);
});

test('two kinds of bird, and a season in its middle, are planned and played out', async () => {
  for (const name of ['three pens, in mid-season', 'two kinds, one short season']) {
    const kind = kinds.find((one) => one.name === name)!;
    const all = await playPlans(kind, right, 1, SEED, DRAWS / 2);
    expect(all).toHaveLength(kind.goals.length);
    for (const one of all) {
      expect(one.sets).toBeGreaterThan(0);
      expect(one.birds).toBeGreaterThan(0);
      expect(one.met).toBe(one.birds >= kind.goals[all.indexOf(one)]!.count);
    }
  }
});

test('orders have their chicks before pullets are kept, each by its day', async () => {
  const kind = competing.find((one) => one.name === 'two orders, pullets kept')!;
  const all = await playPlans(kind, right, 2, SEED, DRAWS / 2);
  expect(all.map((one) => one.of)).toEqual(
    [1, 2].flatMap(() => ['pullets', 'orders due first', 'orders due after others']),
  );
  for (const { of, met, birds } of all) {
    const order = kind.orders![of === 'orders due first' ? 0 : 1]!;
    // Nobody is given more than was ordered.
    if (of !== 'pullets') expect(met).toBe(birds === order.count);
    expect(birds).toBeGreaterThan(0);
  }
});
