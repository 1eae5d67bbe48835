import ical, { ICalAlarmType, ICalEventStatus, ICalEventTransparency } from 'ical-generator';
import type { Task } from '../facts/tasks/task.ts';
import type { Day } from '../text/day.ts';
import { forCalendar } from '../text/escape.ts';

/** One thing that takes whole days, `[from, to)`, or some hours of them. */
export type CalendarEvent = {
  /** Stable over every export and unique over seasons: import by it replaces, never doubles. */
  readonly uid: string;
  readonly from: Day;
  readonly to: Day;
  /** Instants in milliseconds since 1970, where the hours are known. */
  readonly hours?: { readonly from: number; readonly to: number } | undefined;
  readonly title: string;
  readonly text?: string | undefined;
  readonly place?: string | undefined;
  readonly sequence?: number;
  readonly isCancelled?: boolean;
  /** Hours before its beginning at which the phone reminds. */
  readonly remindHours?: number | undefined;
};

export type CalendarFile = {
  readonly name: string;
  /** The instant of writing, ISO 8601: DTSTAMP of every event. */
  readonly stamp: string;
  readonly events: readonly CalendarEvent[];
  /** Things to do (VTODO) in the place of events. */
  readonly asTasks?: boolean;
};

/** A UID is written as it stands, so only harmless characters may be in it. */
function safeUid(uid: string): string {
  return encodeURIComponent(forCalendar(uid)).replaceAll('%2F', '/').replaceAll('%40', '@');
}

/** A title for a small screen, what it is about first: `D6 → lower (34)`. */
export function shortTitle(task: Pick<Task, 'kind' | 'set' | 'place' | 'count' | 'title'>): string {
  const { set, place, count } = task;
  const eggs = count === null ? '' : ` (${count})`;
  switch (task.kind) {
    case 'set':
      return `${set} set${eggs}`;
    case 'candle':
      return `${set} candle${eggs}`;
    case 'transfer':
      return `${set} → ${place}${eggs}`;
    case 'damp-up':
      return `${set} damp ${place}`;
    case 'watch':
      return `${set} pips?`;
    case 'hatch':
      return `${set} hatch${eggs}`;
    case 'last-opening':
      return `${set} close${eggs}`;
    case 'clean':
      return `${place} clean after ${set}`;
    default:
      return task.title;
  }
}

const HOUR_S = 3600;

/**
 * The text of a calendar file (RFC 5545): all-day events with `VALUE=DATE` and an exclusive end, so
 * no time zone can move them, or instants in UTC; none of them makes the keeper busy. Lines end CRLF
 * and fold within 75 octets.
 */
export function calendarFile({ name, stamp, events, asTasks }: CalendarFile): string {
  const calendar = ical({
    name: forCalendar(name),
    prodId: { company: 'traybook', product: 'season', language: 'EN' },
  });
  for (const event of events) {
    const made = calendar.createEvent({
      id: safeUid(event.uid),
      stamp: new Date(stamp),
      sequence: event.sequence ?? 0,
      transparency: ICalEventTransparency.TRANSPARENT,
      ...(event.isCancelled ? { status: ICalEventStatus.CANCELLED } : {}),
      // A date without a zone is written by its UTC day, whatever zone the machine is in.
      start: new Date(event.hours?.from ?? `${event.from}T00:00:00Z`),
      end: new Date(event.hours?.to ?? `${event.to}T00:00:00Z`),
      allDay: event.hours === undefined,
      summary: forCalendar(event.title),
      ...(event.text === undefined ? {} : { description: forCalendar(event.text) }),
      ...(event.place === undefined ? {} : { location: forCalendar(event.place) }),
    });
    if (event.remindHours !== undefined && !event.isCancelled)
      made.createAlarm({ type: ICalAlarmType.display, trigger: event.remindHours * HOUR_S });
  }
  const text = `${calendar.toString().replace(/(\r\n)+$/, '')}\r\n`;
  // The library writes no VTODO: one is an event whose end is when it is due, and busy it has not.
  return asTasks === true
    ? text
        .replace(/^(BEGIN|END):VEVENT\r$/gm, '$1:VTODO\r')
        .replace(/^DTEND/gm, 'DUE')
        .replace(/^TRANSP:.*\r\n/gm, '')
        .replace(/^X-MICROSOFT-CDO-.*\r\n/gm, '')
    : text;
}
