import type { Day } from '../text/day.ts';
import type { CalendarEvent } from './ics.ts';

/** What was last given out of each event, by UID: so that a phone takes a change for a change. */
export type CalendarLedger = Readonly<
  Record<
    string,
    Pick<CalendarEvent, 'from' | 'to' | 'hours' | 'title' | 'place'> & {
      readonly sequence: number;
      readonly isCancelled: boolean;
    }
  >
>;

/**
 * The events of an export with their SEQUENCE, and those of the last export that are gone and still to
 * come as CANCELLED. What is gone and past stays on the phone as it was: the work was done. Its number
 * is kept, for it may come again on another day.
 */
export function withLedger(
  before: CalendarLedger,
  events: readonly CalendarEvent[],
  today: Day,
): { events: CalendarEvent[]; ledger: CalendarLedger } {
  const ledger: Record<string, CalendarLedger[string]> = {};
  const out: CalendarEvent[] = [];
  for (const event of events) {
    const old = before[event.uid];
    const { from, to, hours, title, place } = event;
    const now = { from, to, hours, title, place, isCancelled: false };
    // As it is read back: what is not there is no difference.
    const written = (one: object): string => JSON.stringify({ ...one, sequence: undefined });
    const sequence =
      old === undefined ? 0 : written(old) === written(now) ? old.sequence : old.sequence + 1;
    ledger[event.uid] = { ...now, sequence };
    out.push({ ...event, sequence });
  }
  for (const [uid, old] of Object.entries(before)) {
    if (ledger[uid] !== undefined) continue;
    const isPast = old.to <= today;
    const sequence = old.isCancelled || isPast ? old.sequence : old.sequence + 1;
    ledger[uid] = { ...old, sequence, isCancelled: old.isCancelled || !isPast };
    if (!isPast) out.push({ uid, ...ledger[uid] });
  }
  return { events: out, ledger };
}
