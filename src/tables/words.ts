import { type Day, weekdayOf } from '../text/day.ts';
import { widthOf } from './table.ts';

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];
const WEEKDAYS = {
  mon: 'Monday',
  tue: 'Tuesday',
  wed: 'Wednesday',
  thu: 'Thursday',
  fri: 'Friday',
  sat: 'Saturday',
  sun: 'Sunday',
};

/** `Saturday 24 April 2027`. */
export function longDay(day: Day): string {
  return `${WEEKDAYS[weekdayOf(day)]} ${Number(day.slice(8))} ${MONTHS[Number(day.slice(5, 7)) - 1]} ${day.slice(0, 4)}`;
}

/** `Sat 2027-04-24`. */
export function shortDay(day: Day): string {
  return `${WEEKDAYS[weekdayOf(day)].slice(0, 3)} ${day}`;
}

/** A share of one as a percentage with one decimal, `84.6 %`; null if there is none. */
export function percent(value: number | null, digits = 1): string | null {
  return value === null ? null : `${(100 * value).toFixed(digits)} %`;
}

/** Breaks a text at spaces so that no line is wider than `width`. */
export function wrapped(text: string, width: number): string {
  return hanging('', text, width);
}

/** `head`, then the text beside it: later lines are indented as far as the head is wide. */
export function hanging(head: string, text: string, width: number): string {
  const indent = widthOf(head);
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const next = line === '' ? word : `${line} ${word}`;
    if (line !== '' && indent + widthOf(next) > width) {
      lines.push(line);
      line = word;
    } else line = next;
  }
  lines.push(line);
  return head + lines.join(`\n${' '.repeat(indent)}`);
}
