import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { day } from '../../tests/support/season.ts';
import { addDays, type Day, daysIn } from '../text/day.ts';
import { holdsDay, meetings, overlaps, sharedDays, throughDay } from './spans.ts';

const span = (from: string, to: string) => ({ from: day(from), to: day(to) });
const stay = span('2027-03-06', '2027-03-24');

describe('a span holds its first day and not the day it ends on', () => {
  const cases: [string, string, boolean][] = [
    ['the day before', '2027-03-05', false],
    ['the first day', '2027-03-06', true],
    ['the last day', '2027-03-23', true],
    ['the day it ends', '2027-03-24', false],
    ['the day after', '2027-03-25', false],
  ];
  test.each(cases)('%s', (_, on, held) => {
    expect(holdsDay(stay, day(on))).toBe(held);
  });
});

test('a keeper’s first and last day are both within', () => {
  const one = throughDay(day('2027-05-01'), day('2027-05-01'));
  expect(one).toEqual(span('2027-05-01', '2027-05-02'));
  expect(holdsDay(one, day('2027-05-01'))).toBe(true);
});

test('an empty span holds no day, and shares none', () => {
  const empty = span('2027-03-10', '2027-03-10');
  const turned = span('2027-03-12', '2027-03-10');
  for (const none of [empty, turned])
    expect([holdsDay(none, none.from), overlaps(none, stay)]).toEqual([false, false]);
});

test('spans agree with the days written out', () => {
  const start = day('2027-02-26');
  const anySpan = fc
    .tuple(fc.integer({ min: 0, max: 12 }), fc.integer({ min: 0, max: 6 }))
    .map(([from, days]) => ({ from: addDays(start, from), to: addDays(start, from + days) }));
  fc.assert(
    fc.property(anySpan, anySpan, (a, b) => {
      const listed = (one: { from: Day; to: Day }) => daysIn(one.from, one.to);
      const both = listed(a).filter((one) => listed(b).includes(one));
      const shared = sharedDays(a, b);
      expect(shared === null ? [] : listed(shared)).toEqual(both);
      expect(overlaps(a, b)).toBe(both.length > 0);
    }),
  );
});

test('meetings are the pairs of different sets that overlap in a place, at most three a stay', () => {
  const stays = fc.array(
    fc.record({
      at: fc.nat(20),
      days: fc.nat(6),
      place: fc.constantFrom('a', 'b'),
      set: fc.nat(9),
    }),
    { maxLength: 12 },
  );
  fc.assert(
    fc.property(stays, (drawn) => {
      const all = drawn.map(({ at, days, place, set }, index) => ({
        index,
        set: String(set),
        place,
        from: addDays(day('2027-03-01'), at),
        to: addDays(day('2027-03-01'), at + days),
      }));
      const found = meetings(
        all,
        (one) => one.place,
        (a, b) => b.index - a.index,
      );
      for (const stay of all) {
        const isBefore = (one: (typeof all)[number]) =>
          one.from < stay.from || (one.from === stay.from && one.index > stay.index);
        const met = all.filter(
          (one) =>
            one !== stay &&
            one.place === stay.place &&
            one.set !== stay.set &&
            isBefore(one) &&
            overlaps(one, stay),
        );
        const told = found.filter(([, second]) => second === stay).map(([first]) => first);
        expect(told.length).toBe(Math.min(3, met.length));
        expect(new Set(told).size).toBe(told.length);
        for (const one of told) expect(met).toContain(one);
        // Those that end last are told.
        const rest = met.filter((one) => !told.includes(one));
        for (const one of rest) for (const last of told) expect(last.to >= one.to).toBe(true);
      }
    }),
  );
});
