import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf } from '../../tests/support/season.ts';
import { goalsOf } from '../facts/goals.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { meanRate, needOf, worthOf } from './needs.ts';
import { seasonProblem } from './season-problem.ts';

// The keeper's own rates, known well, so that a chain can be multiplied out by hand.
const yaml = `${hill}rates:
  sussex: {fertile: 0.9, candled: 0.95, transferred: 0.98, hatched: 0.85, sound: 0.97, reared: 0.92, female: 0.45}
goals:
  - {line: sussex, want: pullets, count: 20, by: 2027-11-01}
  - {line: harlequin, want: chicks, count: 12, by: 2027-06-01}
`;
const now = nowAt('2027-03-01');
const season = seasonOf(yaml);
const rates = farmRates(season, [], now.day);
const goals = goalsOf(season);
const problem = seasonProblem(season, now, rates, goals);
const source = (name: string) => problem.pens.findIndex((pen) => pen.name === name);
const hatchOfSet = 0.9 * 0.95 * 0.98 * 0.85;

describe('birds to be expected from a fresh egg', () => {
  const pen = season.pens.get('orchard')!;

  test('are the product of the means of the chain', () => {
    const of = (want: 'chicks' | 'pullets' | 'cockerels' | 'birds', at: 'hatch' | 'table') =>
      meanRate(rates, { want, at }, pen);
    expect(of('chicks', 'hatch')).toBeCloseTo(hatchOfSet * 0.97, 3);
    expect(of('birds', 'table')).toBeCloseTo(hatchOfSet * 0.97 * 0.92, 3);
    expect(of('pullets', 'table')).toBeCloseTo(hatchOfSet * 0.97 * 0.92 * 0.45, 3);
    expect(of('cockerels', 'table')).toBeCloseTo(hatchOfSet * 0.97 * 0.92 * 0.55, 3);
  });

  test('are pullets or cockerels, one or the other', () => {
    const of = (want: 'pullets' | 'cockerels' | 'birds') =>
      meanRate(rates, { want, at: 'table' }, pen);
    expect(of('pullets') + of('cockerels')).toBeCloseTo(of('birds'), 12);
  });
});

describe('a goal as the program sees it', () => {
  const need = needOf(problem, rates, goals[0]!, 27.5);

  test('has a rate for each pen of its line and none for others', () => {
    // Lay is not well known yet: of each pen the eggs that are sure, and those hoped for.
    expect(problem.pens.map((pen) => pen.name)).toEqual(
      ['orchard', 'yard', 'pond'].flatMap((name) => [name, name]),
    );
    need.rates.forEach((rate, i) => {
      const isSussex = problem.pens[i]!.name !== 'pond';
      const bird = hatchOfSet * 0.97 * 0.92 * 0.45;
      expect(rate).toBeCloseTo(isSussex ? problem.sure[i]! * bird : 0, 3);
    });
    const [sure, hoped] = problem.sure;
    expect(sure).toBeGreaterThan(0.9);
    expect(sure).toBeLessThan(1);
    expect(hoped).toBeGreaterThan(0.5);
    expect(hoped).toBeLessThan(0.9);
    expect(need.birds).toBe(27.5);
  });

  test('has a last day for its eggs, counted from the day of the plan', () => {
    // 1 November less 165 days of age and 21 of hatching is 29 April: 59 days after 1 March.
    expect(need.lastSet).toBe(59);
    const past = needOf(problem, rates, { ...goals[0]!, by: day('2027-08-01') }, 1);
    expect(past.lastSet).toBeLessThan(0);
  });

  test('an egg is worth its rate, less what storage takes, until that day', () => {
    const egg = (name: string, set: number, age: number) =>
      worthOf(problem, need, { source: source(name), set, age });
    const fresh = need.rates[source('orchard')]!;
    expect(egg('orchard', 59, 4)).toBe(fresh);
    // Points lost a day: 0.5 from day 5 to 7, 1 from day 8 (seeds/species.yaml), of a hatch of 75;
    // times what this farm is believed to lose beside the table, near 1 before any counts.
    const times = rates.storage('chicken').mean;
    expect(Math.abs(times - 1)).toBeLessThan(0.2);
    expect(egg('orchard', 10, 7)).toBeCloseTo(fresh * (1 - (times * 1.5) / 75), 10);
    expect(egg('orchard', 10, 8)).toBeCloseTo(fresh * (1 - (times * 2.5) / 75), 10);
    expect(egg('orchard', 60, 1)).toBe(0);
    expect(egg('pond', 10, 1)).toBe(0);
  });
});
