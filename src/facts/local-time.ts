import { offsetAt } from '../text/zone.ts';

/** A wall-clock minute, `2027-03-06T18:30`, in a zone the caller knows. */
export type LocalMinute = string;

const HOUR = 3_600_000;
const MINUTE = 60_000;

/** A wall-clock minute as if its clock showed UTC. */
function asUtc(local: LocalMinute): number {
  return Date.parse(`${local}Z`);
}

function printed(asIfUtc: number): LocalMinute {
  return new Date(asIfUtc).toISOString().slice(0, 16);
}

/**
 * The instant of a wall-clock minute, in milliseconds since 1970. A minute that a change skips is
 * read as if the clock had run on; of one that comes twice the first is meant.
 */
export function instantOf(local: LocalMinute, zone: string): number {
  const shown = asUtc(local);
  // No zone changes its clock twice within two days, so one of the two offsets is that of the minute.
  const before = offsetAt(shown - 24 * HOUR, zone);
  const after = offsetAt(shown + 24 * HOUR, zone);
  if (before === after) return shown - before;
  // The earlier offset stands unless the clock had been changed by then.
  const first = shown - before;
  if (offsetAt(first, zone) === before) return first;
  const second = shown - after;
  return offsetAt(second, zone) === after ? second : first;
}

/**
 * `hours` of elapsed time after a wall-clock minute, as the wall clock then shows it. Across a
 * clock change 504 hours are not 21 wall-clock days.
 */
export function addElapsedHours(local: LocalMinute, hours: number, zone: string): LocalMinute {
  return localMinute(instantOf(local, zone) + Math.round(hours * HOUR), zone);
}

/** Elapsed hours between two wall-clock minutes of a zone. */
export function elapsedHours(from: LocalMinute, to: LocalMinute, zone: string): number {
  return (instantOf(to, zone) - instantOf(from, zone)) / HOUR;
}

/** The wall clock of a zone at an instant in milliseconds since 1970. */
export function localMinute(instant: number, zone: string): LocalMinute {
  return printed(instant + offsetAt(instant, zone));
}

/** Writes an instant with its offset, as `recorded` wants it; the zone UTC itself writes `Z`. */
export function withOffset(instant: number, zone: string): string {
  const minutes = Math.round(offsetAt(instant, zone) / MINUTE);
  const shown = new Date(instant + minutes * MINUTE).toISOString().slice(0, -1).replace('.000', '');
  if (/^(utc|gmt)$/i.test(zone)) return `${shown}Z`;
  const two = (value: number): string => String(value).padStart(2, '0');
  const ahead = Math.abs(minutes);
  return `${shown}${minutes < 0 ? '-' : '+'}${two(Math.floor(ahead / 60))}:${two(ahead % 60)}`;
}
