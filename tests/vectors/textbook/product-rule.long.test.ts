import betaCdf from '@stdlib/stats-base-dists-beta-cdf';
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  countsNear,
  productMoments,
  type StageRate,
} from '../../../src/judge/rates/product-of-rates.ts';
import { betaQuantile } from './distributions.ts';
import { atLeast, betaRule, countsOf, productRule, type RateRule } from './product-rule.ts';
import { productQuantile } from './yield-chain.ts';

const moment = ({ nodes, weights }: RateRule, k: number) =>
  nodes.reduce((sum, t, i) => sum + weights[i]! * t ** k, 0);
/** E[t^k] of Beta(a, b): the rising product of (a + i) / (a + b + i). */
const betaMoment = (a: number, b: number, k: number) => {
  let product = 1;
  for (let i = 0; i < k; i++) product *= (a + i) / (a + b + i);
  return product;
};
const shape = fc.double({ min: 0.3, max: 60, noNaN: true });

describe('the rule of one beta', () => {
  test('is Gauss-Legendre where every rate is as likely', () => {
    // Five nodes on [-1, 1] in closed form: Abramowitz & Stegun 1964, table 25.4.
    const outer = Math.sqrt(5 + 2 * Math.sqrt(10 / 7)) / 3;
    const inner = Math.sqrt(5 - 2 * Math.sqrt(10 / 7)) / 3;
    const heavy = (322 + 13 * Math.sqrt(70)) / 900;
    const light = (322 - 13 * Math.sqrt(70)) / 900;
    const { nodes, weights } = betaRule(1, 1, 5);
    const expected = [-outer, -inner, 0, inner, outer].map((x) => (1 + x) / 2);
    expect(outer).toBeCloseTo(0.906179845938664, 14);
    expect(heavy).toBeCloseTo(0.478628670499366, 14);
    for (const [i, x] of expected.entries()) expect(nodes[i]).toBeCloseTo(x, 14);
    for (const [i, w] of [light, heavy, 128 / 225, heavy, light].entries())
      expect(weights[i]).toBeCloseTo(w / 2, 14);
  });

  test('is Gauss-Chebyshev for the arcsine law: cosines of equal weight', () => {
    // Abramowitz & Stegun 1964, 25.4.38.
    const n = 12;
    const { nodes, weights } = betaRule(0.5, 0.5, n);
    for (let i = 0; i < n; i++) {
      expect(nodes[n - 1 - i]).toBeCloseTo(
        (1 + Math.cos(((2 * i + 1) * Math.PI) / (2 * n))) / 2,
        13,
      );
      expect(weights[i]).toBeCloseTo(1 / n, 13);
    }
  });

  test('carries every moment up to twice its nodes less one', () => {
    fc.assert(
      fc.property(shape, shape, fc.integer({ min: 1, max: 12 }), (a, b, size) => {
        const rule = betaRule(a, b, size);
        expect(rule.nodes).toHaveLength(size);
        for (let k = 0; k < 2 * size; k++)
          expect(Math.abs(moment(rule, k) - betaMoment(a, b, k))).toBeLessThan(1e-12);
      }),
      { numRuns: 100 },
    );
  });

  test('a shape that is no shape is refused', () => {
    for (const [a, b] of [
      [0, 1],
      [1, -2],
      [Number.NaN, 1],
      [1, Number.POSITIVE_INFINITY],
    ] as const)
      expect(() => betaRule(a, b)).toThrow(RangeError);
  });
});

describe('the product of stages', () => {
  const stage: fc.Arbitrary<StageRate> = fc.oneof(
    { weight: 3, arbitrary: fc.record({ a: shape, b: shape }) },
    { weight: 1, arbitrary: fc.record({ p: fc.double({ min: 0.01, max: 1, noNaN: true }) }) },
  );
  const momentOf = (one: StageRate, k: number) =>
    'p' in one ? one.p ** k : betaMoment(one.a, one.b, k);

  test('has the products of their moments', () => {
    fc.assert(
      fc.property(fc.array(stage, { minLength: 1, maxLength: 6 }), (stages) => {
        const rule = productRule(stages);
        const exact = (k: number) => stages.reduce((product, one) => product * momentOf(one, k), 1);
        for (const k of [0, 1, 2, 5, 20])
          expect(Math.abs(moment(rule, k) - exact(k))).toBeLessThan(1e-11);
        const { mean, sd } = productMoments(stages);
        expect(Math.abs(mean - exact(1))).toBeLessThan(1e-12);
        expect(Math.abs(sd ** 2 - (exact(2) - exact(1) ** 2))).toBeLessThan(1e-12);
        for (const t of rule.nodes) expect(t >= 0 && t <= 1).toBe(true);
      }),
      { numRuns: 20 },
    );
  });

  test('as one beta of the same mean and spread, the counts of a set are near the exact ones', () => {
    // As wide as a farm's rates are before any counts, and narrower.
    const known = fc
      .tuple(fc.double({ min: 0.5, max: 0.98, noNaN: true }), fc.integer({ min: 20, max: 200 }))
      .map(([mean, strength]) => ({ a: mean * strength, b: (1 - mean) * strength }));
    fc.assert(
      fc.property(
        fc.array(known, { minLength: 2, maxLength: 5 }),
        fc.integer({ min: 1, max: 60 }),
        (stages, eggs) => {
          const { mean, sd } = productMoments(stages);
          const near = countsNear(eggs, mean, sd);
          const exact = countsOf(productRule(stages), eggs);
          let apart = 0;
          for (let k = 0, a = 0, b = 0; k <= eggs; k++) {
            a += near[k]!;
            b += exact[k]!;
            apart = Math.max(apart, Math.abs(a - b));
          }
          expect(apart).toBeLessThan(0.005);
        },
      ),
      { numRuns: 40 },
    );
    for (const [i, chance] of [0.25, 0.5, 0.25].entries())
      expect(countsNear(2, 0.5, 0)[i]).toBeCloseTo(chance, 8);
  });

  test('of known rates alone is their product, and of none is 1', () => {
    const known = [{ p: 0.9 }, { p: 0.5 }];
    expect(productRule(known)).toEqual({ nodes: [0.45], weights: [1] });
    expect(productMoments(known)).toEqual({ mean: 0.45, sd: 0 });
    expect(productQuantile(known, 0.3)).toBe(0.45);
    expect(productRule([])).toEqual({ nodes: [1], weights: [1] });
  });

  test('Beta(a, b) times Beta(a + b, c) is Beta(a, b + c), at every quantile', () => {
    // Jambunathan 1954, Ann. Math. Stat. 25:401 (from memory).
    const counted = fc.double({ min: 2, max: 80, noNaN: true });
    fc.assert(
      fc.property(
        counted,
        counted,
        counted,
        fc.constantFrom(0.005, 0.025, 0.25, 0.5, 0.9, 0.975),
        (a, b, c, p) => {
          const found = productQuantile(
            [
              { a, b },
              { a: a + b, b: c },
            ],
            p,
          );
          // Measured in probability: where the density is low a quantile is loose.
          expect(Math.abs(betaCdf(found, a, b + c) - p)).toBeLessThan(1e-3);
        },
      ),
      {
        numRuns: 60,
        // Where the stage of the largest `b` is not the widest beside its mean.
        examples: [
          [2, 49.011148643082564, 49.03125046938658, 0.025],
          [2, 70.24736856254478, 80, 0.25],
        ],
      },
    );
    const chain = [{ a: 20, b: 3 }, { a: 23, b: 2 }, { a: 25, b: 5 }, { p: 1 }];
    for (const p of [0.025, 0.5, 0.975])
      expect(productQuantile(chain, p)).toBeCloseTo(betaQuantile(p, 20, 10), 6);
  });

  test('of three rates of which nothing is known has the law of a product of uniforms', () => {
    // P(UVW <= z) = z (1 - ln z + (ln z)^2 / 2); a known rate stretches it. One and the same beta
    // three times over is three stages.
    const uniform = { a: 1, b: 1 };
    for (const p of [0.1, 0.5, 0.9]) {
      const z = productQuantile([uniform, uniform, { p: 0.8 }, uniform], p) / 0.8;
      const log = Math.log(z);
      expect(z * (1 - log + log ** 2 / 2)).toBeCloseTo(p, 2);
    }
  });

  test('a chance asked for that is none is refused', () => {
    for (const p of [-0.1, 1.1, Number.NaN])
      expect(() => productQuantile([{ a: 2, b: 2 }], p)).toThrow(RangeError);
  });
});

describe('so many eggs that share a rate', () => {
  test('every count is as likely where nothing is known of it', () => {
    // Bayes 1763: of n trials at a uniform rate, each count 0 … n has chance 1 / (n + 1).
    const rule = betaRule(1, 1);
    for (const n of [1, 7, 40])
      for (const k of [1, Math.ceil(n / 2), n])
        expect(atLeast(rule, k, n)).toBeCloseTo((n + 1 - k) / (n + 1), 12);
  });

  test('a known rate gives the binomial, counted out by hand', () => {
    // Three eggs at 0.8: 0.512 all, 0.384 two.
    const rule = productRule([{ p: 0.8 }]);
    expect(atLeast(rule, 3, 3)).toBeCloseTo(0.512, 12);
    expect(atLeast(rule, 2, 3)).toBeCloseTo(0.896, 12);
  });

  test('none wanted is sure, more than the eggs impossible', () => {
    const rule = betaRule(8, 2);
    expect(atLeast(rule, 0, 5)).toBe(1);
    expect(atLeast(rule, -3, 5)).toBe(1);
    expect(atLeast(rule, 6, 5)).toBe(0);
    expect(atLeast(rule, 1, 0)).toBe(0);
  });
});
