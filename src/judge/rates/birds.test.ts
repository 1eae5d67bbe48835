import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { binomialAtLeast } from '../../../tests/vectors/textbook/distributions.ts';
import { Birds, type Portion } from './birds.ts';

/** The exact law of a sum of binomials, egg by egg: the Poisson-binomial by its recurrence. */
function law(portions: readonly { eggs: number; rate: number }[]): number[] {
  let pmf = [1];
  for (const { eggs, rate } of portions)
    for (let egg = 0; egg < eggs; egg++) {
      const next = [...pmf, 0].map((p, k) => p * (1 - rate) + (k > 0 ? pmf[k - 1]! * rate : 0));
      pmf = next;
    }
  return pmf;
}
const tail = (pmf: readonly number[], count: number) =>
  pmf.reduce((sum, p, k) => (k >= count ? sum + p : sum), 0);
const portions = fc.array(
  fc.record({
    eggs: fc.integer({ min: 0, max: 40 }),
    rate: fc.double({ min: 0.05, max: 0.97, noNaN: true }),
  }),
  { minLength: 1, maxLength: 5 },
);

describe('within one world', () => {
  test('mean and scatter are those of the eggs, one by one', () => {
    fc.assert(
      fc.property(portions, (some) => {
        const pmf = law(some);
        const mean = pmf.reduce((sum, p, k) => sum + k * p, 0);
        const variance = pmf.reduce((sum, p, k) => sum + (k - mean) ** 2 * p, 0);
        const birds = Birds.of(1, some);
        expect(birds.expected).toBeCloseTo(mean, 8);
        expect(birds.sd).toBeCloseTo(Math.sqrt(variance), 6);
      }),
      { numRuns: 40 },
    );
  });

  test('the chance of every count lies within one and a half points of the exact one', () => {
    let worst = 0;
    fc.assert(
      fc.property(portions, (some) => {
        const birds = Birds.of(1, some);
        // The approximation is one for sums that scatter; fewer birds are met by the next test.
        fc.pre(birds.sd > 1.5);
        const pmf = law(some);
        for (let count = 0; count < pmf.length; count++)
          worst = Math.max(worst, Math.abs(birds.chance(count).chance - tail(pmf, count)));
      }),
      { numRuns: 60 },
    );
    expect(worst).toBeGreaterThan(0);
    expect(worst).toBeLessThan(0.015);
  });

  test('a handful of eggs is met within two points', () => {
    for (const eggs of [3, 5, 8])
      for (const rate of [0.3, 0.5, 0.7, 0.85]) {
        const birds = Birds.of(1, [{ eggs, rate }]);
        for (let count = 0; count <= eggs; count++)
          expect(
            Math.abs(birds.chance(count).chance - binomialAtLeast(count, eggs, rate)),
          ).toBeLessThan(0.02);
      }
  });

  test('the order of portions does not matter, nor their being added one at a time', () => {
    const some: Portion[] = [
      { eggs: 12, rate: 0.6 },
      { eggs: 7, rate: 0.9 },
    ];
    const first = new Birds(1);
    for (const one of some.toReversed()) first.add(one);
    const together = Birds.of(1, some);
    expect(first.expected).toBeCloseTo(together.expected, 12);
    expect(first.chance(13).chance).toBeCloseTo(together.chance(13).chance, 12);
  });

  test('birds added to a copy do not come to the others', () => {
    const base = Birds.of(1, [{ eggs: 10, rate: 0.5 }]);
    const more = new Birds(1, base);
    more.add({ eggs: 20, rate: 0.5 });
    expect(more.expected).toBe(15);
    expect(base.expected).toBe(5);
    expect(base.chance(11).chance).toBe(0);
  });
});

describe('what is sure', () => {
  test('no bird wanted is a chance of one, and no eggs give none', () => {
    const none = new Birds(3);
    expect(none.chance(0)).toEqual({ chance: 1, error: 0 });
    expect(none.chance(-2)).toEqual({ chance: 1, error: 0 });
    expect(none.chance(1)).toEqual({ chance: 0, error: 0 });
    expect([none.expected, none.sd, none.quantile(0.5), none.quantile(1)]).toEqual([0, 0, 0, 0]);
  });

  test('chicks that are there are counted, not guessed', () => {
    const birds = Birds.of(2, [
      { eggs: 16, rate: 1 },
      { eggs: 30, rate: 0 },
    ]);
    expect(birds.chance(16)).toEqual({ chance: 1, error: 0 });
    expect(birds.chance(17)).toEqual({ chance: 0, error: 0 });
    for (const p of [0.01, 0.5, 0.99]) expect(birds.quantile(p)).toBe(16);
  });

  test('what is there stays there, whatever else may come', () => {
    const one = Birds.of(2, [{ eggs: 1, rate: 1 }]);
    const more = one.plus(Birds.of(2, [{ eggs: 1, rate: 0.7 }]));
    expect(more.chance(1)).toEqual({ chance: 1, error: 0 });
    expect(more.chance(2).chance).toBeGreaterThan(0);
    expect(more.less([1, 1], [1, 1]).chance(1).chance).toBeLessThan(1);
  });

  test('more than all eggs are never promised, whatever chance is told to be near one', () => {
    const birds = Birds.of(1, [{ eggs: 20, rate: 0.999 }]);
    expect(birds.chance(20).chance).toBeGreaterThan(0.95);
    expect(birds.chance(21).chance).toBe(0);
    expect(birds.quantile(1)).toBe(20);
  });
});

describe('over several worlds', () => {
  // In one of three worlds the eggs are good.
  const rates = [0.9, 0.5, 0.5];
  const eggs = [30, 30, 24];
  const birds = Birds.of(3, [{ eggs, rate: rates }]);
  const laws = rates.map((rate, i) => law([{ eggs: eggs[i]!, rate }]));

  test('the chance is the mean of the chances, and its error that of three draws', () => {
    for (const count of [10, 15, 20, 27]) {
      const each = laws.map((pmf) => tail(pmf, count));
      const mean = each.reduce((a, b) => a + b, 0) / 3;
      const scatter = each.reduce((sum, one) => sum + (one - mean) ** 2, 0) / 3;
      const { chance, error } = birds.chance(count);
      expect(chance).toBeCloseTo(mean, 2);
      expect(error).toBeCloseTo(Math.sqrt(scatter / 3), 2);
    }
  });

  test('the scatter is that within worlds and between them', () => {
    // Means 27, 15, 12: 18 over all. Within: (2.7 + 7.5 + 6) / 3. Between: (81 + 9 + 36) / 3.
    expect(birds.expected).toBeCloseTo(18, 12);
    expect(birds.sd).toBeCloseTo(Math.sqrt(5.4 + 42), 12);
  });

  test('a quantile is the least number not exceeded so often', () => {
    const below = (count: number) =>
      laws.reduce((sum, pmf) => sum + 1 - tail(pmf, count + 1), 0) / 3;
    for (const p of [0.1, 0.5, 0.9]) {
      const found = birds.quantile(p);
      expect(below(found)).toBeGreaterThanOrEqual(p - 0.01);
      expect(below(found - 1)).toBeLessThan(p + 0.01);
    }
  });
});
