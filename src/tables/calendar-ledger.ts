import type { Day } from '../text/day.ts';
import type { CalendarEvent } from './ics.ts';

/** What was last given out of each event, by UID: so that a phone takes a change for a change. */
export type CalendarLedger = Readonly<
  Record<
    string,
    {
      readonly sequence: number;
      readonly from: Day;
      readonly to: Day;
      readonly title: string;
      readonly place: string | null;
      readonly isCancelled: boolean;
    }
  >
>;

/**
 * The events of an export with their SEQUENCE, and those of the last export that are gone and still to
 * come as CANCELLED. What is gone and past stays on the phone as it was: the work was done.
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
    const now = {
      from: event.from,
      to: event.to,
      title: event.title,
      place: event.place ?? null,
      isCancelled: false,
    };
    const isSame =
      old !== undefined &&
      old.from === now.from &&
      old.to === now.to &&
      old.title === now.title &&
      old.place === now.place &&
      !old.isCancelled;
    const sequence = old === undefined ? 0 : isSame ? old.sequence : old.sequence + 1;
    ledger[event.uid] = { sequence, ...now };
    out.push({ ...event, sequence });
  }
  for (const [uid, old] of Object.entries(before)) {
    if (ledger[uid] !== undefined || old.to <= today) continue;
    const sequence = old.isCancelled ? old.sequence : old.sequence + 1;
    ledger[uid] = { ...old, sequence, isCancelled: true };
    out.push({
      uid,
      from: old.from,
      to: old.to,
      title: old.title,
      place: old.place ?? undefined,
      sequence,
      isCancelled: true,
    });
  }
  return { events: out, ledger };
}
