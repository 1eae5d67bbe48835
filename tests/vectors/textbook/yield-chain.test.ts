import { expect, test } from 'vitest';
import { betaQuantile } from './distributions.ts';
import { yieldChain } from './yield-chain.ts';

// Whole chains are held against values computed elsewhere in tests/sources/vectors/yield-chain.json.
const jeffreys = [0.5, 0.5] as const;

test('the point and its error are those worked out by hand', () => {
  // 80 of 100 fertile, 60 of 80 hatched: 0.6. Var log = (1/80 - 1/100) + (1/60 - 1/80) = 1/60 - 1/100.
  const chain = yieldChain(
    [
      { x: 80, n: 100 },
      { x: 60, n: 80 },
    ],
    jeffreys,
  );
  const logSe = Math.sqrt(1 / 60 - 1 / 100);
  expect(chain.point).toBeCloseTo(0.6, 14);
  expect(chain.logSe).toBeCloseTo(logSe, 14);
  expect(chain.deltaSe).toBeCloseTo(0.6 * logSe, 14);
  // 1.959964: the usual table of the normal distribution.
  expect(chain.deltaCi95![0]).toBeCloseTo(0.6 * Math.exp(-1.959964 * logSe), 6);
  expect(chain.deltaCi95![1]).toBeCloseTo(0.6 * Math.exp(1.959964 * logSe), 6);
  // Means of Beta(80.5, 20.5) and Beta(60.5, 20.5).
  expect(chain.posteriorMean).toBeCloseTo((80.5 / 101) * (60.5 / 81), 14);
});

test('one stage is its own beta', () => {
  const { posteriorQuantiles, posteriorMean, posteriorSd } = yieldChain([{ x: 9, n: 12 }], [1, 1]);
  expect(posteriorQuantiles.q025).toBeCloseTo(betaQuantile(0.025, 10, 4), 9);
  expect(posteriorQuantiles.q500).toBeCloseTo(betaQuantile(0.5, 10, 4), 9);
  expect(posteriorQuantiles.q975).toBeCloseTo(betaQuantile(0.975, 10, 4), 9);
  expect(posteriorMean).toBeCloseTo(10 / 14, 14);
  // Variance of Beta(10, 4): 10 * 4 / (14^2 * 15).
  expect(posteriorSd).toBeCloseTo(Math.sqrt(40 / 2940), 12);
});

test('the order of the stages does not matter', () => {
  const stages = [
    { x: 110, n: 126 },
    { x: 90, n: 110 },
    { x: 5, n: 9 },
  ];
  const [there, back] = [yieldChain(stages, jeffreys), yieldChain(stages.toReversed(), jeffreys)];
  expect(there.point).toBeCloseTo(back.point, 14);
  expect(there.logSe).toBeCloseTo(back.logSe!, 14);
  for (const q of ['q025', 'q500', 'q975'] as const)
    expect(there.posteriorQuantiles[q]).toBeCloseTo(back.posteriorQuantiles[q], 6);
});

test('a stage that none passed has no error on the log scale, but a posterior', () => {
  const chain = yieldChain(
    [
      { x: 0, n: 6 },
      { x: 3, n: 4 },
    ],
    jeffreys,
  );
  expect(chain).toMatchObject({ point: 0, logSe: null, deltaCi95: null, deltaSe: null });
  expect(chain.posteriorMean).toBeCloseTo((0.5 / 7) * (3.5 / 5), 14);
  expect(chain.posteriorQuantiles.q975).toBeGreaterThan(0);
});

test('an interval never goes beyond one', () => {
  const chain = yieldChain(
    [
      { x: 5, n: 6 },
      { x: 5, n: 5 },
    ],
    jeffreys,
  );
  expect(chain.deltaCi95![1]).toBe(1);
  expect(yieldChain([{ x: 4, n: 4 }], jeffreys).deltaCi95).toEqual([1, 1]);
});

test('counts that cannot be are refused', () => {
  for (const stage of [
    { x: 5, n: 4 },
    { x: -1, n: 4 },
    { x: 0, n: 0 },
    { x: Number.NaN, n: 3 },
  ])
    expect(() => yieldChain([{ x: 1, n: 2 }, stage], jeffreys)).toThrow(RangeError);
  // Without a prior, counts alone make a distribution where some passed and some did not.
  expect(yieldChain([{ x: 1, n: 4 }], [0, 0]).posteriorMean).toBe(0.25);
  expect(() => yieldChain([{ x: 4, n: 4 }], [0, 0])).toThrow(RangeError);
  expect(() => yieldChain([{ x: 1, n: 2 }], [-1, 1])).toThrow(RangeError);
});
