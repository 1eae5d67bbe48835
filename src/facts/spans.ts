/**
 * Spans of local days. Every stay of the book is one: half-open, so a tray emptied in the morning
 * may be filled that day.
 */
import { addDays, type Day, daysBetween, earlier, later } from '../text/day.ts';

/** The days from `from` up to, and without, `to`. A span whose `to` is not after `from` is empty. */
export type Span = { readonly from: Day; readonly to: Day };

/** The span from the first to the last of its days, both within it: as a keeper writes it. */
export function throughDay(first: Day, last: Day): Span {
  return { from: first, to: addDays(last, 1) };
}

/** Days in a span; 0 for an empty one. */
export function lengthOf(span: Span): number {
  return Math.max(0, daysBetween(span.from, span.to));
}

/** True if a day is one of the span's. */
export function holdsDay(span: Span, day: Day): boolean {
  return span.from <= day && day < span.to;
}

/** The days two spans share; null if they share none. */
export function sharedDays(a: Span, b: Span): Span | null {
  const shared = { from: later(a.from, b.from), to: earlier(a.to, b.to) };
  return shared.from < shared.to ? shared : null;
}

/** True if two spans share a day. */
export function overlaps(a: Span, b: Span): boolean {
  return sharedDays(a, b) !== null;
}

/** The shortest span that holds both; an empty one adds nothing. */
export function covering(a: Span, b: Span): Span {
  if (lengthOf(a) === 0) return b;
  if (lengthOf(b) === 0) return a;
  return { from: earlier(a.from, b.from), to: later(a.to, b.to) };
}
