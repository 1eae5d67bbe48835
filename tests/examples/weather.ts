// The weather of an invented hill: a year's swing, and days that resemble the day before.
import { type Day, daysBetween, daysIn } from '../../src/text/day.ts';
import type { Book } from './book.ts';
import type { Farm } from './farm.ts';

/** Mean low of the year, half its swing, °C, and the coldest day of the year. */
const MEAN = 6.2;
const SWING = 5.2;
const COLDEST_DAY = 32;
/** How much of yesterday stays in today. */
const MEMORY = 0.6;
/** Mornings on which nobody read the thermometer. */
const MISSED = ['05-12', '05-13', '08-02'];

/** Writes the lowest and highest temperature of each day. */
export function weather(book: Book, farm: Farm): void {
  const { some, put } = book.scribe(farm.seed + 200);
  const first = `${farm.season}-03-01` as Day;
  let swing = 0;
  for (const day of daysIn(first, `${farm.season}-12-31` as Day)) {
    const at = daysBetween(`${farm.season}-01-01` as Day, day);
    swing = MEMORY * swing + (some(16, 0.5) - 8) * 0.8;
    const usual = MEAN - SWING * Math.cos((2 * Math.PI * (at - COLDEST_DAY)) / 365);
    const low = usual + swing;
    // Long days warm up more.
    const high = low + 6 + 3 * Math.sin((Math.PI * at) / 365) + (some(12, 0.5) - 6) * 0.6;
    if (MISSED.includes(day.slice(5))) continue;
    put('weather', `${day}T20:40`, {
      low: low.toFixed(1),
      high: Math.max(high, low + 1).toFixed(1),
    });
  }
}
