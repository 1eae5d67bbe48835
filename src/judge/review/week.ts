import { addDays, type Day, numberOfDay, weekdayOf, weekdays } from '../../text/day.ts';

/** The ISO 8601 week of a day, `2027-W10`: weeks begin on Monday and belong to the year of their Thursday. */
export function isoWeek(day: Day): string {
  const thursday = addDays(day, 3 - weekdays.indexOf(weekdayOf(day)));
  const year = thursday.slice(0, 4);
  const first = numberOfDay(`${year}-01-01` as Day);
  const week = Math.floor((numberOfDay(thursday) - first) / 7) + 1;
  return `${year}-W${String(week).padStart(2, '0')}`;
}
