/**
 * Spans of local days. Every stay of the book is one: half-open, so a tray emptied in the morning
 * may be filled that day.
 */
import { addDays, type Day, earlier, later } from '../text/day.ts';

/** The days from `from` up to, and without, `to`. A span whose `to` is not after `from` is empty. */
export type Span = { readonly from: Day; readonly to: Day };

/** The span from the first to the last of its days, both within it: as a keeper writes it. */
export function throughDay(first: Day, last: Day): Span {
  return { from: first, to: addDays(last, 1) };
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

/** Of the stays that one meets in its place, the most that are told: those that end last. */
const MOST_MET = 3;

/**
 * Stays of different sets in one place that share a day, in pairs, the one that comes later second:
 * a sweep in order of time, so that a thousand stays in one place cost no more than a thousand.
 *
 * @param placeOf the place of a stay; those of one place are compared
 * @param before which of two that begin on one day was there first: negative if `a`
 */
export function meetings<T extends Span & { readonly set: string }>(
  stays: readonly T[],
  placeOf: (stay: T) => string,
  before: (a: T, b: T) => number,
): [T, T][] {
  const inOrder = stays
    .filter((one) => one.from < one.to)
    .sort((a, b) => (a.from === b.from ? before(a, b) : a.from < b.from ? -1 : 1));
  /** Those there in each place, the last to leave first. */
  const there = new Map<string, T[]>();
  const out: [T, T][] = [];
  for (const stay of inOrder) {
    const place = placeOf(stay);
    const others = (there.get(place) ?? []).filter((one) => one.to > stay.from);
    let met = 0;
    for (const other of others) {
      if (other.set === stay.set) continue;
      if (met === MOST_MET) break;
      met += 1;
      out.push([other, stay]);
    }
    const at = others.findIndex((one) => one.to < stay.to);
    others.splice(at < 0 ? others.length : at, 0, stay);
    there.set(place, others);
  }
  return out;
}
