/** A local calendar day as ISO text, `2027-03-06`: not an instant, has no zone. */
export type Day = string & { readonly isDay: true };

const milliseconds = 86_400_000;

// A season is some hundred days, each asked for again and again. The numbers of days met so far;
// a table of calculated values, so nothing but time depends on it.
const numbers = new Map<string, number>();
const days = new Map<number, Day>();
/** Ten centuries: whoever asks for more is not about a season, and gets them worked out again. */
const MOST_KEPT = 366_000;

/** Days since 1970-01-01 of the proleptic Gregorian calendar. */
export function numberOfDay(day: Day): number {
  let number = numbers.get(day);
  if (number === undefined) {
    number =
      Date.UTC(Number(day.slice(0, 4)), Number(day.slice(5, 7)) - 1, Number(day.slice(8, 10))) /
      milliseconds;
    if (numbers.size < MOST_KEPT) numbers.set(day, number);
  }
  return number;
}

/** The day with this number; the inverse of `numberOfDay`. */
export function dayOfNumber(number: number): Day {
  let day = days.get(number);
  if (day === undefined) {
    day = new Date(number * milliseconds).toISOString().slice(0, 10) as Day;
    if (days.size < MOST_KEPT) days.set(number, day);
  }
  return day;
}

/** The day `count` calendar days later (earlier if negative). */
export function addDays(day: Day, count: number): Day {
  return dayOfNumber(numberOfDay(day) + count);
}

/** Calendar days from `from` to `to`; negative if `to` is earlier. */
export function daysBetween(from: Day, to: Day): number {
  return numberOfDay(to) - numberOfDay(from);
}

const parsed = new Set<string>();
const DAY = /^\d{4}-\d{2}-\d{2}$/;

/** Reads ISO text as a day, or null: `2027-02-30` is none. */
export function parseDay(text: string): Day | null {
  if (parsed.has(text)) return text as Day;
  if (!DAY.test(text)) return null;
  const year = Number(text.slice(0, 4));
  // Date.UTC reads years below 100 as 19xx; no season is that old.
  if (year < 1900) return null;
  const month = Number(text.slice(5, 7));
  const dayOfMonth = Number(text.slice(8, 10));
  if (month < 1 || month > 12 || dayOfMonth < 1) return null;
  // Day 0 of the next month is the last of this one.
  const longEnough =
    dayOfMonth <= 28 || dayOfMonth <= new Date(Date.UTC(year, month, 0)).getUTCDate();
  if (!longEnough) return null;
  if (parsed.size < MOST_KEPT) parsed.add(text);
  return text as Day;
}

export const weekdays = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
export type Weekday = (typeof weekdays)[number];

/** Months by their first three letters, January first: keys of season.yaml, dates in words. */
export const months = [
  'jan',
  'feb',
  'mar',
  'apr',
  'may',
  'jun',
  'jul',
  'aug',
  'sep',
  'oct',
  'nov',
  'dec',
] as const;

/** The weekday of a day. */
export function weekdayOf(day: Day): Weekday {
  // 1970-01-01 was a Thursday.
  return weekdays[(((numberOfDay(day) + 3) % 7) + 7) % 7]!;
}

/** Every day of the half-open range [from, to). */
export function daysIn(from: Day, to: Day): Day[] {
  const last = numberOfDay(to);
  const out: Day[] = [];
  for (let number = numberOfDay(from); number < last; number += 1) out.push(dayOfNumber(number));
  return out;
}

/** The earlier and the later of two days. */
export function earlier(a: Day, b: Day): Day {
  return a <= b ? a : b;
}
export function later(a: Day, b: Day): Day {
  return a >= b ? a : b;
}

/** When something was done: a local day, and the minute of the wall clock where it was written. */
export type On = { readonly day: Day; readonly time: string | null };

const DAY_LENGTH = 10;
const TIME_OF_DAY = /^T([01]\d|2[0-3]):[0-5]\d$/;

/** Reads `2027-03-06` or `2027-03-06T18:30`, or null. */
export function parseOn(text: string): On | null {
  const day = parseDay(text.slice(0, DAY_LENGTH));
  if (day === null) return null;
  if (text.length === DAY_LENGTH) return { day, time: null };
  const time = text.slice(DAY_LENGTH);
  return TIME_OF_DAY.test(time) ? { day, time: time.slice(1) } : null;
}

/** Writes an `on` cell. */
export function printOn(on: On): string {
  return on.time === null ? on.day : `${on.day}T${on.time}`;
}

/** Orders by day, then by minute; a row without a minute comes before the day's minutes. */
export function compareOn(a: On, b: On): number {
  if (a.day !== b.day) return a.day < b.day ? -1 : 1;
  const one = a.time ?? '';
  const other = b.time ?? '';
  return one < other ? -1 : one > other ? 1 : 0;
}
