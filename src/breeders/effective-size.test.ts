import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  acrossGenerations,
  effectiveSize,
  inbreedingRate,
  rateWithinFamilies,
  sizeRange,
  yearsUntil,
} from './effective-size.ts';

/** Inbreeding (a share) after generations at a steady rate, starting from none. */
const inbreedingAfter = (rate: number, generations: number) => 1 - (1 - rate) ** generations;

const count = fc.integer({ min: 1, max: 500 });

describe('effective size', () => {
  it('is bounded by four times the rarer sex', () => {
    fc.assert(
      fc.property(count, count, (males, hens) => {
        const size = effectiveSize({ males, hens });
        expect(size).toBeLessThanOrEqual(4 * Math.min(males, hens));
        expect(size).toBeLessThanOrEqual(males + hens + 1e-9);
      }),
    );
  });
  it('gains more from one more male than from five more hens, while males are few', () => {
    const now = effectiveSize({ males: 2, hens: 20 });
    expect(effectiveSize({ males: 3, hens: 20 }) - now).toBeGreaterThan(
      effectiveSize({ males: 2, hens: 25 }) - now,
    );
  });
  it('is nothing where a sex is missing', () => {
    expect(effectiveSize({ males: 0, hens: 9 })).toBe(0);
    expect(inbreedingRate(0)).toBeNull();
    expect(rateWithinFamilies({ males: 0, hens: 9 })).toBeNull();
    expect(() => acrossGenerations([{ males: 0, hens: 9 }])).toThrow(RangeError);
    expect(() => acrossGenerations([])).toThrow(RangeError);
  });
  it('gives the rows of a handbook table, in percent', () => {
    // Table for a closed small flock, computed from the formulas of Falconer & Mackay and of
    // Gowe, Robertson & Latter: cocks, hens, Ne, ΔF, ΔF within families, F after ten generations.
    for (const [males, hens, size, rate, within, after] of [
      [1, 5, 3.3, 15.0, 10.0, 80],
      [3, 15, 10.0, 5.0, 3.3, 40],
      [8, 40, 26.7, 1.9, 1.25, 17],
      [15, 60, 48, 1.04, 0.68, 10],
    ] as const) {
      const ne = effectiveSize({ males, hens });
      expect(Math.abs(ne - size)).toBeLessThanOrEqual(0.051);
      expect(Math.abs(100 * inbreedingRate(ne)! - rate)).toBeLessThanOrEqual(0.051);
      expect(Math.abs(100 * rateWithinFamilies({ males, hens })! - within)).toBeLessThan(0.051);
      expect(Math.abs(100 * inbreedingAfter(inbreedingRate(ne)!, 10) - after)).toBeLessThan(0.51);
    }
  });
  it('over the years is never more than the plain mean', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ males: count, hens: count }), { minLength: 1, maxLength: 9 }),
        (years) => {
          const course = acrossGenerations(years);
          expect(course.harmonic).toBeLessThanOrEqual(course.arithmetic + 1e-9);
        },
      ),
    );
  });
  it('ranges from one sire a pen to all males alike', () => {
    const { least, most } = sizeRange([
      { males: 1, hens: 11 },
      { males: 2, hens: 13 },
    ]);
    expect(least).toBeCloseTo((4 * 2 * 24) / 26, 12);
    expect(most).toBeCloseTo((4 * 3 * 24) / 27, 12);
  });
});

describe('years until', () => {
  it('is the time at which the course reaches the target', () => {
    const rate = 0.05;
    const years = yearsUntil(0.25, rate, 1)!;
    expect(inbreedingAfter(rate, years)).toBeCloseTo(0.25, 12);
    expect(yearsUntil(0.25, rate, 2)).toBeCloseTo(2 * years, 12);
  });
  it('knows never and already', () => {
    expect(yearsUntil(0.1, 0, 1)).toBeNull();
    expect(yearsUntil(0.1, null, 1)).toBeNull();
    expect(yearsUntil(0.1, 0.05, 1, 0.12)).toBe(0);
  });
});
