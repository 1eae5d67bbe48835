import { addDays, type Day, type On, parseDay, parseOn, weekdayOf, weekdays } from './day.ts';

/** What `readWhen` understands, in words. */
export const whenExpected =
  'today, yesterday, a weekday such as sat, 2027-03-06 or 2027-03-06T18:30';

/**
 * Reads a date as a keeper says it: `today`, `yesterday`, `sat` (the last one, today counts),
 * `18:30` (today), `yesterday 18:30`, an ISO day or minute. Null if it is none of these.
 */
export function readWhen(text: string, today: Day): On | null {
  const on = parseOn(text);
  if (on !== null) return on;
  const [word = '', time] = text
    .trim()
    .toLowerCase()
    .split(/[ t](?=\d{1,2}:\d{2}$)/);
  if (time === undefined && /^\d{1,2}:\d{2}$/.test(word)) return withTime(today, word);
  const day = dayWord(word, today);
  if (day === null) return null;
  return time === undefined ? { day, time: null } : withTime(day, time);
}

function withTime(day: Day, time: string): On | null {
  return parseOn(`${day}T${time.padStart(5, '0')}`);
}

function dayWord(word: string, today: Day): Day | null {
  if (word === 'today') return today;
  if (word === 'yesterday') return addDays(today, -1);
  const weekday = weekdays.findIndex((name) => word.startsWith(name) && isWeekday(word, name));
  if (weekday === -1) return parseDay(word);
  const now = weekdays.indexOf(weekdayOf(today));
  const back = (now - weekday + weekdays.length) % weekdays.length;
  return addDays(today, -back);
}

const LONG_NAMES = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'];

function isWeekday(word: string, name: string): boolean {
  return word === name || LONG_NAMES.some((long) => long.startsWith(name) && long.startsWith(word));
}
