import { expect, test } from 'vitest';
import type { Day } from './day.ts';
import { readWhen } from './when.ts';

// 2027-03-06 is a Saturday.
const today = '2027-03-06' as Day;

test.each<[string, string | null, string | null]>([
  ['today', '2027-03-06', null],
  ['yesterday', '2027-03-05', null],
  ['sat', '2027-03-06', null],
  ['Sunday', '2027-02-28', null],
  ['fri', '2027-03-05', null],
  ['thurs', '2027-03-04', null],
  ['2027-03-01', '2027-03-01', null],
  ['2027-03-01T18:30', '2027-03-01', '18:30'],
  ['18:30', '2027-03-06', '18:30'],
  ['7:05', '2027-03-06', '07:05'],
  ['yesterday 18:30', '2027-03-05', '18:30'],
  ['fri 7:30', '2027-03-05', '07:30'],
  ['tomorrow', null, null],
  ['2027-02-29', null, null],
  ['25:00', null, null],
  ['', null, null],
  ['satan', null, null],
])('%s', (text, day, time) => {
  expect(readWhen(text, today)).toEqual(day === null ? null : { day, time });
});
