import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { intensityOf } from './selection-intensity.ts';

describe('selection intensity', () => {
  it('meets the expected largest of small samples', () => {
    // Expected largest of n normal draws: 1/√π, 3/(2√π) exactly; five from the usual table
    // (Harter, 1961; from memory).
    expect(intensityOf(1, 2)).toBeCloseTo(1 / Math.sqrt(Math.PI), 12);
    expect(intensityOf(1, 3)).toBeCloseTo(1.5 / Math.sqrt(Math.PI), 12);
    expect(intensityOf(1, 5)).toBeCloseTo(1.16296, 5);
    expect(intensityOf(1, 1)).toBe(0);
  });
  it('balances: the kept and the passed over average nothing', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 300 }), fc.nat(), (candidates, draw) => {
        const kept = 1 + (draw % (candidates - 1));
        const passed = candidates - kept;
        expect(intensityOf(kept, candidates) * kept).toBeCloseTo(
          intensityOf(passed, candidates) * passed,
          8,
        );
      }),
    );
  });
  it('approaches the large-flock figure from below', () => {
    // Falconer & Mackay, Introduction to Quantitative Genetics, appendix table A: 10 % (from memory).
    const large = 1.755;
    expect(intensityOf(1, 10)).toBeLessThan(intensityOf(10, 100));
    expect(intensityOf(10, 100)).toBeLessThan(intensityOf(1000, 10_000));
    expect(intensityOf(1000, 10_000)).toBeLessThan(large + 0.0005);
    expect(intensityOf(1000, 10_000)).toBeCloseTo(large, 3);
  });
  it('refuses what cannot be', () => {
    expect(() => intensityOf(3, 2)).toThrow(RangeError);
    expect(() => intensityOf(1.5, 4)).toThrow(RangeError);
  });
});
