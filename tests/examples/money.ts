// What an invented season bought and sold.
import { addDays, type Day, daysBetween, daysIn } from '../../src/text/day.ts';
import type { Book } from './book.ts';
import type { Farm } from './farm.ts';
import type { Reared } from './growing.ts';

const BAG_KG = 20;

/** Writes feed and litter by the fortnight, power by the month, eggs sold by the week. */
export function money(book: Book, farm: Farm, groups: readonly Reared[]): void {
  const { some, put } = book.scribe(farm.seed + 300);
  const first = `${farm.season}-03-07` as Day;
  for (const day of daysIn(first, `${farm.season}-12-31` as Day)) {
    const week = daysBetween(first, day) / 7;
    if (Number.isInteger(week)) {
      const eggs = 24 + some(30, 0.5);
      put('money', `${day}T17:10`, {
        category: 'eggs',
        amount: (-0.35 * eggs).toFixed(2),
        quantity: eggs,
        unit: 'eggs',
      });
      const young = groups.filter((one) => one.hatched <= day).length;
      if (week % 2 === 0 && young > 0) {
        const bags = Math.min(8, 1 + Math.ceil(young / 2)) + some(2, 0.5);
        const price = 12.4 + some(6, 0.5) / 10;
        put('money', `${day}T17:20`, {
          category: 'feed',
          amount: (bags * price).toFixed(2),
          quantity: bags * BAG_KG,
          unit: 'kg',
        });
      }
    }
    if (day.endsWith('-01')) {
      const kwh = 150 + some(60, 0.5);
      put('money', `${day}T18:00`, {
        category: 'power',
        amount: (kwh * 0.27).toFixed(2),
        quantity: kwh,
        unit: 'kWh',
      });
    }
    if (day.endsWith('-10') && day < addDays(first, 210))
      put('money', `${day}T17:30`, {
        category: 'litter',
        amount: (9.2 * 4).toFixed(2),
        quantity: 4,
        unit: 'bale',
      });
  }
}
