import fc from 'fast-check';
import { expect, test } from 'vitest';
import { betaQuantile } from '../../../tests/vectors/textbook/distributions.ts';
import { ratePosterior, withinPrior } from './levels.ts';

const set = (x: number, n: number) => ({ x, n, kept: 1, power: 1 });

test('one rate for all and no scatter is the conjugate beta', () => {
  const posterior = ratePosterior({ mean: 0.8, strength: 20 }, { within: 0, between: 0, year: 0 }, [
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
  const posterior = ratePosterior(prior, { within: 0.02, between: 0.04, year: 0 }, []);
  const { mean, low, high } = posterior.unit('north');
  expect(mean).toBeCloseTo(0.85, 2);
  expect(low).toBeLessThan(betaQuantile(0.025, 25.5, 4.5));
  expect(high).toBeGreaterThan(betaQuantile(0.975, 25.5, 4.5));
});

test('a pen with few counts is drawn towards the others, one with many keeps its own', () => {
  const others = { name: 'south', sets: [set(170, 200), set(172, 200)] };
  const at = (n: number) =>
    ratePosterior({ mean: 0.8, strength: 10 }, { within: 0.01, between: 0.02, year: 0 }, [
      others,
      { name: 'north', sets: [set(n / 2, n)] },
    ]).unit('north').mean;
  expect(at(4)).toBeGreaterThan(0.7);
  expect(at(400)).toBeLessThan(0.6);
});

test('sets that scatter much raise the correlation, even ones lower it', () => {
  const of = (counts: readonly number[]) =>
    ratePosterior({ mean: 0.8, strength: 10 }, { within: 0.04, between: 0.02, year: 0 }, [
      { name: 'north', sets: counts.map((x) => set(x, 40)) },
    ]).within.mean;
  const expected = withinPrior(0.04).reduce((sum, one) => sum + one.value * one.weight, 0);
  expect(of([38, 20, 35, 15, 39, 25, 10, 36])).toBeGreaterThan(2 * expected);
  expect(of([32, 32, 33, 31, 32, 32, 32, 33])).toBeLessThan(expected / 2);
});

test('two pens drawn together move together as far as the farm is unknown', () => {
  const correlation = (between: number) => {
    const posterior = ratePosterior(
      { mean: 0.8, strength: 10 },
      { within: 0, between, year: 0 },
      [],
    );
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
          { within: 0.03, between: 0.02, year: 0 },
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

const stream = (seed: number) => {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1_103_515_245) + 12_345) & 0x7fffffff;
    return state / 0x80000000;
  };
};
const correlationOf = (a: Float64Array, b: Float64Array): number => {
  const mean = (row: Float64Array) => row.reduce((s, v) => s + v, 0) / row.length;
  const [ma, mb] = [mean(a), mean(b)];
  let ab = 0;
  let aa = 0;
  let bb = 0;
  a.forEach((v, i) => {
    ab += (v - ma) * (b[i]! - mb);
    aa += (v - ma) ** 2;
    bb += (b[i]! - mb) ** 2;
  });
  return ab / Math.sqrt(aa * bb);
};

test('pens of one year have their bad years together, however well the farm is known', () => {
  const earlier = Array.from({ length: 12 }, (_, i) => ({
    name: `20${10 + i}/pen north`,
    sets: [set(350, 400)],
  }));
  const posterior = ratePosterior(
    { mean: 0.85, strength: 20 },
    { within: 0, between: 0.005, year: 0.03 },
    earlier,
  );
  const [north, south, later] = posterior.draw(
    ['2027/pen north', '2027/pen south', '2028/pen south'],
    4000,
    stream(7),
  ).rates;
  expect(correlationOf(north!, south!)).toBeGreaterThan(0.6);
  expect(correlationOf(north!, later!)).toBeLessThan(0.4);
});

test('draws have the mean and spread that the intervals tell', () => {
  const posterior = ratePosterior(
    { mean: 0.85, strength: 20 },
    { within: 0.03, between: 0.03, year: 0.02 },
    [
      { name: '2026/pen north', sets: [set(30, 40), set(22, 40), set(35, 40)] },
      { name: '2027/pen north', sets: [set(18, 20)] },
    ],
  );
  const [row] = posterior.draw(['2027/pen north'], 20_000, stream(3)).rates;
  const sorted = Float64Array.from(row!).sort();
  const told = posterior.unit('2027/pen north');
  expect(row!.reduce((s, v) => s + v, 0) / row!.length).toBeCloseTo(told.mean, 2);
  expect(sorted[500]).toBeCloseTo(told.low, 1);
  expect(sorted[19_500]).toBeCloseTo(told.high, 1);
});

test.each([
  ['of one season', []],
  ['of a male who was here the year before', [set(9, 20), set(12, 20)]],
])(
  'agrees with an independent reckoning of the same model by importance sampling: %s',
  (_, earlier) => {
    // Farm, year and two pens drawn from the prior, weighed by the beta-binomial of their sets, with
    // steps and correlation held at their single values.
    const prior = { mean: 0.8, strength: 12 };
    const spread = { within: 0.04, between: 0.03, year: 0.02 };
    const counts = { north: [set(14, 20), set(11, 20)], south: [set(19, 20)] };
    const posterior = ratePosterior(prior, spread, [
      { name: '2027/north', sets: counts.north },
      { name: '2027/south', sets: counts.south },
    ]);
    const uniform = stream(11);
    const normal = () =>
      Math.sqrt(-2 * Math.log(Math.max(1e-12, uniform()))) * Math.cos(2 * Math.PI * uniform());
    const logRise = (a: number, n: number) => {
      let sum = 0;
      for (let j = 0; j < n; j++) sum += Math.log(a + j);
      return sum;
    };
    const pick = <T extends { weight: number }>(list: readonly T[]): T => {
      let left = uniform();
      for (const one of list) {
        left -= one.weight;
        if (left < 0) return one;
      }
      return list.at(-1)!;
    };
    // A beta by its mean and strength: a ratio of sums of exponentials, exact for whole parameters.
    const gamma = (k: number) => {
      let sum = 0;
      for (let i = 0; i < Math.round(k); i++) sum -= Math.log(Math.max(1e-12, uniform()));
      return sum;
    };
    const steps = [
      { value: 0.3, weight: 0.3 },
      { value: 1, weight: 0.45 },
      { value: 2.5, weight: 0.25 },
    ];
    let total = 0;
    let mean = 0;
    const whole = { mean: 0.75, strength: 12 };
    const again = ratePosterior(whole, spread, [
      { name: '2026/west', sets: earlier, under: '2027/north' },
      { name: '2027/north', sets: counts.north },
      { name: '2027/south', sets: counts.south },
    ]);
    for (let i = 0; i < 40_000; i++) {
      const a = gamma(9);
      const farm = a / (a + gamma(3));
      const scale = whole.mean * (1 - whole.mean);
      const step = pick(steps).value;
      const rho = pick(withinPrior(spread.within)).value;
      const year = Math.log(farm / (1 - farm)) + Math.sqrt((step * spread.year) / scale) * normal();
      let log = 0;
      let north = 0;
      let zNorth = 0;
      for (const [name, sets] of [...Object.entries(counts), ['earlier', earlier] as const]) {
        const z =
          name === 'earlier'
            ? zNorth + Math.sqrt((2 * step * spread.year) / scale) * normal()
            : year + Math.sqrt((step * spread.between) / scale) * normal();
        if (name === 'north') zNorth = z;
        const p = 1 / (1 + Math.exp(-z));
        if (name === 'north') north = p;
        for (const { x, n } of sets) {
          if (rho === 0) log += x * Math.log(p) + (n - x) * Math.log(1 - p);
          else {
            const strength = 1 / rho - 1;
            log +=
              logRise(p * strength, x) + logRise((1 - p) * strength, n - x) - logRise(strength, n);
          }
        }
      }
      const weight = Math.exp(log + 25);
      total += weight;
      mean += weight * north;
    }
    expect(again.unit('2027/north').mean).toBeCloseTo(mean / total, 2);
    expect(posterior.unit('2027/north').mean).toBeGreaterThan(again.unit('2027/north').mean - 0.01);
  },
);

test('more records never widen an interval on average, and their order does not matter', () => {
  let before = 0;
  let after = 0;
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 1_000_000 }),
      fc.integer({ min: 1, max: 5 }),
      (seed, sets) => {
        const uniform = stream(seed + 1);
        const rate = 0.6 + 0.35 * uniform();
        const draw = (n: number) =>
          Array.from({ length: n }, () => uniform()).filter((u) => u < rate).length;
        const some = Array.from({ length: sets }, () => set(draw(20), 20));
        const more = [...some, set(draw(20), 20), set(draw(20), 20)];
        const of = (list: readonly (typeof some)[number][]) =>
          ratePosterior({ mean: 0.85, strength: 20 }, { within: 0.03, between: 0.03, year: 0.02 }, [
            { name: '2027/pen a', sets: list },
          ]).unit('2027/pen a');
        before += of(some).high - of(some).low;
        after += of(more).high - of(more).low;
        const turned = of([...more].reverse());
        expect(turned.mean).toBeCloseTo(of(more).mean, 10);
        expect(turned.high).toBeCloseTo(of(more).high, 10);
      },
    ),
    { numRuns: 30 },
  );
  expect(after).toBeLessThan(before);
});

test('a hundred thousand eggs are weighed as exactly as ten', () => {
  const many = ratePosterior(
    { mean: 0.85, strength: 20 },
    { within: 0.02, between: 0.02, year: 0.01 },
    Array.from({ length: 10 }, (_, i) => ({ name: '2027/pen a', sets: [set(8600 + i, 10_000)] })),
  ).unit('2027/pen a');
  expect(many.mean).toBeCloseTo(0.86, 2);
  expect(many.high - many.low).toBeLessThan(0.06);
  expect(many.high - many.low).toBeGreaterThan(0.005);
});
