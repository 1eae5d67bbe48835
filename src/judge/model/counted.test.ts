import fc from 'fast-check';
import { expect, test } from 'vitest';
import { rateNames } from '../rate-names.ts';
import { wilson } from '../statistics/proportion.ts';
import { limitsOfSet, shareOverSets } from './counted.ts';

const set = fc
  .integer({ min: 4, max: 40 })
  .chain((n) => fc.integer({ min: 0, max: n }).map((x) => ({ x, n })));
const sets = fc.array(set, { minLength: 1, maxLength: 8 });

test('nothing counted is no share', () => {
  expect(shareOverSets('early', [])).toEqual({ x: 0, n: 0, estimate: null, low: null, high: null });
  expect(shareOverSets('early', [{ x: 0, n: 0 }]).estimate).toBeNull();
});

test('the order of the sets does not matter', () => {
  fc.assert(
    fc.property(fc.constantFrom(...rateNames), sets, (rate, some) => {
      const there = shareOverSets(rate, some);
      const back = shareOverSets(rate, some.toReversed());
      expect(back.low).toBeCloseTo(there.low!, 10);
      expect(back.high).toBeCloseTo(there.high!, 10);
    }),
  );
});

test('more sets of the same narrow the interval, sets that scatter widen it', () => {
  const width = (some: readonly { x: number; n: number }[]) => {
    const { low, high } = shareOverSets('fertile_apparent', some);
    return high! - low!;
  };
  const even = Array.from({ length: 6 }, () => ({ x: 26, n: 30 }));
  expect(width(even)).toBeLessThan(width(even.slice(0, 3)));
  const uneven = [30, 22, 30, 22, 30, 22].map((x) => ({ x, n: 30 }));
  expect(width(uneven)).toBeGreaterThan(1.2 * width(even));
});

test("of one set's own eggs the interval is near Wilson's, where the counts are many", () => {
  // Wilson (1927), J. Am. Stat. Assoc. 22:209, by the function the check values hold.
  for (const [x, n] of [
    [430, 500],
    [460, 500],
  ] as const) {
    const { low, high } = shareOverSets('fertile_apparent', [{ x, n }], false);
    const [from, to] = wilson(x, n);
    expect(low).toBeCloseTo(from, 1.9);
    expect(high).toBeCloseTo(to, 1.9);
  }
});

test('control limits leave three sets in a thousand outside, drawn as the model has them', () => {
  const usual = Array.from({ length: 20 }, (_, i) => ({ x: 25 + (i % 3), n: 30 }));
  const { lower, upper } = limitsOfSet('fertile_apparent', usual)(30);
  // A binomial of 26 in 30: 0.1 % lie below 20, none above 30 (dbinom). Scatter only widens that.
  expect(lower).toBeLessThanOrEqual(20);
  expect(lower).toBeGreaterThan(12);
  expect(upper).toBe(30);
});
