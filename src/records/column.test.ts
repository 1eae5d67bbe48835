import { expect, test } from 'vitest';
import {
  count,
  dateSlip,
  dayOrNone,
  decimal,
  decimalOrUnknown,
  type LogColumn,
  later,
  name,
  nameOrNone,
  neededText,
  oneOf,
  oneOfOrNone,
  text,
  whole,
  wholeOrUnknown,
  yesOrNo,
} from './column.ts';

const mass = decimalOrUnknown('mass', { least: 0.1, most: 500, unit: 'g' });
const low = decimal('low', { least: -60, most: 130, unit: '°C' });
const eggs = whole('eggs', 1, { unit: 'eggs' });
const laid = wholeOrUnknown('laid', 1, { unit: 'eggs' });
const cause = oneOfOrNone('cause', ['predator', 'sick'], { fox: 'predator' });

test.each([
  [eggs, '40', 40],
  [eggs, '1', 1],
  [eggs, '1000000', 1_000_000],
  [count('clear'), '', 0],
  [count('clear'), '0', 0],
  [laid, '', null],
  [laid, '1', 1],
  [mass, '61.5', 61.5],
  [mass, '0.1', 0.1],
  [mass, '500', 500],
  [mass, '0.123456', 0.123456],
  [mass, '', null],
  [low, '-60', -60],
  [low, '130', 130],
  [low, '-3.25', -3.25],
  [name('set'), 'A1', 'A1'],
  [name('set'), "O'Brien 2.-_", "O'Brien 2.-_"],
  [name('set'), 'x'.repeat(48), 'x'.repeat(48)],
  [name('set'), 'Käthe 2', 'Käthe 2'],
  [name('set'), 'ä', 'ä'],
  [name('set'), '٣é', '٣é'],
  [name('set'), 'ä'.repeat(48), 'ä'.repeat(48)],
  [nameOrNone('pen'), '', null],
  [nameOrNone('pen'), 'north', 'north'],
  [oneOf('way', ['table', 'sold']), 'sold', 'sold'],
  [cause, 'sick', 'sick'],
  [cause, '', null],
  [yesOrNo('final'), 'yes', true],
  [yesOrNo('final'), '', false],
  [dayOrNone('from'), '2027-03-06', '2027-03-06'],
  [dayOrNone('from'), '', null],
  [text('note'), 'a, "b"', 'a, "b"'],
  [text('note'), 'x'.repeat(2000), 'x'.repeat(2000)],
  [text('note'), 'tab\t, line\n, \u{1f423}\u00a0', 'tab\t, line\n, \u{1f423}\u00a0'],
  [neededText('why'), ' so', ' so'],
])('a good cell is read, and printed as it stood', (column, cell, value) => {
  expect(column.read(cell)).toEqual({ value });
  expect(column.print(value as never)).toBe(cell === '' && value === 0 ? '0' : cell);
});

test('no is read as nothing is', () => {
  expect(yesOrNo('final').read('no')).toEqual({ value: false });
});

test.each<[{ read(cell: string): unknown }, string, string | null]>([
  [eggs, '0', null],
  [eggs, '', null],
  [laid, '0', null],
  [eggs, '4O', 'letter O for zero?'],
  [eggs, '4o', 'letter O for zero?'],
  [eggs, 'l2', 'letter l or I for one?'],
  [eggs, 'x4O', null],
  [eggs, '4Ox', null],
  [eggs, '2.5', 'eggs and birds are whole'],
  [eggs, '12.75', 'eggs and birds are whole'],
  [eggs, 'x2.5', null],
  [eggs, '2.5x', null],
  [eggs, '-12', 'a count cannot be negative'],
  [eggs, 'x-12', null],
  [eggs, '1e3', null],
  [eggs, '1000001', 'at most 1000000'],
  [eggs, '99999999', 'at most 1000000'],
  [count('clear'), ' 2', 'there is a space beside the number'],
  [count('clear'), '2 ', 'there is a space beside the number'],
  [count('clear'), '2 3', null],
  [mass, '61,5', 'a decimal point, not a comma: 61.5'],
  [mass, '61,55', 'a decimal point, not a comma: 61.55'],
  [mass, 'x61,5', null],
  [mass, '61,5x', null],
  [low, '-3,5', 'a decimal point, not a comma: -3.5'],
  [low, '', null],
  [low, '-60.5', null],
  [low, '130.5', null],
  [low, 'a3', null],
  [mass, '0.1234567', null],
  [mass, '0.09', null],
  [mass, '500.1', null],
  [mass, 'NaN', null],
  [mass, '0', null],
  [yesOrNo('final'), 'maybe', null],
  [cause, 'fox', 'did you mean predator?'],
  [cause, 'constructor', null],
  [oneOf('way', ['table', 'sold']), 'given', null],
  [dayOrNone('from'), '6/3/2027', 'write year-month-day: 2027-03-06'],
  [dayOrNone('from'), '16.12.27', 'write year-month-day: 2027-03-06'],
  [dayOrNone('from'), '2027-02-30', 'there is no such day in the calendar'],
  [text('note'), 'x'.repeat(2001), null],
  ...['\u0000', '\u0008', '\u000b', '\u001b', '\u001f', '\u007f', '\u009f', '\ud800'].map(
    (sign) => [text('note'), `a${sign}b`, null] as [LogColumn<string>, string, null],
  ),
  [neededText('why'), '', null],
  [neededText('why'), ' ', null],
  [neededText('why'), '\u0007', null],
  ...[
    '',
    '../a',
    ' a',
    'a ',
    'ä ',
    '-a',
    '*ä',
    'ä*',
    'a*b',
    'a*',
    'x'.repeat(49),
    'ä'.repeat(49),
  ].map((cell) => [name('set'), cell, null] as [LogColumn<string>, string, null]),
  [nameOrNone('set'), '../a', null],
])('a bad cell is refused with its likely slip', (column, cell, hint) => {
  expect(column.read(cell)).toEqual({ hint });
});

test.each([
  ['soon', null],
  ['on 6/3/2027', null],
  ['6/3/2027 or so', null],
  ['on 2027-02-30', null],
  ['2027-02-3', null],
])('a date that is none is named, anything else is not guessed at', (cell, hint) => {
  expect(dateSlip(cell)).toBe(hint);
});

test('a column says whether its cell must be filled, its unit and its words', () => {
  const needed = [eggs, low, name('set'), neededText('why'), oneOf('way', ['a'])];
  const free = [count('clear'), laid, mass, nameOrNone('pen'), text('note'), cause];
  expect(needed.map((one) => one.required)).toEqual(needed.map(() => true));
  expect(free.map((one) => one.required)).toEqual(free.map(() => false));
  expect([eggs, laid, low, mass, text('note')].map((one) => one.unit)).toEqual([
    'eggs',
    'eggs',
    '°C',
    'g',
    null,
  ]);
  expect(whole('eggs').unit).toBeNull();
  expect(yesOrNo('final').words).toEqual(['yes', 'no']);
  expect(cause.words).toEqual(['predator', 'sick']);
  expect([eggs, later(eggs)].map((one) => one.isLater)).toEqual([false, true]);
});
