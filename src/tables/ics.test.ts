import fc from 'fast-check';
import ICAL from 'ical.js';
import { describe, expect, test } from 'vitest';
import type { Day } from '../text/day.ts';
import { forCalendar } from '../text/escape.ts';
import { type CalendarEvent, calendarFile } from './ics.ts';

const stamp = '2027-03-06T07:00:00.000Z';
const file = (...events: CalendarEvent[]) => calendarFile({ name: 'Hollin Bank', stamp, events });
const candle: CalendarEvent = {
  uid: '2027/D1/candle-1@traybook',
  from: '2027-03-13' as Day,
  to: '2027-03-15' as Day,
  title: 'candle D1: north 20, south 22',
};

/** Read by a parser that is not ours. */
function read(text: string) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  return calendar.getAllSubcomponents('vevent').map((one) => ({
    event: new ICAL.Event(one),
    raw: one,
  }));
}

describe('RFC 5545', () => {
  test('an event is days, not hours, and its end is exclusive', () => {
    const [one] = read(file(candle));
    expect(one?.event.startDate.isDate).toBe(true);
    expect(one?.event.startDate.toString()).toBe('2027-03-13');
    expect(one?.event.endDate.toString()).toBe('2027-03-15');
    expect(one?.event.uid).toBe('2027/D1/candle-1@traybook');
    expect(one?.raw.getFirstPropertyValue('dtstamp')?.toString()).toBe('2027-03-06T07:00:00Z');
  });

  test('the same events give the same bytes', () => {
    expect(file(candle)).toBe(file(candle));
  });

  test('an empty season gives a calendar that a parser reads', () => {
    expect(read(file())).toEqual([]);
  });

  test('any text comes back as it went in, but for what may not stand in one', () => {
    const nasty = fc.oneof(
      fc.string({ unit: 'grapheme' }),
      fc.string({ unit: 'binary' }),
      fc.constantFrom('a;b,c\\n\\,', 'END:VEVENT\r\nBEGIN:VALARM', '\ud800', 'ä'.repeat(90)),
    );
    fc.assert(
      fc.property(nasty, nasty, (title, text) => {
        const written = file({ ...candle, title, text }, candle);
        const events = read(written);
        expect(events).toHaveLength(2);
        expect(events[0]?.event.summary ?? '').toBe(forCalendar(title));
        expect(events[0]?.event.description ?? '').toBe(forCalendar(text));
      }),
    );
  });

  test('no line is longer than 75 octets, none ends but with CRLF', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', minLength: 60, maxLength: 300 }), (title) => {
        const lines = file({ ...candle, title }).split('\r\n');
        for (const line of lines) {
          expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
          expect(line).not.toMatch(/[\r\n]/);
        }
        expect(lines.at(-1)).toBe('');
      }),
    );
  });

  test('a UID cannot break out of its line', () => {
    const [one, ...more] = read(file({ ...candle, uid: 'x\r\nBEGIN:VEVENT;D1 é' }));
    expect(more).toEqual([]);
    expect(one?.event.uid).toBe('x%0ABEGIN%3AVEVENT%3BD1%20%C3%A9');
  });
});
