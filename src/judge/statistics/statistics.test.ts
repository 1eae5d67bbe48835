import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { betaBinomialFit, shrink } from './beta-binomial.ts';
import { exactLimits, laneyChart } from './control-chart.ts';
import { binomialAtLeast, binomialPmf } from './distributions.ts';
import { fisher2x2, freemanHalton } from './exact.ts';
import { hatchSpread } from './hatch-spread.ts';
import { heterogeneity } from './heterogeneity.ts';
import { holm } from './holm.ts';
import { lineFit, lineFitOrigin, predictLine } from './line-fit.ts';
import { compareNested, isSeparated, logistic, separation } from './logistic.ts';
import { clopperPearson, newcombe, proportion, wilson } from './proportion.ts';
import { cochranArmitage } from './trend.ts';

const count = fc
  .integer({ min: 1, max: 200 })
  .chain((n) => fc.integer({ min: 0, max: n }).map((x) => ({ x, n })));

describe('shares', () => {
  it('never give a share of nothing', () => {
    expect(proportion(0, 0)).toEqual({ x: 0, n: 0, estimate: null, low: null, high: null });
    expect(() => wilson(1, 0)).toThrow(RangeError);
    expect(() => wilson(5, 4)).toThrow(RangeError);
  });

  it('widen with confidence, hold the estimate, mirror failures, stay in 0–1', () => {
    fc.assert(
      fc.property(count, ({ x, n }) => {
        for (const interval of [wilson, clopperPearson]) {
          const [l90, h90] = interval(x, n, 0.9);
          const [l99, h99] = interval(x, n, 0.99);
          expect(l99).toBeLessThanOrEqual(l90 + 1e-12);
          expect(h99).toBeGreaterThanOrEqual(h90 - 1e-12);
          expect(l90).toBeLessThanOrEqual(x / n + 1e-12);
          expect(h90).toBeGreaterThanOrEqual(x / n - 1e-12);
          expect(Math.min(l99, 1 - h99)).toBeGreaterThanOrEqual(0);
          const [l, h] = interval(n - x, n, 0.9);
          expect(l).toBeCloseTo(1 - h90, 9);
          expect(h).toBeCloseTo(1 - l90, 9);
        }
      }),
    );
  });

  it('differences turn their sign with the order', () => {
    fc.assert(
      fc.property(count, count, (a, b) => {
        const d = newcombe(a.x, a.n, b.x, b.n);
        const e = newcombe(b.x, b.n, a.x, a.n);
        expect(d.difference).toBeCloseTo(-e.difference, 12);
        expect(d.low).toBeCloseTo(-e.high, 9);
      }),
    );
  });
});

describe('exact tests', () => {
  it('the network over rows agrees with Fisher on 2 x 2 tables, either way up', () => {
    const cell = fc.integer({ min: 0, max: 14 });
    fc.assert(
      fc.property(cell, cell, cell, cell, (a, b, c, d) => {
        const p = freemanHalton([
          [a, b],
          [c, d],
        ]);
        const q = freemanHalton([
          [a, c],
          [b, d],
        ]);
        const fisher = fisher2x2([
          [a, b],
          [c, d],
        ]).twoSided;
        expect(p).toBeCloseTo(fisher, 9);
        expect(q).toBeCloseTo(fisher, 9);
      }),
    );
  });

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
    expect(freemanHalton(big, 50_000)).toBeNull();
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

describe('models', () => {
  it('detect separation by any covariate, and name it', () => {
    const columns = { tray: [0, 0, 1, 1], days: [1, 5, 2, 6] };
    const found = separation({ x: [5, 4, 0, 0], n: [5, 5, 5, 5], columns });
    expect(found?.columns).toContain('tray');
    expect(separation({ x: [5, 4, 1, 2], n: [5, 5, 5, 5], columns })).toBeNull();
  });

  it('a separated table never gives a finite slope, an overlapping one always does', () => {
    const row = fc.record({
      x: fc.integer({ min: 0, max: 3 }),
      a: fc.integer({ min: 0, max: 3 }),
      b: fc.integer({ min: 0, max: 2 }),
    });
    fc.assert(
      fc.property(fc.array(row, { minLength: 3, maxLength: 8 }), (rows) => {
        const fit = logistic({
          x: rows.map((r) => r.x),
          n: rows.map(() => 3),
          columns: { a: rows.map((r) => r.a), b: rows.map((r) => r.b) },
        });
        if (isSeparated(fit)) return;
        for (const c of Object.values(fit.coefficients)) {
          expect(Number.isFinite(c.estimate)).toBe(true);
          expect(c.se).toBeLessThan(1e3);
        }
        // The score equations hold: fitted totals equal observed ones.
        const used = rows.map((r) => r.x).reduce((s, v) => s + v, 0);
        expect(fit.fitted.reduce((s, p) => s + 3 * p, 0)).toBeCloseTo(used, 6);
      }),
    );
  });

  it('drop a covariate that others determine, and say so', () => {
    const fit = logistic({
      x: [3, 5, 2, 6],
      n: [8, 8, 8, 8],
      columns: { a: [0, 0, 1, 1], b: [1, 1, 0, 0], c: [1, 2, 3, 5] },
    });
    if (isSeparated(fit)) throw new Error('not separated');
    expect(fit.aliased).toEqual(['b']);
    expect(Object.keys(fit.coefficients)).toEqual(['intercept', 'a', 'c']);
  });

  it('a nested comparison is not made sharper by underdispersion', () => {
    const x = [30, 27, 25, 20, 28, 22, 19, 13];
    const n = [33, 32, 33, 31, 34, 33, 32, 30];
    const days = [2, 6, 9, 13, 2, 6, 9, 13];
    const pen = [0, 0, 0, 0, 1, 1, 1, 1];
    const large = logistic({ x, n, columns: { days, pen } });
    const small = logistic({ x, n, columns: { days } });
    if (isSeparated(large) || isSeparated(small)) throw new Error('not separated');
    const test = compareNested(large, small)!;
    expect(test.method).toBe('likelihood ratio');
    expect(test.df).toBe(1);
    expect(test.p).toBeCloseTo(0.00348, 3);
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
    expect(betaBinomialFit([])).toBeNull();
    expect(
      betaBinomialFit([
        { x: 4, n: 4 },
        { x: 9, n: 9 },
      ]),
    ).toMatchObject({ mu: 1, boundary: true });
    expect(
      betaBinomialFit([
        { x: 0, n: 9 },
        { x: 9, n: 9 },
      ]),
    ).toMatchObject({ rho: 1, alpha: null });
  });

  it('the fit is never worse than plain binomial, and shrinking stays between data and prior', () => {
    fc.assert(
      fc.property(fc.array(count, { minLength: 2, maxLength: 8 }), (groups) => {
        const fit = betaBinomialFit(groups)!;
        expect(fit.logLikelihood).toBeGreaterThanOrEqual(fit.logLikelihoodBinomial - 1e-9);
        expect(fit.rho).toBeGreaterThanOrEqual(0);
        if (fit.alpha === null || fit.beta === null) return;
        shrink(groups, fit.alpha, fit.beta).forEach((s, i) => {
          const own = groups[i]!.x / groups[i]!.n;
          expect(s.mean).toBeGreaterThanOrEqual(Math.min(own, fit.mu) - 1e-9);
          expect(s.mean).toBeLessThanOrEqual(Math.max(own, fit.mu) + 1e-9);
        });
      }),
      { numRuns: 40 },
    );
  });

  it('exact limits leave no more than their tail outside', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 80 }),
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        (n, p) => {
          const { lower, upper } = exactLimits([n], p, 0.025);
          expect(binomialAtLeast(upper[0]! + 1, n, p)).toBeLessThanOrEqual(0.025 + 1e-9);
          let below = 0;
          for (let x = 0; x < lower[0]!; x++) below += binomialPmf(x, n, p);
          expect(below).toBeLessThanOrEqual(0.025 + 1e-9);
        },
      ),
    );
  });

  it('one set gives plain limits', () => {
    expect(laneyChart([{ x: 3, n: 9 }]).sigmaZ).toBeNull();
  });
});

describe('lines and spreads', () => {
  it('say nothing where there is nothing', () => {
    expect(lineFit([3, 3], [1, 2])).toBeNull();
    expect(lineFit([1], [1])).toBeNull();
    expect(lineFitOrigin([0], [0])).toBeNull();
    const exact = lineFit([0, 1], [0, 2])!;
    expect(exact.seSlope).toBeNull();
    expect(predictLine(exact, 3)).toEqual({ fit: 6, mean: null, prediction: null });
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
          if (s.normal) expect(Number.isFinite(s.normal.sd)).toBe(true);
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
