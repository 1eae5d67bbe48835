import { DateTime } from 'luxon';
import type { Day } from '../../text/day.ts';

/** A wall-clock minute, `2027-03-06T18:30`, in a zone the caller knows. */
export type LocalMinute = string;

const MINUTE = "yyyy-MM-dd'T'HH:mm";

/**
 * `hours` of elapsed time after a wall-clock minute, as the wall clock then shows it. Across a
 * clock change 504 hours are not 21 wall-clock days. A minute that a change skips is read as if the
 * clock had run on; of one that comes twice the first is meant.
 */
export function addElapsedHours(local: LocalMinute, hours: number, zone: string): LocalMinute {
  return DateTime.fromISO(local, { zone })
    .plus({ milliseconds: hours * 3_600_000 })
    .toFormat(MINUTE);
}

/** Elapsed hours between two wall-clock minutes of a zone. */
export function elapsedHours(from: LocalMinute, to: LocalMinute, zone: string): number {
  const start = DateTime.fromISO(from, { zone });
  return DateTime.fromISO(to, { zone }).diff(start, 'hours').hours;
}

/** The wall clock of a zone at an instant in milliseconds since 1970. */
export function localMinute(instant: number, zone: string): LocalMinute {
  return DateTime.fromMillis(instant, { zone }).toFormat(MINUTE);
}

/** The instant of a wall-clock minute, in milliseconds since 1970. */
export function instantOf(local: LocalMinute, zone: string): number {
  return DateTime.fromISO(local, { zone }).toMillis();
}

/** Writes an instant with its offset, as `recorded` wants it. */
export function withOffset(instant: number, zone: string): string {
  return DateTime.fromMillis(instant, { zone }).toISO({ suppressMilliseconds: true })!;
}

/** The day part of a wall-clock minute. */
export function dayOfMinute(local: LocalMinute): Day {
  return local.slice(0, 10) as Day;
}
