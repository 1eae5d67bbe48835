import { expect, test } from 'vitest';
import {
  count,
  dateSlip,
  dayOrNone,
  decimalOrUnknown,
  name,
  oneOf,
  text,
  whole,
  wholeOrUnknown,
  yesOrNo,
} from './column.ts';

const mass = decimalOrUnknown('mass', { least: 0.1, most: 500 });

test.each([
  [whole('eggs', 1), '40', 40],
  [count('clear'), '', 0],
  [wholeOrUnknown('laid'), '', null],
  [mass, '61.5', 61.5],
  [mass, '', null],
  [name('set'), 'A1', 'A1'],
  [oneOf('way', ['table', 'sold']), 'sold', 'sold'],
  [yesOrNo('final'), 'yes', true],
  [yesOrNo('final'), '', false],
  [dayOrNone('from'), '2027-03-06', '2027-03-06'],
  [text('note'), 'a, "b"', 'a, "b"'],
])('a good cell is read, and printed as it stood', (column, cell, value) => {
  expect(column.read(cell)).toEqual({ value });
  if (cell !== '') expect(column.print(value as never)).toBe(cell);
});

test.each([
  [whole('eggs', 1), '0', null],
  [whole('eggs', 1), '4O', 'letter O for zero?'],
  [whole('eggs', 1), 'l2', 'letter l or I for one?'],
  [whole('eggs', 1), '2.5', 'eggs and birds are whole'],
  [whole('eggs', 1), '1e3', null],
  [whole('eggs', 1), '99999999', null],
  [count('clear'), ' 2', 'there is a space beside the number'],
  [mass, '61,5', 'a decimal point, not a comma: 61.5'],
  [mass, 'NaN', null],
  [mass, '0', null],
  [yesOrNo('final'), 'maybe', null],
  [dayOrNone('from'), '6/3/2027', 'write year-month-day: 2027-03-06'],
  [dayOrNone('from'), '2027-02-30', 'there is no such day in the calendar'],
  [text('note'), 'a\u001b[2J', null],
  [name('set'), '../a', null],
])('a bad cell is refused with its likely slip', (column, cell, hint) => {
  expect(column.read(cell)).toEqual({ hint });
});

test('a date that is none is named, anything else is not guessed at', () => {
  expect(dateSlip('soon')).toBeNull();
});
