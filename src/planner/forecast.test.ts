import randomBeta from '@stdlib/random-base-beta';
import randomMt19937 from '@stdlib/random-base-mt19937';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import type { Claim } from '../facts/claims.ts';
import { goalsOf, goalWords, lastSetDay, pensOf } from '../facts/goals.ts';
import { Birds } from '../judge/rates/birds.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { type PlannedShare, Worlds } from '../judge/rates/worlds.ts';
import { Forecast, linesToCome, plannedShares } from './forecast.ts';
import { seasonForecast } from './season-forecast.ts';

const DRAWS = 500;
const goals = `goals:
  - {line: sussex, want: pullets, at: point-of-lay, count: 20, by: 2027-11-01, confidence: 0.9}
  - {line: sussex, want: chicks, count: 30, by: 2027-05-20}
  - {line: harlequin, want: birds, count: 10, by: 2027-09-01}
`;
const plan = `plan:
  - {set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 20, yard: 18}}
  - {set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 20, yard: 18}}
`;
const forecastOf = (yaml: string, written: readonly Written[], today: string, seed = 1) => {
  const season = seasonOf(yaml, written);
  const rates = farmRates(season, [], day(today));
  return new Forecast(new Worlds(season, day(today), rates, DRAWS, seed));
};
/** Birds of one claim, as if it were alone. */
const birdsFor = ({ worlds }: Forecast, claim: Claim, shares: readonly PlannedShare[]) =>
  new Forecast(worlds, [claim]).birdsOf(shares)[0]!;
const eggs: Written[] = ['2027-02-27', '2027-03-01', '2027-03-03', '2027-03-05'].flatMap((on) => [
  ['eggs', on, { pen: 'orchard', laid: 6, kept: 5 }],
  ['eggs', on, { pen: 'yard', laid: 5, kept: 5 }],
]);
const started: Written[] = [
  ...eggs,
  ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
];
const twentyInBarn: Written[] = [
  ...started,
  ['transfer', '2027-03-24', { set: 'A1', moved: 20 }],
  ['hatch', '2027-03-27', { set: 'A1', hatched: 20, final: 'yes' }],
  ['group', '2027-03-28', { group: 'G1', set: 'A1', brooder: 'barn', chicks: 20 }],
];

describe('birds of a goal', () => {
  test('the same seed gives the same answer, another one nearly so', () => {
    const of = (seed: number) => {
      const forecast = forecastOf(hill + goals + plan, eggs, '2027-03-06', seed);
      const lines = plannedShares(linesToCome(forecast.season, day('2027-03-06')));
      return forecast
        .birdsOf(lines)
        .map((birds, i) => birds.chance(forecast.claims[i]!.count).chance);
    };
    expect(of(1)).toEqual(of(1));
    of(1).forEach((chance, i) => {
      expect(Math.abs(chance - of(2)[i]!)).toBeLessThan(0.1);
    });
  });

  test('more eggs never lower a chance, and birds never exceed eggs', () => {
    const forecast = forecastOf(hill + goals, [], '2027-03-06');
    const goal = forecast.claims[0]!;
    const [pen] = pensOf(forecast.season, goal);
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 50 }),
        fc.integer({ min: 0, max: 20 }),
        fc.integer({ min: 0, max: 20 }),
        (few, more, day_) => {
          const share = (n: number) => ({
            set: 'S',
            pen: pen!,
            on: day(`2027-04-${String(day_ + 1).padStart(2, '0')}`),
            eggs: n,
          });
          const low = birdsFor(forecast, goal, [share(few)]);
          const high = birdsFor(forecast, goal, [share(few + more)]);
          expect(high.chance(10).chance).toBeGreaterThanOrEqual(low.chance(10).chance - 1e-12);
          expect(low.chance(few + 1).chance).toBe(0);
          expect(low.expected).toBeLessThanOrEqual(few);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('each stage that is recorded narrows what may come', () => {
    const width = (written: readonly Written[], today: string) => {
      const forecast = forecastOf(hill + goals, written, today);
      const birds = birdsFor(forecast, forecast.claims[1]!, []);
      return { low: birds.quantile(0.1), high: birds.quantile(0.9), expected: birds.expected };
    };
    const set = width(started, '2027-03-06');
    const candled: Written[] = [...started, ['candling', '2027-03-13', { set: 'A1', clear: 1 }]];
    const moved: Written[] = [...candled, ['transfer', '2027-03-24', { set: 'A1', moved: 19 }]];
    const opened: Written[] = [...moved, ['hatch', '2027-03-27', { set: 'A1', hatched: 15 }]];
    const closed: Written[] = [
      ...opened,
      ['hatch', '2027-03-28', { set: 'A1', hatched: 2, weak: 1, final: 'yes', unpipped: 2 }],
    ];
    expect(set.expected).toBeGreaterThan(9);
    const afterCandling = width(candled, '2027-03-13');
    expect(afterCandling.expected).toBeGreaterThan(set.expected);
    const after = width(opened, '2027-03-27');
    expect(after.low).toBeGreaterThanOrEqual(14);
    expect(after.high).toBeLessThanOrEqual(19);
    const last = width(closed, '2027-03-28');
    expect(last).toEqual({ low: 16, high: 16, expected: 16 });
  });

  test('sexed groups revise the pullets', () => {
    const reared: Written[] = [
      ...started,
      ['candling', '2027-03-13', { set: 'A1', clear: 0 }],
      ['transfer', '2027-03-24', { set: 'A1', moved: 20 }],
      ['hatch', '2027-03-27', { set: 'A1', hatched: 20, final: 'yes' }],
      ['group', '2027-03-28', { group: 'G1', set: 'A1', brooder: 'barn', chicks: 20 }],
    ];
    const yaml = `${hill}brooders: {barn: {area: 3}}\n${goals}`;
    const pullets = (written: readonly Written[]) => {
      const forecast = forecastOf(yaml, written, '2027-06-20');
      return birdsFor(forecast, forecast.claims[0]!, []);
    };
    const before = pullets(reared);
    expect(before.expected).toBeGreaterThan(8);
    expect(before.expected).toBeLessThan(11);
    const sexed: Written = [
      'sexing',
      '2027-06-10',
      { group: 'G1', pullets: 15, cockerels: 5, unsure: 0 },
    ];
    const after = pullets([...reared, sexed]);
    expect(after.expected).toBeGreaterThan(13.5);
    expect(after.quantile(0.95)).toBeLessThanOrEqual(15);
  });

  test('chicks sold young do not speak for the scatter of those that stayed', () => {
    // The rate itself is the keeper's own word, so that the counts speak for the scatter of the group alone.
    const yaml = `${hill}rates: {sussex: {reared: 0.91}}\nbrooders: {barn: {area: 3}}\n${goals}`;
    const pullets = (chicks: number, sold: number) => {
      const written: Written[] = [
        ...eggs,
        ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: chicks }],
        ['transfer', '2027-03-24', { set: 'A1', moved: chicks }],
        ['hatch', '2027-03-27', { set: 'A1', hatched: chicks, final: 'yes' }],
        ['group', '2027-03-27', { group: 'G1', set: 'A1', brooder: 'barn', chicks }],
        ['loss', '2027-03-31', { group: 'G1', birds: 3 }],
      ];
      if (sold > 0)
        written.push([
          'leaving',
          '2027-03-27',
          { group: 'G1', sex: 'unknown', birds: sold, way: 'sold' },
        ]);
      const forecast = forecastOf(yaml, written, '2027-04-17');
      return birdsFor(forecast, forecast.claims[0]!, []).expected;
    };
    // Of ten chicks three died: it does not matter whether ten more were among them for a day.
    expect(pullets(20, 10)).toBeCloseTo(pullets(10, 0), 6);
    // Of twenty three died: a better group.
    expect(pullets(20, 0) / 17).toBeGreaterThan(pullets(10, 0) / 7 + 0.001);
  });

  test('an order has the chicks it got and those it can still get; a goal all that hatched', () => {
    const yaml = `${hill}brooders: {barn: {area: 3}}
goals: [{line: sussex, want: chicks, count: 15, by: 2027-05-20, fate: sold}]
orders: [{for: Ann, line: sussex, want: chicks, count: 12, by: 2027-05-10}]
`;
    const leaving = (birds: number, more: Record<string, string>): Written => [
      'leaving',
      '2027-03-29',
      { group: 'G1', sex: 'unknown', birds, way: 'sold', ...more },
    ];
    const expected = (today: string, ...written: Written[]) => {
      const forecast = forecastOf(yaml, [...twentyInBarn, ...written], today);
      const [goal, ann] = forecast.birdsOf([]);
      return [ann!.expected, goal!.expected];
    };
    // Twenty hatched; Ann is to have twelve, so eight are for the goal.
    expect(expected('2027-03-29')).toEqual([20, 8]);
    // Twelve sold to others: eight are left for her, and no chick is two.
    expect(expected('2027-03-29', leaving(12, {}))[0]).toBe(8);
    // She has hers, for good.
    const got = leaving(12, { order: 'Ann' });
    expect(expected('2027-03-29', got)).toEqual([20, 8]);
    expect(expected('2027-05-01', got)).toEqual([12, 8]);
    // Three weeks old they are chicks, a day later they are not.
    expect(expected('2027-04-17')[0]).toBe(20);
    expect(expected('2027-04-18')[0]).toBe(0);
  });

  test('an order whose day is past keeps no birds from others that are no chicks any more', () => {
    const yaml = `${hill}brooders: {barn: {area: 3}}
goals: [{line: sussex, want: birds, at: table, count: 8, by: 2027-09-20}]
orders: [{for: Ann, line: sussex, want: chicks, count: 12, by: 2027-05-10}]
`;
    const birds = (today: string) => {
      const forecast = forecastOf(
        yaml,
        [
          ...twentyInBarn,
          // To whom they went was not written down.
          ['leaving', '2027-03-29', { group: 'G1', sex: 'unknown', birds: 12, way: 'sold' }],
        ],
        today,
      );
      return forecast.birdsOf([])[0]!.expected;
    };
    // She may still have the eight that are left.
    expect(birds('2027-03-30')).toBeLessThan(1);
    const grown = birds('2027-06-01');
    expect(grown).toBeGreaterThan(7);
    expect(grown).toBeLessThanOrEqual(8);
  });

  test('eggs not laid cannot be set', () => {
    const forecast = forecastOf(hill + goals, eggs, '2027-03-06');
    const goal = forecast.claims[1]!;
    const pen = forecast.season.pens.get('orchard')!;
    const share = { set: 'S', pen, on: day('2027-03-07'), eggs: 100 };
    const [come] = forecast.worlds.eggsThatCome([share]);
    expect(Math.max(...come!.eggs)).toBeLessThan(45);
    expect(Math.min(...come!.eggs)).toBeGreaterThanOrEqual(20);
    // What one share takes, another cannot have.
    const [, second] = forecast.worlds.eggsThatCome([share, { ...share, set: 'T' }]);
    expect(Math.max(...second!.eggs)).toBe(0);
    expect(birdsFor(forecast, goal, [share]).expected).toBeLessThan(30);
  });

  test('a set too late for a goal adds nothing to it', () => {
    const forecast = forecastOf(hill + goals, [], '2027-03-06');
    const goal = forecast.claims[1]!;
    expect(goalWords(goal)).toBe('30 sussex chicks by 2027-05-20');
    const pen = forecast.season.pens.get('orchard')!;
    const last = lastSetDay(goal);
    expect(last).toBe('2027-04-28');
    const at = (on: string) =>
      birdsFor(forecast, goal, [{ set: 'S', pen, on: day(on), eggs: 20 }]).expected;
    expect(at('2027-04-28')).toBeGreaterThan(5);
    expect(at('2027-04-29')).toBe(0);
  });
});

test('one more set for an order hatches within its days, or there is none', () => {
  const today = '2027-03-01';
  const of = (order: string) => {
    const forecast = forecastOf(
      `${hill}orders:\n  - {for: Ane, line: sussex, want: chicks, count: 40, ${order}}\n${plan}`,
      [],
      today,
    );
    const [claim] = seasonForecast(forecast, nowAt(today)).claims;
    return [claim!.lastSet, claim!.next?.on ?? null, claim!.last?.on ?? null];
  };
  // Chicks of a set are off the hatcher on its day 22 (seeds/species.yaml): by 30 April, of a set on 8 April.
  expect(of('by: 2027-04-30')[0]).toBe('2027-04-08');
  const [, ...days] = of('from: 2027-04-29, by: 2027-04-30');
  for (const on of days) expect([null, '2027-04-07', '2027-04-08']).toContain(on);
  // With every tray taken on those days no set that is too early is told.
  const [, next, last] = of('from: 2027-04-03, by: 2027-04-04');
  for (const on of [next, last]) expect([null, '2027-03-12', '2027-03-13']).toContain(on);
});

test('the last day to set eggs for a goal is one on which a plan may set them', () => {
  const last = (more: string, change = (yaml: string) => yaml) => {
    const forecast = forecastOf(
      `${change(hill)}${more}goals: [{line: sussex, want: chicks, count: 40, by: 2027-05-30}]\n`,
      [],
      '2027-03-01',
    );
    const [claim] = seasonForecast(forecast, nowAt('2027-03-01')).claims;
    return [claim!.lastSet, claim!.closed];
  };
  // 22 days before 30 May (seeds/species.yaml), a Saturday.
  expect(last('')).toEqual(['2027-05-08', null]);
  expect(last('setting: {to: 2027-04-20}\n')).toEqual(['2027-04-20', null]);
  expect(last('days_off: {set: [sat]}\n')).toEqual(['2027-05-07', null]);
  // Eggs of the day before the parting are set until they are eight days old.
  const parted = (yaml: string) =>
    yaml.replaceAll('joined: 2027-01-30', 'joined: 2027-01-30, parted: 2027-04-01');
  expect(last('', parted)).toEqual(['2027-04-08', null]);
  expect(last('setting: {from: 2027-02-01, to: 2027-02-20}\n')).toEqual([null, 'no day to set']);
});

test('goals say what age they mean', () => {
  expect(goalsOf(seasonOf(hill + goals)).map((goal) => [goal.at, goal.ageDays > 0])).toEqual([
    ['point-of-lay', true],
    ['hatch', false],
    ['table', true],
  ]);
});

test('a sum of binomials has the tails of the exact distribution', () => {
  // 12 eggs at 0.7 and 9 at 0.4, convolved.
  const choose = (n: number, k: number): number =>
    k === 0 ? 1 : (choose(n, k - 1) * (n - k + 1)) / k;
  const pmf = (n: number, p: number) =>
    Array.from({ length: n + 1 }, (_, k) => choose(n, k) * p ** k * (1 - p) ** (n - k));
  const [first, second] = [pmf(12, 0.7), pmf(9, 0.4)];
  const tail = (count: number) =>
    first.reduce(
      (sum, a, i) => sum + second.reduce((s, b, j) => (i + j >= count ? s + a * b : s), 0),
      0,
    );
  const birds = Birds.of(1, [
    { eggs: 12, rate: 0.7 },
    { eggs: 9, rate: 0.4 },
  ]);
  for (const count of [5, 8, 10, 12, 14, 17, 21])
    expect(birds.chance(count).chance).toBeCloseTo(tail(count), 2);
  expect(birds.chance(22).chance).toBe(0);
  expect(birds.quantile(0.5)).toBe(12);
});

test('a set whose scatter is not known has the birds of sets played out egg by egg', () => {
  // Two pens with their own fertility, one machine: Beta numbers, then eggs one by one.
  const { normalized: uniform } = randomMt19937.factory({ seed: 7 }) as unknown as {
    normalized: () => number;
  };
  const beta = randomBeta.factory({ prng: uniform });
  const moments = (a: number, b: number) => {
    const rise = (k: number) => (a + k) / (a + b + k);
    const first = rise(0);
    const second = first * rise(1);
    return {
      first: Float64Array.of(first),
      second: Float64Array.of(second),
      third: Float64Array.of(second * rise(2)),
    };
  };
  const birds = new Birds(1);
  birds.addSet(
    [
      { eggs: [40], scatter: moments(20, 4), kept: 0.95 },
      { eggs: [25], scatter: moments(9, 6), kept: 1 },
    ],
    [moments(14, 5)],
    0.5,
  );
  const PLAYED = 40_000;
  const counts: number[] = [];
  for (let i = 0; i < PLAYED; i++) {
    const machine = beta(14, 5) * 0.5;
    let out = 0;
    for (const [eggs, rate] of [
      [40, beta(20, 4) * 0.95 * machine],
      [25, beta(9, 6) * machine],
    ] as const)
      for (let egg = 0; egg < eggs; egg++) if (uniform() < rate) out++;
    counts.push(out);
  }
  const mean = counts.reduce((sum, n) => sum + n, 0) / PLAYED;
  const sd = Math.sqrt(counts.reduce((sum, n) => sum + (n - mean) ** 2, 0) / PLAYED);
  expect(Math.abs(birds.expected - mean)).toBeLessThan((4 * sd) / Math.sqrt(PLAYED));
  expect(Math.abs(birds.sd / sd - 1)).toBeLessThan(0.02);
  for (const count of [8, 12, 16, 19, 22, 26]) {
    const played = counts.filter((n) => n >= count).length / PLAYED;
    expect(Math.abs(birds.chance(count).chance - played)).toBeLessThan(0.012);
  }
});

test('the moments of a power of a rate are those of the rates drawn', () => {
  const forecast = forecastOf(hill + goals, [], '2027-03-06');
  const pen = forecast.season.pens.get('orchard')!;
  const { worlds } = forecast;
  for (const power of [1, 0.6]) {
    const { first, second, third } = worlds.moments(['reared'], pen, power);
    const sums = [0, 0, 0];
    const sets = 60;
    for (let set = 0; set < sets; set++)
      worlds.passing(['reared'], pen, `set ${set}`).forEach((rate) => {
        for (const k of [1, 2, 3]) sums[k - 1]! += rate ** (k * power);
      });
    [first, second, third].forEach((row, k) => {
      const drawn = sums[k]! / (sets * DRAWS);
      const known = row.reduce((sum, value) => sum + value, 0) / DRAWS;
      expect(Math.abs(known / drawn - 1)).toBeLessThan(0.005);
    });
  }
});
