import { expect, test } from 'vitest';
import { keptByStorage, type StoredSet, storageFactor, storageScale } from './storage.ts';

const penalty = [{ from_day: 5, points_per_day: 1 }];

test('storage takes nothing on free days, then its points of the usual hatch', () => {
  expect(storageFactor(penalty, 4)).toBe(1);
  expect(storageFactor(penalty, 7)).toBeCloseTo(1 - 0.03 / 0.75, 12);
  expect(storageFactor(penalty, 7, 2)).toBeCloseTo(1 - 0.06 / 0.75, 12);
  expect(keptByStorage(penalty, [])).toBe(1);
  expect(
    keptByStorage(penalty, [
      { age: 2, eggs: 30 },
      { age: 7, eggs: 10 },
    ]),
  ).toBeCloseTo(1 - (0.03 / 0.75) * (10 / 40), 12);
});

const sets = (loss: number): StoredSet[] =>
  Array.from({ length: 24 }, (_, i) => {
    const age = i % 2 === 0 ? 3 : 12;
    return {
      unit: `year ${i % 3}`,
      x: Math.round(40 * 0.75 * (age > 4 ? 1 - loss : 1)),
      n: 40,
      ages: [{ age, eggs: 40 }],
      penalty,
    };
  });

test('without stored sets the table stands; old and young sets move it', () => {
  const none = storageScale(sets(0).filter((_, i) => i % 2 === 0));
  expect(none.eggs.stored).toBe(0);
  expect(none.mean).toBeGreaterThan(0.8);
  expect(none.mean).toBeLessThan(1.2);
  // The table expects 8 points of 75 from twelve days: a tenth of the hatch.
  const mild = storageScale(sets(0));
  const hard = storageScale(sets(0.3));
  expect(mild.mean).toBeLessThan(0.6);
  expect(hard.mean).toBeGreaterThan(2);
  expect(hard.low).toBeGreaterThan(1);
});
