import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, rowsOf, seasonOf, type Written } from '../../tests/support/season.ts';
import { effectiveRows } from '../records/effective.ts';
import type { Rows } from '../records/index.ts';
import { isAfter, rowsUpTo } from './moment.ts';

// The moment is 07:00 of 14 March.
const now = nowAt('2027-03-14');

test.each([
  ['2027-03-13', null, false],
  ['2027-03-13', '23:59', false],
  ['2027-03-14', null, false],
  ['2027-03-14', '06:59', false],
  ['2027-03-14', '07:00', false],
  ['2027-03-14', '07:01', true],
  ['2027-03-15', null, true],
  ['2027-03-15', '00:00', true],
])('%s %s', (on, time, after) => {
  expect(isAfter({ day: day(on), time }, now)).toBe(after);
});

describe('the rows up to a moment', () => {
  const written: Written[] = [
    ['hatch', '2027-03-14T08:00', { set: 'A1', hatched: 2 }],
    ['hatch', '2027-03-14T06:00', { set: 'A1', hatched: 1 }],
    ['eggs', '2027-03-15', { pen: 'orchard', kept: 3 }],
    ['eggs', '2027-03-14', { pen: 'orchard', kept: 2 }],
    ['eggs', '2027-03-16', { pen: 'orchard', kept: 4 }],
  ];
  const rows: Rows = {
    ...seasonOf(hill).rows,
    hatch: effectiveRows(rowsOf('hatch', written)).rows as Rows['hatch'],
    eggs: effectiveRows(rowsOf('eggs', written)).rows as Rows['eggs'],
  };

  test('are those of that moment and before, and the rest are told', () => {
    const cut = rowsUpTo(rows, now);
    expect(cut.rows.hatch.map((row) => row.values.hatched)).toEqual([1]);
    expect(cut.rows.eggs.map((row) => row.values.kept)).toEqual([2]);
    expect(cut.later.map((row) => row.on.day)).toEqual(['2027-03-15', '2027-03-16', '2027-03-14']);
  });

  test('are all of them at the end, and none before the beginning', () => {
    const all = rowsUpTo(rows, nowAt('2027-03-17'));
    expect([all.rows.eggs, all.later]).toEqual([rows.eggs, []]);
    const none = rowsUpTo(rows, nowAt('2027-03-01'));
    expect([none.rows.eggs, none.later.length]).toEqual([[], 5]);
  });
});
