import { expect, test } from 'vitest';
import { rowsOf, type Written } from '../../tests/support/season.ts';
import type { ForeignTable } from '../text/foreign.ts';
import { effectiveRows } from './effective.ts';
import { habitsOf, importable, type JudgedRow, judgeRows, mapRows } from './import.ts';
import { kindOf } from './index.ts';

const eggs = kindOf('eggs');
const weather = kindOf('weather');

/** A table of cells; those of a sheet that says exactly what they are begin with `=`. */
const tableOf = (...rows: (readonly string[])[]): ForeignTable => ({
  header: [],
  rows: rows.map((cells, index) => ({
    cells: cells.map((cell) => ({ text: cell.replace(/^=/, ''), exact: cell.startsWith('=') })),
    rowNo: index + 2,
  })),
  found: [],
});
const mapping = (columns: readonly string[], fixed: Readonly<Record<string, string>> = {}) => ({
  columns: new Map(columns.map((column, index) => [column, index])),
  fixed: new Map(Object.entries(fixed)),
});

test('a table can be mapped to the columns of the record and to three of every record', () => {
  expect(importable(weather)).toEqual(['on', 'by', 'note', 'low', 'high']);
});

test('dates are asked of columns of days, decimals of columns of numbers, and of no exact cell', () => {
  const columns = mapping(['on', 'low', 'note']);
  const asked = (...row: string[]) => {
    const { dates, decimals } = habitsOf(weather, tableOf(row), columns);
    return [dates.kind, decimals.kind];
  };
  expect(asked('13.03.2027', '3,5', '1.5')).toEqual(['known', 'known']);
  expect(habitsOf(weather, tableOf(['13.03.2027', '3,5', 'x']), columns)).toMatchObject({
    dates: { value: 'dmy' },
    decimals: { value: 'comma' },
  });
  expect(asked('=13.03.2027', '=3,5', '03/13/2027')).toEqual(['none', 'none']);
  // A row that is too short has no such cell.
  expect(asked()).toEqual(['none', 'none']);
  const set = mapping(['laid_from', 'eggs']);
  expect(habitsOf(kindOf('set'), tableOf(['03/13/2027', '12']), set).dates.kind).toBe('known');
});

test('cells are put into our columns, dates and numbers into our form', () => {
  const rows = (columns: readonly string[], cells: readonly string[], fixed = {}) => {
    const kind = columns.includes('low') ? weather : kindOf('set');
    const [row] = mapRows(kind, tableOf(cells), mapping(columns, fixed), 'dmy', 'comma');
    return row!;
  };
  expect(rows(['on', 'low'], ['13.03.2027 18:30', '3,5'], { note: 'mild' })).toEqual({
    rowNo: 2,
    cells: { note: 'mild', on: '2027-03-13T18:30', low: '3.5' },
    slips: [],
  });
  // An exact number is as it is; an exact date is still put into our form.
  expect(rows(['on', 'low'], ['=13.03.2027', '=3.5']).cells).toEqual({
    on: '2027-03-13',
    low: '3.5',
  });
  expect(rows(['on', 'low', 'high'], ['13.03.2027', '']).cells).toEqual({
    on: '2027-03-13',
    low: '',
    high: '',
  });
  expect(rows(['on', 'low'], ['soon', '']).slips.map((one) => one.column)).toEqual(['on']);
  // The day alone of a column of days.
  const set = rows(['on', 'laid_from', 'eggs'], ['13.03.2027', '12.03.2027 07:00', '12'], {
    set: 'A1',
    pen: 'north',
  });
  expect(set.cells).toMatchObject({ laid_from: '2027-03-12' });
  expect(set.slips).toEqual([]);
  const [english] = mapRows(
    weather,
    tableOf(['2027-03-13', '1.5']),
    mapping(['on', 'low']),
    null,
    null,
  );
  expect(english!.cells).toEqual({ on: '2027-03-13', low: '1.5' });
});

const kept = (on: string, pen: string, count: number, more = {}): Written => [
  'eggs',
  on,
  { pen, kept: count, ...more },
];
/** What is told of rows `[on, pen, kept, small?]` of a table, beside a log. */
const judged = (written: readonly Written[], ...rows: (readonly string[])[]): JudgedRow[] => {
  const columns = mapping(['on', 'pen', 'kept', 'small'].slice(0, rows[0]!.length));
  const { versions } = effectiveRows(rowsOf('eggs', written));
  return judgeRows(eggs, mapRows(eggs, tableOf(...rows), columns, null, null), versions());
};
const verdicts = (...args: Parameters<typeof judged>) => judged(...args).map((one) => one.verdict);
const DAY = '2027-03-13';
const NEXT = '2027-03-14';

test('a row is new, known or faulty', () => {
  const log = [kept(DAY, 'north', 6)];
  expect(verdicts(log, [DAY, 'north', '6'], [NEXT, 'north', '6'], [DAY, 'north', 'six'])).toEqual([
    'known',
    'new',
    'faulty',
  ]);
  const [known, added, faulty] = judged(
    log,
    [DAY, 'north', '06'],
    [NEXT, 'south', '6'],
    ['', '', ''],
  );
  expect(known).toMatchObject({ verdict: 'known', why: 'entry 0000000000' });
  expect(added!.why).toBe('');
  expect(faulty!.why).toContain('; ');
});

test('a count written otherwise, and nothing for none, say the same', () => {
  const log = [kept(DAY, 'north', 6)];
  expect(verdicts(log, [DAY, 'north', '06', ''])).toEqual(['known']);
  expect(verdicts(log, [DAY, 'north', '6', '0'])).toEqual(['known']);
  expect(verdicts(log, [DAY, 'north', '6', '1'])).toEqual(['doubtful']);
});

test('a row of the log makes one row of the table known', () => {
  const twice = [kept(DAY, 'north', 6), kept(DAY, 'north', 6)];
  const row = [DAY, 'north', '6'];
  expect(verdicts(twice, row, row, row)).toEqual(['known', 'known', 'doubtful']);
  expect(judged([], row, row)[1]!.why).toBe('says the same as row 2: twins, or written twice?');
  expect(judged([kept(DAY, 'north', 6)], row, row)[1]!.verdict).toBe('doubtful');
});

test('a row that names the same on the same day and says something else is doubtful', () => {
  const log = [kept(DAY, 'north', 6)];
  expect(judged(log, [DAY, 'north', '7'])[0]).toMatchObject({
    verdict: 'doubtful',
    why: 'entry 0000000000 of that day says something else',
  });
  expect(verdicts(log, [NEXT, 'north', '7'], [DAY, 'south', '7'])).toEqual(['new', 'new']);
  // A minute that the row of the log has not is not the same day's row.
  expect(verdicts(log, [`${DAY}T07:00`, 'north', '6'])).toEqual(['doubtful']);
  expect(verdicts([kept(`${DAY}T07:00`, 'north', 6)], [`${DAY}T07:00`, 'north', '6'])).toEqual([
    'known',
  ]);
  expect(verdicts([kept(`${DAY}T07:00`, 'north', 6)], [DAY, 'north', '6'])).toEqual(['known']);
});

test('a row amended since, or withdrawn, is known by what it said first', () => {
  const amends = '0000000000';
  const amended = [kept(DAY, 'north', 6), kept(NEXT, 'north', 5, { amends })];
  expect(verdicts(amended, [DAY, 'north', '6'])).toEqual(['known']);
  expect(verdicts(amended, [NEXT, 'north', '5'])).toEqual(['known']);
  expect(judged(amended, [NEXT, 'north', '4'])[0]!.why).toContain('0000000001');
  // It stands on another day now.
  expect(verdicts(amended, [DAY, 'north', '4'])).toEqual(['new']);
  const gone = [kept(DAY, 'north', 6), kept(DAY, 'north', 6, { amends, state: 'void' })];
  expect(verdicts(gone, [DAY, 'north', '6'], [DAY, 'north', '4'])).toEqual(['known', 'new']);
});

test('a kind whose rows name nothing has no doubtful ones but twins, and texts are compared as words', () => {
  const columns = mapping(['on', 'low', 'note', 'by']);
  const { versions } = effectiveRows(
    rowsOf('weather', [['weather', DAY, { low: 3, note: 'a  frost', by: 'kim' }]]),
  );
  const told = (...cells: string[]) =>
    judgeRows(weather, mapRows(weather, tableOf(cells), columns, null, null), versions())[0]!
      .verdict;
  expect(told(DAY, '3.0', ' a frost', 'kim')).toBe('known');
  expect(told(DAY, '3', 'no frost', 'kim')).toBe('new');
  expect(told(DAY, '3', 'a frost', 'lee')).toBe('new');
  expect(told(DAY, '4', 'a frost', 'kim')).toBe('new');
});

test('each row is looked at twice, and told so', () => {
  const heard: [number, number][] = [];
  const rows = mapRows(
    eggs,
    tableOf([DAY, 'north', '6'], [NEXT, 'north', '6']),
    mapping(['on', 'pen', 'kept']),
    null,
    null,
  );
  judgeRows(eggs, rows, new Map(), (done, of) => heard.push([done, of]));
  expect(heard).toEqual([
    [0, 4],
    [1, 4],
    [3, 4],
    [4, 4],
  ]);
});
