import ical from 'ical-generator';
import type { Day } from '../text/day.ts';
import { forCalendar } from '../text/escape.ts';

/** One thing that takes whole days, `[from, to)`. */
export type CalendarEvent = {
  /** Stable over every export and unique over seasons: import by it replaces, never doubles. */
  readonly uid: string;
  readonly from: Day;
  readonly to: Day;
  readonly title: string;
  readonly text?: string | undefined;
  readonly place?: string | undefined;
};

export type CalendarFile = {
  readonly name: string;
  /** The instant of writing, ISO 8601: DTSTAMP of every event. */
  readonly stamp: string;
  readonly events: readonly CalendarEvent[];
};

/** A UID is written as it stands, so only harmless characters may be in it. */
function safeUid(uid: string): string {
  return encodeURIComponent(forCalendar(uid)).replaceAll('%2F', '/').replaceAll('%40', '@');
}

/**
 * The text of a calendar file (RFC 5545): all-day events with `VALUE=DATE` and an exclusive end, so
 * no time zone can move them. Lines end CRLF and fold within 75 octets.
 */
export function calendarFile({ name, stamp, events }: CalendarFile): string {
  const calendar = ical({
    name: forCalendar(name),
    prodId: { company: 'traybook', product: 'season', language: 'EN' },
  });
  for (const event of events) {
    calendar.createEvent({
      id: safeUid(event.uid),
      stamp: new Date(stamp),
      // A date without a zone is written by its UTC day, whatever zone the machine is in.
      start: new Date(`${event.from}T00:00:00Z`),
      end: new Date(`${event.to}T00:00:00Z`),
      allDay: true,
      summary: forCalendar(event.title),
      ...(event.text === undefined ? {} : { description: forCalendar(event.text) }),
      ...(event.place === undefined ? {} : { location: forCalendar(event.place) }),
    });
  }
  return `${calendar.toString().replace(/(\r\n)+$/, '')}\r\n`;
}
