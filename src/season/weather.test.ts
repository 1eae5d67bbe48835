// Temperatures written down, in °C by day.
import { expect, test } from 'vitest';
import { rowsOf, type Written } from '../../tests/support/season.ts';
import type { RowOf } from '../records/record.ts';
import type { weather } from '../records/weather.ts';
import { celsius, weatherIn } from './weather.ts';

const written = (...rows: (readonly [string, string, string])[]) =>
  rowsOf(
    'weather',
    rows.map(([on, low, high]): Written => ['weather', on, { low, high }]),
  ) as readonly RowOf<typeof weather>[];

test('the coldest and the warmest of a day, days in order, unknown where nothing says', () => {
  const rows = written(
    ['2027-03-02', '4', ''],
    ['2027-03-01', '-1', '9'],
    ['2027-03-02', '2.5', '11'],
    ['2027-03-02', '', '12'],
    ['2027-02-28', '', '0'],
    ['2027-03-03', '0', ''],
  );
  expect(weatherIn(rows, 'C')).toEqual([
    { day: '2027-02-28', low: null, high: 0 },
    { day: '2027-03-01', low: -1, high: 9 },
    { day: '2027-03-02', low: 2.5, high: 12 },
    { day: '2027-03-03', low: 0, high: null },
  ]);
  expect(weatherIn(written(['2027-03-01', '32', '50']), 'F')).toEqual([
    { day: '2027-03-01', low: 0, high: 10 },
  ]);
  expect(weatherIn([], 'C')).toEqual([]);
});

// The fixed points of the scale: ice melts at 32 °F, water boils at 212 °F, and −40 is one cold.
test.each([
  [32, 0],
  [212, 100],
  [-40, -40],
])('%s °F is %s °C', (fahrenheit, c) => {
  expect(celsius(fahrenheit, 'F')).toBe(c);
  expect(celsius(fahrenheit, 'C')).toBe(fahrenheit);
});
