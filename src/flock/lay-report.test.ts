import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import { layReport } from './lay-report.ts';

const eggs = (on: string, pen: string, laid: number, more: object = {}): Written => [
  'eggs',
  on,
  { pen, laid, kept: laid, ...more },
];

test('hen-day and hen-housed lay, own arithmetic by the definitions of dagris.ilri.cgiar.org (read)', () => {
  const season = seasonOf(hill, [
    eggs('2027-03-01', 'orchard', 6),
    eggs('2027-03-02', 'orchard', 3),
    // A second walk of the same day.
    eggs('2027-03-02', 'orchard', 2),
    ['pen-change', '2027-03-03', { pen: 'orchard', change: 'died', birds: 3, sex: 'female' }],
    eggs('2027-03-04', 'orchard', 5),
    eggs('2027-03-20', 'orchard', 6),
    ['eggs', '2027-03-05', { pen: 'yard', kept: 4 }],
  ]);
  const [orchard, ...others] = layReport(season, nowAt('2027-03-10'));
  expect(others).toEqual([]);
  // 16 eggs of 9 + 9 + 6 hens; of 9 housed over 3 days.
  expect(orchard).toMatchObject({ pen: 'orchard', days: 3, laid: 16 });
  expect(orchard!.hen_day).toBeCloseTo(16 / 24, 12);
  expect(orchard!.hen_housed).toBeCloseTo(16 / 27, 12);
  // 24 hen-days at 125 g and 7.5 % waste (seeds/growth.yaml) for 16 eggs of the middle of the kind's range.
  const { low, high } = season.pens.get('orchard')!.line.species.egg_g.value;
  expect(orchard!.feed_conversion).toBeCloseTo((24 * 125 * 1.075) / (16 * ((low + high) / 2)), 9);
});

test('nothing dies: both are one; a kind without a figure for feed in lay has no conversion', () => {
  const season = seasonOf(hill, [eggs('2027-03-01', 'pond', 3), eggs('2027-03-02', 'pond', 2)]);
  expect(layReport(season, nowAt('2027-03-10'))).toEqual([
    { pen: 'pond', days: 2, laid: 5, hen_day: 5 / 8, hen_housed: 5 / 8, feed_conversion: null },
  ]);
});
