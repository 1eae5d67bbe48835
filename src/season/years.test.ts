import { expect, test } from 'vitest';
import { hill } from '../../tests/support/season.ts';
import { parseDay } from '../text/day.ts';
import { readSeasonFile } from './read-file.ts';
import { readPlainSeasonFile } from './read-plain-file.ts';
import { daysOfSeason } from './years.ts';

test('the days of a season, by its year or a text that holds it', () => {
  const days = { first: '1997-01-01', last: '2030-12-31' };
  expect(daysOfSeason({ season: 2027 })).toEqual(days);
  expect(daysOfSeason({ season: 'spring 2027' })).toEqual(days);
  expect(parseDay(daysOfSeason({ season: 'early birds' }).last)).not.toBeNull();
});

test('a day years away is refused: the last day that may be, the day after, a slip', () => {
  const until = (day: string) => {
    const text = hill.replace(/(by|joined): 2027-\d\d-\d\d/, `$1: ${day}`);
    expect(text).not.toBe(hill);
    const source = { path: 'season.yaml', text };
    const { faults } = readSeasonFile(source);
    expect(readPlainSeasonFile(source) === null).toBe(faults.length > 0);
    return faults.map((one) => one.message);
  };
  const inTime = until('1997-01-01');
  expect(inTime).toEqual([]);
  for (const day of ['1996-12-31', '2031-01-01', '2299-01-01', '9999-12-31'])
    expect(until(day)[0]).toContain(
      `expected a day from 1997-01-01 to 2030-12-31 in the season 2027, found "${day}"`,
    );
});
