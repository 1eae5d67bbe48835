import * as z from 'zod';
import {
  addElapsedHours,
  elapsedHours,
  instantOf,
  localMinute,
} from '../../src/facts/local-time.ts';
import {
  addDays,
  type Day,
  daysBetween,
  parseDay,
  weekdayOf,
  weekdays,
} from '../../src/text/day.ts';
import { type Adapter, adapter } from './shared.ts';

const MINUTE = 60_000;
const QUARTER_HOUR = 15 * MINUTE;
const DAY = 86_400_000;
const zone = z.string();
const local = z.string().regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/);
const date = z.string().refine((text) => parseDay(text) !== null, 'a day');

function utc(instant: number): string {
  return `${localMinute(instant, 'UTC')}Z`;
}

/** Elapsed hours and calendar days after a wall-clock minute. */
const addPeriod = adapter(z.object({ zone, local, hours: z.number(), days: z.int() }), (v) => {
  const start = instantOf(v.local, v.zone);
  const daysLater = `${addDays(v.local.slice(0, 10) as Day, v.days)}${v.local.slice(10)}`;
  return {
    start_utc: utc(start),
    plus_hours_local: addElapsedHours(v.local, v.hours, v.zone),
    plus_hours_utc: utc(start + v.hours * 60 * MINUTE),
    plus_days_local: daysLater,
    plus_days_utc: utc(instantOf(daysLater, v.zone)),
    elapsed_hours_of_calendar_days: elapsedHours(v.local, daysLater, v.zone),
  };
});

/** Whether a wall-clock minute comes once, twice or never, found by asking which instants show it. */
const localValidity = adapter(z.object({ zone, local }), (v) => {
  const guess = instantOf(v.local, 'UTC');
  const showing: number[] = [];
  for (let instant = guess - DAY; instant <= guess + DAY; instant += QUARTER_HOUR)
    if (localMinute(instant, v.zone) === v.local) showing.push(instant);
  const [first, second] = showing;
  if (first === undefined) {
    const offset = (at: number): number => instantOf(localMinute(at, v.zone), 'UTC') - at;
    return {
      status: 'nonexistent',
      utc_using_offset_before: utc(guess - offset(guess - DAY)),
      utc_using_offset_after: utc(guess - offset(guess + DAY)),
      shifted_forward_local: addElapsedHours(v.local, 0, v.zone),
    };
  }
  return second === undefined
    ? { status: 'unique', utc: utc(first) }
    : { status: 'ambiguous', earlier_utc: utc(first), later_utc: utc(second) };
});

/** The week of ISO 8601: the week belongs to the year of its Thursday. */
const isoWeek = adapter(z.object({ date }), (v) => {
  const day = v.date as Day;
  const weekday = weekdays.indexOf(weekdayOf(day)) + 1;
  const thursday = addDays(day, 4 - weekday);
  const year = thursday.slice(0, 4);
  return {
    iso_year: Number(year),
    iso_week: Math.floor(daysBetween(`${year}-01-01` as Day, thursday) / 7) + 1,
    iso_weekday: weekday,
  };
});

const dateAdd = adapter(z.object({ date, days: z.int() }), (v) => {
  const day = addDays(v.date as Day, v.days);
  const name = weekdayOf(day);
  return { date: day, weekday: `${name[0]!.toUpperCase()}${name.slice(1)}` };
});

export const adapters: Record<string, Adapter> = {
  add_period: addPeriod,
  local_validity: localValidity,
  iso_week: isoWeek,
  date_add: dateAdd,
};
