import { describe, expect, test } from 'vitest';
import * as numbers from './numbers.ts';

const imperial: numbers.Units = { temperature: 'F', mass: 'oz', area: 'ft2', currency: 'USD' };
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

describe('numbers', () => {
  test('a minus is a minus sign, and zero has none', () => {
    expect(numbers.fixed(-3.25, 1)).toBe('−3.3');
    expect(numbers.fixed(-0.04, 1)).toBe('0.0');
    expect(numbers.signed(0.04, 1)).toBe('0.0');
    expect([numbers.signed(2), numbers.signed(-2)]).toEqual(['+2', '−2']);
  });

  test('rates: whole percentages, with a decimal where they are small', () => {
    expect([0, 0.034, 0.0994, 0.0995, 0.1, 0.846, 1].map(numbers.percent).map(plain)).toEqual([
      '0 %',
      '3.4 %',
      '9.9 %',
      '10 %',
      '10 %',
      '85 %',
      '100 %',
    ]);
    expect(plain(numbers.percentRange(0.82, 0.9))).toBe('82–90 %');
    expect(
      plain(numbers.rateWords({ count: 112, of: 133, share: 112 / 133, low: 0.77, high: 0.89 })!),
    ).toBe('84 % (77–89 %), 112 of 133');
  });

  test('a range over zero is written with "to", so that a minus does not meet a dash', () => {
    expect(plain(numbers.range(-3, 5))).toBe('−3 to 5');
    expect(numbers.range(3, 5)).toBe('3–5');
    expect(numbers.range(3, 3)).toBe('3');
  });

  test('a chance is never 0 or 100 %', () => {
    expect([0, 0.004, 0.01, 0.5, 0.99, 0.996, 1].map(numbers.chance).map(plain)).toEqual([
      '<1 %',
      '<1 %',
      '1 %',
      '50 %',
      '99 %',
      '>99 %',
      '>99 %',
    ]);
  });

  // NIST SP 811 (2008), appendix B.8: 1 oz = 28.34952 g, 1 lb = 0.4535924 kg, 1 ft = 0.3048 m.
  test('a season in °F, oz and ft² is written in them alone', () => {
    const written = (Object.keys(numbers.usualDigits) as numbers.Measure[]).map((measure) =>
      plain(numbers.measured(10, measure, imperial)),
    );
    expect(written).toEqual([
      '50.0 °F',
      '18.0 °F',
      '0.4 oz',
      '22.0 lb',
      '107.6 ft²',
      '33 ft',
      '4 in',
      '10.0 l',
      '10 h',
      '10 kWh',
    ]);
    expect(numbers.perUnit(10, 'weight', imperial)).toBeCloseTo(4.5359237, 9);
  });

  test('days', () => {
    const day = '2027-04-24' as Parameters<typeof numbers.longDay>[0];
    expect(plain(numbers.longDay(day))).toBe('Saturday 24 April 2027');
    expect(plain(numbers.weekdayMonth(day))).toBe('Sat 24 Apr');
  });
});
