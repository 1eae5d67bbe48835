import fc from 'fast-check';
import { expect, test } from 'vitest';
import { betaQuantile } from '../statistics/distributions.ts';
import { ratePosterior, withinPrior } from './rate-posterior.ts';

const set = (x: number, n: number) => ({ x, n, kept: 1, power: 1 });

test('one rate for all and no scatter is the conjugate beta', () => {
  const posterior = ratePosterior({ mean: 0.8, strength: 20 }, { within: 0, between: 0 }, [
    { name: 'north', sets: [set(30, 40), set(35, 40)] },
    { name: 'south', sets: [set(18, 20)] },
  ]);
  const a = 16 + 83;
  const b = 4 + 17;
  const found = posterior.unit('north');
  expect(found.mean).toBeCloseTo(a / (a + b), 3);
  expect(found.low).toBeCloseTo(betaQuantile(0.025, a, b), 2);
  expect(found.high).toBeCloseTo(betaQuantile(0.975, a, b), 2);
  expect(posterior.unit('a pen not counted yet')).toEqual(found);
});

test('a unit without counts has the prior, widened by how units differ', () => {
  const prior = { mean: 0.85, strength: 30 };
  const posterior = ratePosterior(prior, { within: 0.02, between: 0.04 }, []);
  const { mean, low, high } = posterior.unit('north');
  expect(mean).toBeCloseTo(0.85, 2);
  expect(low).toBeLessThan(betaQuantile(0.025, 25.5, 4.5));
  expect(high).toBeGreaterThan(betaQuantile(0.975, 25.5, 4.5));
});

test('a pen with few counts is drawn towards the others, one with many keeps its own', () => {
  const others = { name: 'south', sets: [set(170, 200), set(172, 200)] };
  const at = (n: number) =>
    ratePosterior({ mean: 0.8, strength: 10 }, { within: 0.01, between: 0.02 }, [
      others,
      { name: 'north', sets: [set(n / 2, n)] },
    ]).unit('north').mean;
  expect(at(4)).toBeGreaterThan(0.7);
  expect(at(400)).toBeLessThan(0.6);
});

test('sets that scatter much raise the correlation, even ones lower it', () => {
  const of = (counts: readonly number[]) =>
    ratePosterior({ mean: 0.8, strength: 10 }, { within: 0.04, between: 0.02 }, [
      { name: 'north', sets: counts.map((x) => set(x, 40)) },
    ]).within.mean;
  const expected = withinPrior(0.04).reduce((sum, one) => sum + one.value * one.weight, 0);
  expect(of([38, 20, 35, 15, 39, 25, 10, 36])).toBeGreaterThan(2 * expected);
  expect(of([32, 32, 33, 31, 32, 32, 32, 33])).toBeLessThan(expected / 2);
});

test('two pens drawn together move together as far as the farm is unknown', () => {
  const correlation = (between: number) => {
    const posterior = ratePosterior({ mean: 0.8, strength: 10 }, { within: 0, between }, []);
    let state = 12345;
    const uniform = () => {
      state = (Math.imul(state, 1_103_515_245) + 12_345) & 0x7fffffff;
      return state / 0x80000000;
    };
    const [a, b] = posterior.draw(['north', 'south'], 4000, uniform).rates;
    const mean = (row: Float64Array) => row.reduce((s, v) => s + v, 0) / row.length;
    const [ma, mb] = [mean(a!), mean(b!)];
    let ab = 0;
    let aa = 0;
    let bb = 0;
    a!.forEach((v, i) => {
      ab += (v - ma) * (b![i]! - mb);
      aa += (v - ma) ** 2;
      bb += (b![i]! - mb) ** 2;
    });
    return ab / Math.sqrt(aa * bb);
  };
  expect(correlation(0)).toBeCloseTo(1, 6);
  expect(correlation(0.01)).toBeGreaterThan(0.7);
  expect(correlation(0.3)).toBeLessThan(0.4);
});

test('every interval holds its mean and lies within 0 and 1; draws do too', () => {
  const counts = fc
    .tuple(fc.integer({ min: 1, max: 60 }), fc.double({ min: 0, max: 1, noNaN: true }))
    .map(([n, share]) => ({ x: Math.round(share * n), n, kept: 1, power: 1 }));
  fc.assert(
    fc.property(
      fc.double({ min: 0.05, max: 0.98, noNaN: true }),
      fc.integer({ min: 2, max: 200 }),
      fc.array(fc.array(counts, { minLength: 1, maxLength: 4 }), { maxLength: 3 }),
      (mean, strength, units) => {
        const posterior = ratePosterior(
          { mean, strength },
          { within: 0.03, between: 0.02 },
          units.map((sets, i) => ({ name: `pen ${i}`, sets })),
        );
        const found = posterior.unit('pen 0');
        expect(found.low).toBeGreaterThanOrEqual(0);
        expect(found.high).toBeLessThanOrEqual(1);
        expect(found.low).toBeLessThanOrEqual(found.mean);
        expect(found.mean).toBeLessThanOrEqual(found.high);
      },
    ),
    { numRuns: 25 },
  );
});
