import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { printOn } from './day.ts';
import { dateHabit, decimalHabit, readForeignDate, readForeignNumber } from './foreign-values.ts';

test.each([
  [['13.03.2027'], { kind: 'known', value: 'dmy', cell: '13.03.2027' }],
  [['03/04/2027', '03/14/2027'], { kind: 'known', value: 'mdy', cell: '03/14/2027' }],
  [['2027-03-04', 'x'], { kind: 'known', value: 'iso', cell: '2027-03-04' }],
  // Read two ways, and nothing decides: asked for.
  [['03/04/2027', '05/05/2027'], { kind: 'open', cell: '03/04/2027' }],
  [['2027-03-14', '03/04/2027'], { kind: 'open', cell: '03/04/2027' }],
  [['13/03/2027', '03/14/2027'], { kind: 'mixed', cells: ['13/03/2027', '03/14/2027'] }],
  // The same day either way, no day at all, nothing.
  [['05/05/2027'], { kind: 'none' }],
  [['31/31/2027'], { kind: 'none' }],
  [['', 'Easter', '4 March 2027'], { kind: 'none' }],
])('the order of dates in %j', (cells, habit) => {
  expect(dateHabit(cells)).toEqual(habit);
});

test.each([
  ['13.03.2027', 'dmy', '2027-03-13'],
  ['3/4/27', 'mdy', '2027-03-04'],
  ['3/4/27', 'dmy', '2027-04-03'],
  ['3/4/27', null, null],
  ['05/05/2027', null, '2027-05-05'],
  ['31/02/2027', 'dmy', null],
  ['13/03/2027', 'mdy', null],
  ['2027-03-04 18:30:00', null, '2027-03-04T18:30'],
  ['2027-03-04T18:30:00.000Z', null, '2027-03-04T18:30'],
  ['13 Mar 2027', null, '2027-03-13'],
  ['March 13, 2027 6:30 pm', null, '2027-03-13T18:30'],
  ['13.03.2027 12:05 am', 'dmy', '2027-03-13T00:05'],
  ['13.03.2027 25:00', 'dmy', null],
  ['13 Mrz 2027', null, null],
  ['13.03', 'dmy', null],
  ['45000', 'dmy', null],
] as const)('%s as %s is %s', (cell, order, on) => {
  const read = readForeignDate(cell, order);
  expect(read === null ? null : printOn(read)).toBe(on);
});

test('any day written any way is read as that day', () => {
  const two = (n: number) => String(n).padStart(2, '0');
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 36_000 }),
      fc.constantFrom('.', '/', '-'),
      (days, sign) => {
        const date = new Date(Date.UTC(2000, 0, 1 + days));
        const [y, m, d] = [date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate()];
        const day = `${y}-${two(m)}-${two(d)}`;
        expect(readForeignDate(`${two(d)}${sign}${two(m)}${sign}${y}`, 'dmy')?.day).toBe(day);
        expect(readForeignDate(`${m}${sign}${d}${sign}${y}`, 'mdy')?.day).toBe(day);
        expect(readForeignDate(day, null)?.day).toBe(day);
      },
    ),
  );
});

test.each([
  [['12,5', '1.234'], { kind: 'known', value: 'comma', cell: '12,5' }],
  [['12.5'], { kind: 'known', value: 'point', cell: '12.5' }],
  [['1.234,5'], { kind: 'known', value: 'comma', cell: '1.234,5' }],
  [['1,234.5'], { kind: 'known', value: 'point', cell: '1,234.5' }],
  [['1.234.567'], { kind: 'known', value: 'comma', cell: '1.234.567' }],
  [['0.125'], { kind: 'known', value: 'point', cell: '0.125' }],
  // A thousand, or one and a bit: asked for.
  [['1,234'], { kind: 'open', cell: '1,234' }],
  [['37.600'], { kind: 'open', cell: '37.600' }],
  [['12,5', '12.5'], { kind: 'mixed', cells: ['12,5', '12.5'] }],
  [['12', '', 'x', '-'], { kind: 'none' }],
])('the decimal sign in %j', (cells, habit) => {
  expect(decimalHabit(cells)).toEqual(habit);
});

test.each([
  ['37,6', 'comma', '37.6'],
  ['1.234,5', 'comma', '1234.5'],
  ['1 234,5', 'comma', '1234.5'],
  ['1\u202f234,5', 'comma', '1234.5'],
  ['-0,25', 'comma', '-0.25'],
  ['1,234.5', 'point', '1234.5'],
  ['+7', 'point', '7'],
  // Not a number of that form: left as it is, and told later.
  ['37.6', 'comma', '37.6'],
  ['1,23,4', 'point', '1,23,4'],
  ['=1+1', 'point', '=1+1'],
] as const)('%s with a decimal %s is %s', (cell, sign, text) => {
  expect(readForeignNumber(cell, sign)).toBe(text);
});

test('a number printed by a spreadsheet of either habit is read as that number', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -9_999_999, max: 9_999_999 }),
      fc.nat({ max: 99 }),
      (whole, part) => {
        const number = Number(`${whole}.${String(part).padStart(2, '0')}`);
        for (const [sign, locale] of [
          ['comma', 'de-DE'],
          ['point', 'en-GB'],
        ] as const) {
          const printed = number.toLocaleString(locale, { minimumFractionDigits: 2 });
          expect(Number(readForeignNumber(printed, sign))).toBe(number);
        }
      },
    ),
  );
});
