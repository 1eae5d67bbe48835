import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { freemanHalton } from './exact.ts';
import { hatchSpread } from './hatch-spread.ts';
import { heterogeneity } from './heterogeneity.ts';
import { holm } from './holm.ts';
import { wilson } from './proportion.ts';
import { cochranArmitage } from './trend.ts';

describe('shares', () => {
  it('never give a share of nothing', () => {
    expect(() => wilson(1, 0)).toThrow(RangeError);
    expect(() => wilson(5, 4)).toThrow(RangeError);
  });
});

describe('exact tests', () => {
  it('agrees with plain enumeration of a 3 x 3 table', () => {
    const table = [
      [3, 1, 2],
      [0, 4, 1],
      [2, 0, 3],
    ];
    const rows = table.map((r) => r.reduce((s, v) => s + v, 0));
    const columns = [0, 1, 2].map((j) => table.reduce((s, r) => s + r[j]!, 0));
    const fact = (k: number): number => (k < 2 ? 1 : k * fact(k - 1));
    const weight = (t: number[][]): number => 1 / t.flat().reduce((s, v) => s * fact(v), 1);
    let total = 0;
    let tail = 0;
    const seen = weight(table);
    for (let a = 0; a <= 6; a++)
      for (let b = 0; b <= 6; b++)
        for (let c = 0; c <= 5; c++)
          for (let d = 0; d <= 5; d++) {
            const t = [
              [a, b, rows[0]! - a - b],
              [c, d, rows[1]! - c - d],
              [columns[0]! - a - c, columns[1]! - b - d, 0],
            ];
            t[2]![2] = columns[2]! - t[0]![2]! - t[1]![2]!;
            if (t.flat().some((v) => v < 0)) continue;
            const w = weight(t);
            total += w;
            if (w <= seen * (1 + 1e-7)) tail += w;
          }
    expect(freemanHalton(table)).toBeCloseTo(tail / total, 10);
  });

  it('gives up on a table too large to settle, rather than hang', () => {
    const big = Array.from({ length: 30 }, (_, i) => [100 + i, 90 - i, 60 + (i % 7)]);
    expect(freemanHalton(big, 2_000)).toBeNull();
  });

  it('says 1 where there is nothing to compare', () => {
    expect(freemanHalton([[3, 4]])).toBe(1);
    expect(
      freemanHalton([
        [0, 5],
        [0, 7],
      ]),
    ).toBe(1);
  });
});

describe('scatter', () => {
  it('has no figures for one group, or for all or none', () => {
    expect(heterogeneity([{ x: 3, n: 5 }]).pearson).toBeNull();
    expect(
      heterogeneity([
        { x: 5, n: 5 },
        { x: 7, n: 7 },
      ]).taroneZ,
    ).toBeNull();
    expect(heterogeneity([]).pooled).toBeNull();
  });
});

describe('lines and spreads', () => {
  it('say nothing where there is nothing', () => {
    expect(hatchSpread(0, [5, 9], [0, 0], 9)).toBeNull();
    expect(hatchSpread(0, [5], [1], 9)!.sd).toBeNull();
    expect(() => hatchSpread(0, [5, 5], [1, 1], 9)).toThrow(RangeError);
  });

  it('every chick waits between its bounds, and percentiles rise', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 20 }), { minLength: 1, maxLength: 8 }),
        (counts) => {
          const s = hatchSpread(
            480,
            counts.map((_, i) => 486 + 6 * i),
            counts,
            540,
          );
          if (!s) return;
          expect(s.waiting.minimum).toBeLessThanOrEqual(s.waiting.midpoint);
          expect(s.waiting.midpoint).toBeLessThanOrEqual(s.waiting.maximum);
          const order = [s.p05, s.p10, s.p25, s.p50, s.p75, s.p90, s.p95];
          expect(order).toEqual([...order].sort((a, b) => a - b));
        },
      ),
    );
  });

  it('a trend needs two scores and a mixed outcome', () => {
    expect(
      cochranArmitage([
        { x: 1, n: 4, score: 2 },
        { x: 2, n: 4, score: 2 },
      ]),
    ).toBeNull();
    expect(
      cochranArmitage([
        { x: 4, n: 4, score: 1 },
        { x: 4, n: 4, score: 2 },
      ]),
    ).toBeNull();
  });

  it('Holm steps down, never falls, and leaves out what was not tested', () => {
    expect(holm([0.01, null, 0.04, 0.03])).toEqual([0.03, null, 0.06, 0.06]);
    expect(holm([])).toEqual([]);
  });
});
