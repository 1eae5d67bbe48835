import { expect, test } from 'vitest';
import { hill, rowsOf } from '../../tests/support/season.ts';
import { kindOf, type RecordName } from '../records/index.ts';
import { parseDay } from '../text/day.ts';
import { readSeasonFile } from './read-file.ts';
import { readPlainSeasonFile, readPlainUnits } from './read-plain-file.ts';
import { daysOfSeason, farRows } from './years.ts';

test('the days of a season, by its year or a text that holds it', () => {
  const days = { first: '1997-01-01', last: '2030-12-31' };
  expect(daysOfSeason({ season: 2027 })).toEqual(days);
  expect(daysOfSeason({ season: 'spring 2027' })).toEqual(days);
  expect(parseDay(daysOfSeason({ season: 'early birds' }).last)).not.toBeNull();
});

test('a plainly written file is read as any other; one that is not, or has a fault, is left to it', () => {
  const source = (text: string) => ({ path: 'season.yaml', text });
  const plain = readPlainSeasonFile(source(hill))!;
  const whole = readSeasonFile(source(hill)).file!;
  expect(plain.values).toEqual(whole.values);
  for (const path of [['season'], ['lines', 'harlequin', 'species'], ['pens', 'nobody']])
    expect(plain.placeOf(path)).toEqual(whole.placeOf(path));
  const escaped = hill.replace('Cold Ash', '"Cold \\x41sh"');
  expect(readSeasonFile(source(escaped)).faults).toEqual([]);
  for (const text of [
    escaped,
    hill.replace('species: duck', 'species: ducks'),
    hill.replace('trays: 3', 'trays: 0'),
    `${hill}kinds: {duck: {like: goose}}\n`,
    '',
  ])
    expect(readPlainSeasonFile(source(text))).toBeNull();
  const units = { temperature: 'F', mass: 'g', area: 'm2', currency: '' };
  expect(readPlainUnits(source('units: {temperature: F}\nseason: [x]\n'))).toEqual(units);
  expect(readPlainUnits(source(hill))).toEqual({ ...units, temperature: 'C' });
  expect(readPlainUnits(source('units: {temperature: K}\n'))).toBeNull();
  expect(readPlainUnits(source(escaped))).toBeNull();
});

test('a day years away is refused: the last day that may be, the day after, a slip', () => {
  const until = (day: string) => {
    const text = hill.replace(/(by|joined): 2027-\d\d-\d\d/, `$1: ${day}`);
    expect(text).not.toBe(hill);
    const source = { path: 'season.yaml', text };
    const { faults } = readSeasonFile(source);
    expect(readPlainSeasonFile(source) === null).toBe(faults.length > 0);
    for (const { at } of faults) expect(at).toMatchObject({ line: 8, column: 54 });
    return faults.map((one) => one.message);
  };
  for (const day of ['1997-01-01', '2030-12-31']) expect(until(day)).toEqual([]);
  for (const day of ['1996-12-31', '2031-01-01', '2299-01-01', '9999-12-31'])
    expect(until(day)[0]).toContain(
      `expected a day from 1997-01-01 to 2030-12-31 in the season 2027, found "${day}"`,
    );
});

test.each([
  ['1996-12-31', 1],
  ['1997-01-01', 0],
  ['2030-12-31', 0],
  ['2031-01-01', 1],
])('a row of %s, or with that day in a cell', (day, count) => {
  const told = (record: RecordName, on: string, cells = {}) =>
    farRows(kindOf(record), rowsOf(record, [[record, on, cells]]), { season: 2027 });
  const dated = told('eggs', day, { pen: 'yard', kept: 4 });
  expect(dated.map((one) => one.message)).toEqual(
    Array(count).fill(
      `on: expected a day from 1997-01-01 to 2030-12-31 in the season 2027, found "${day}"`,
    ),
  );
  const born = told('bird', '2027-03-01', { bird: 'Oak', sex: 'male', line: 'sussex', born: day });
  expect(born.map((one) => [one.code, one.at.line, one.hint])).toEqual(
    Array(count).fill(['bad-cell', 2, 'fix the cell, or: traybook void 0000000000']),
  );
  expect(told('bird', '2027-03-01', { bird: 'Oak', sex: 'male', line: 'sussex' })).toEqual([]);
});
