// The days about the ends of a span, so that every law is asked the day before, on and after each end.
import type { Span } from '../../src/facts/spans.ts';
import { addDays, type Day } from '../../src/text/day.ts';

/** Each day about the ends of a half-open span, and whether it is one of the span's. */
export function boundariesOf({ from, to }: Span): [string, Day, boolean][] {
  const length = from < to;
  return [
    ['the day before it begins', addDays(from, -1), false],
    ['the day it begins', from, length],
    ['the last day of it', addDays(to, -1), length],
    ['the day it ends', to, false],
    ['the day after', addDays(to, 1), false],
  ];
}
