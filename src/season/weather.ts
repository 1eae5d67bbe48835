import type { RowOf } from '../records/record.ts';
import type { weather } from '../records/weather.ts';
import type { Day } from '../text/day.ts';
import { largest, smallest } from '../text/lists.ts';
import type { WeatherDay } from './model.ts';

/** A temperature as written, in °C. */
export function celsius(value: number, unit: 'C' | 'F'): number {
  return unit === 'F' ? ((value - 32) * 5) / 9 : value;
}

/** Temperatures written down, °C, by day; the coldest and warmest of a day's rows. */
export function weatherIn(rows: readonly RowOf<typeof weather>[], unit: 'C' | 'F'): WeatherDay[] {
  const days = new Map<Day, WeatherDay>();
  for (const row of rows) {
    const low = row.values.low === null ? null : celsius(row.values.low, unit);
    const high = row.values.high === null ? null : celsius(row.values.high, unit);
    const same = days.get(row.on.day);
    const least = [low, same?.low ?? null].filter((one) => one !== null);
    const most = [high, same?.high ?? null].filter((one) => one !== null);
    days.set(row.on.day, {
      day: row.on.day,
      low: least.length > 0 ? smallest(least) : null,
      high: most.length > 0 ? largest(most) : null,
    });
  }
  return [...days.values()].sort((a, b) => (a.day < b.day ? -1 : 1));
}
