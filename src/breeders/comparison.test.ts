import { describe, expect, it } from 'vitest';
import { compare, type ScoredBird, type Trait } from './comparison.ts';

const weight: Trait = {
  name: 'weight',
  sex: 'both',
  age_days: 84,
  within_days: 3,
  on_one_day: true,
};
const bird = (id: string, hatch: string, born: number | null, sex: 'male' | 'female' = 'male') =>
  [id, { id, hatch, born, sex }] as [string, ScoredBird];

describe('comparison with peers', () => {
  it('never compares two hatches on the calendar day', () => {
    const birds = new Map([
      bird('a', 'early', 0),
      bird('b', 'early', 0),
      bird('c', 'late', 14),
      bird('d', 'late', 14),
    ]);
    const { compared } = compare({ ...weight, age_days: null }, birds, [
      { bird: 'a', value: 1900, on: 90 },
      { bird: 'b', value: 2100, on: 90 },
      { bird: 'c', value: 1500, on: 90 },
      { bird: 'd', value: 1300, on: 90 },
    ]);
    expect(compared.map(({ bird, deviation }) => [bird, deviation])).toEqual([
      ['a', -100],
      ['b', 100],
      ['c', 100],
      ['d', -100],
    ]);
  });
  it('compares ages on whatever day they came', () => {
    const birds = new Map([bird('a', 'one', 0, 'female'), bird('b', 'one', 0, 'female')]);
    const scores = [
      { bird: 'a', value: 150, on: 150 },
      { bird: 'b', value: 170, on: 170 },
    ];
    const firstEgg: Trait = { ...weight, age_days: null, on_one_day: false };
    expect(compare(firstEgg, birds, scores).compared.map((one) => one.deviation)).toEqual([
      -10, 10,
    ]);
    expect(compare({ ...firstEgg, on_one_day: true }, birds, scores).compared).toEqual([]);
  });
  it('keeps the sexes apart', () => {
    const birds = new Map([
      bird('m', 'one', 0),
      bird('n', 'one', 0),
      bird('f', 'one', 0, 'female'),
    ]);
    const { compared, leftOut } = compare(weight, birds, [
      { bird: 'm', value: 2000, on: 84 },
      { bird: 'n', value: 2200, on: 84 },
      { bird: 'f', value: 1500, on: 84 },
    ]);
    expect(compared).toHaveLength(2);
    expect(leftOut).toEqual([
      { score: { bird: 'f', value: 1500, on: 84 }, why: 'nothing to compare with' },
    ]);
  });
  it('says why a score is left out', () => {
    const birds = new Map([bird('a', 'one', 10), bird('b', 'one', null)]);
    const { leftOut } = compare({ ...weight, sex: 'male' }, birds, [
      { bird: 'x', value: 1, on: 94 },
      { bird: 'a', value: 1, on: 9 },
      { bird: 'b', value: 1, on: 94 },
      { bird: 'a', value: 1, on: 60 },
    ]);
    expect(leftOut.map(({ why }) => why)).toEqual([
      'unknown bird',
      'not born',
      'birth date unknown',
      'wrong age',
    ]);
  });
  it('takes the score nearest the wanted age', () => {
    const birds = new Map([bird('a', 'one', 0), bird('b', 'one', 0)]);
    const { compared, spread, degrees } = compare(weight, birds, [
      { bird: 'a', value: 1900, on: 82 },
      { bird: 'a', value: 2000, on: 84 },
      { bird: 'b', value: 2100, on: 84 },
    ]);
    expect(compared.map(({ value }) => value)).toEqual([2000, 2100]);
    expect(spread).toBeCloseTo(Math.SQRT1_2 * 100, 9);
    expect(degrees).toBe(1);
  });
});
