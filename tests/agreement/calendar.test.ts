// Today and the calendar of one moment name the same tasks, days and counts; what was given out keeps
// its identity over a moved set, a voided set and a renamed place. Two parsers that are not ours read it.
import ICAL from 'ical.js';
import { sync as nodeIcal } from 'node-ical';
import { expect, test } from 'vitest';
import { tasksOf } from '../../src/facts/tasks/tasks.ts';
import { withLedger } from '../../src/tables/calendar-ledger.ts';
import { type CalendarEvent, calendarFile, shortTitle } from '../../src/tables/ics.ts';
import { addDays } from '../../src/text/day.ts';
import { hill, nowAt, seasonOf, type Written } from '../support/season.ts';

const plan = (on: string): string =>
  `${hill}plan:\n  - {set: A1, on: ${on}, setter: cabinet, trays: [1], shares: {orchard: 30}}\n`;
const eggs: Written[] = [['eggs', '2027-03-05', { pen: 'orchard', laid: 40, kept: 40 }]];

function eventsOf(yaml: string, rows: Written[], on: string): CalendarEvent[] {
  return tasksOf(seasonOf(yaml, rows), nowAt(on), 400)
    .filter((task) => task.class !== 'routine')
    .map((task) => ({
      uid: `farm/${task.id}@traybook`,
      from: task.due,
      to: addDays(task.until, 1),
      title: shortTitle(task),
      place: task.place ?? undefined,
    }));
}

type Read = { uid: string; start: string; summary: string; sequence: number; status: string };

function bothRead(events: readonly CalendarEvent[]): Read[] {
  const text = calendarFile({ name: 'Cold Ash', stamp: '2027-03-06T07:00:00.000Z', events });
  const first = new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map((one) => ({
    uid: String(one.getFirstPropertyValue('uid')),
    start: String(one.getFirstPropertyValue('dtstart')),
    summary: String(one.getFirstPropertyValue('summary')),
    sequence: Number(one.getFirstPropertyValue('sequence')),
    status: String(one.getFirstPropertyValue('status') ?? ''),
  }));
  const second = Object.values(nodeIcal.parseICS(text)).flatMap((one) =>
    one !== undefined && one.type === 'VEVENT'
      ? [
          {
            uid: one.uid,
            summary: one.summary,
            sequence: Number(one.sequence),
            status: String(one.status ?? ''),
          },
        ]
      : [],
  );
  const byUid = <T extends { uid: string }>(all: T[]): T[] =>
    [...all].sort((a, b) => (a.uid < b.uid ? -1 : 1));
  expect(byUid(second)).toEqual(byUid(first).map(({ start, ...rest }) => rest));
  return first;
}

test('a moved set rises in sequence, a dropped one is cancelled, what did not change stays', () => {
  const one = withLedger(
    {},
    eventsOf(plan('2027-03-06'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  const before = bothRead(one.events);
  expect(before.find((event) => event.uid === 'farm/A1/transfer@traybook')).toMatchObject({
    start: '2027-03-24',
    summary: 'A1 → lower (30)',
    sequence: 0,
  });
  expect(before.every((event) => event.sequence === 0 && event.status === '')).toBe(true);
  const same = withLedger(
    one.ledger,
    eventsOf(plan('2027-03-06'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  expect(bothRead(same.events)).toEqual(before);
  const moved = withLedger(
    one.ledger,
    eventsOf(plan('2027-03-08'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  expect(
    bothRead(moved.events).find((event) => event.uid === 'farm/A1/transfer@traybook'),
  ).toMatchObject({ start: '2027-03-26', sequence: 1, status: '' });
  const dropped = withLedger(
    moved.ledger,
    eventsOf(hill, eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  const gone = bothRead(dropped.events).filter((event) => event.uid.includes('/A1/'));
  expect(gone.length).toBeGreaterThan(0);
  expect(gone.every((event) => event.status === 'CANCELLED')).toBe(true);
  expect(gone.find((event) => event.uid === 'farm/A1/transfer@traybook')).toMatchObject({
    sequence: 2,
  });
  // Told again, no higher; and no more once its day is past.
  const again = withLedger(
    dropped.ledger,
    eventsOf(hill, eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  expect(bothRead(again.events)).toEqual(bothRead(dropped.events));
  expect(withLedger(dropped.ledger, [], '2027-06-06' as never).events).toEqual([]);
});

test('a renamed place moves no date and keeps every identity', () => {
  const one = withLedger(
    {},
    eventsOf(plan('2027-03-06'), eggs, '2027-03-06'),
    '2027-03-06' as never,
  );
  const renamed = plan('2027-03-06').replace('name: Cold Ash', 'name: Warm Oak');
  const two = withLedger(one.ledger, eventsOf(renamed, eggs, '2027-03-06'), '2027-03-06' as never);
  expect(bothRead(two.events)).toEqual(bothRead(one.events));
});
