import { describe, expect, test } from 'vitest';
import { nextSet } from './next-set.ts';
import type { StageRate } from './product-of-rates.ts';

const interval = (mean: number, sd = 0) => ({ mean, sd, low: 0, high: 1 });
const rate = (mean: number, sd: number, within: number) => ({
  ...interval(mean, sd),
  spread: interval(within),
});
/** Mean and variance of a beta, or of a rate that is known. */
function moments(one: StageRate) {
  if ('p' in one) return { mean: one.p, variance: 0 };
  const total = one.a + one.b;
  return { mean: one.a / total, variance: (one.a * one.b) / (total ** 2 * (total + 1)) };
}

describe('the rate of the next set', () => {
  test('has the mean known, and both what is not known and the scatter of a set', () => {
    // By hand: 0.05^2 + 0.03 (0.8 x 0.2 - 0.05^2) = 0.0025 + 0.004725.
    const { mean, variance } = moments(nextSet(rate(0.8, 0.05, 0.03)));
    expect(mean).toBeCloseTo(0.8, 14);
    expect(variance).toBeCloseTo(0.007225, 14);
  });

  test('scatters as sets drawn from pens that may be any of three', () => {
    // A pen's rate is 0.7, 0.8 or 0.95; a set of it is beta around that with correlation 0.1.
    const pens = [
      { p: 0.7, weight: 0.3 },
      { p: 0.8, weight: 0.5 },
      { p: 0.95, weight: 0.2 },
    ];
    const within = 0.1;
    const mean = pens.reduce((sum, { p, weight }) => sum + weight * p, 0);
    const known = pens.reduce((sum, { p, weight }) => sum + weight * (p - mean) ** 2, 0);
    const square = pens.reduce(
      (sum, { p, weight }) => sum + weight * (p ** 2 + within * p * (1 - p)),
      0,
    );
    const found = moments(nextSet(rate(mean, Math.sqrt(known), within)));
    expect(found.mean).toBeCloseTo(mean, 14);
    expect(found.variance).toBeCloseTo(square - mean ** 2, 14);
  });

  test('without scatter is what every set of the unit shares', () => {
    expect(moments(nextSet(rate(0.8, 0.05, 0.03), false)).variance).toBeCloseTo(0.0025, 14);
    expect(nextSet(rate(0.8, 0, 0.03), false)).toEqual({ p: 0.8 });
  });

  test('that is surely known is no distribution', () => {
    expect(nextSet(rate(0.5, 0, 0))).toEqual({ p: 0.5 });
    expect(nextSet(rate(1, 0, 0.04))).toEqual({ p: 1 });
    expect(nextSet(rate(0, 0, 0.04))).toEqual({ p: 0 });
  });

  test('that is hardly known is still a beta', () => {
    const one = nextSet(rate(0.5, 0.49, 0.5));
    expect('a' in one && one.a > 0 && one.b > 0).toBe(true);
  });
});
