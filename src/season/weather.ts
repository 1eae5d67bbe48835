import type { RowOf } from '../records/record.ts';
import type { weather } from '../records/weather.ts';
import { groupedBy, largest, smallest } from '../text/lists.ts';
import type { WeatherDay } from './model.ts';

/** A temperature as written, in °C. */
export function celsius(value: number, unit: 'C' | 'F'): number {
  return unit === 'F' ? ((value - 32) * 5) / 9 : value;
}

/** Temperatures written down, °C, by day; the coldest and warmest of a day's rows. */
export function weatherIn(rows: readonly RowOf<typeof weather>[], unit: 'C' | 'F'): WeatherDay[] {
  const days = [...groupedBy(rows, (row) => row.on.day)].map(([day, same]): WeatherDay => {
    const of = (column: 'low' | 'high') =>
      same
        .map(({ values }) => values[column])
        .filter((one) => one !== null)
        .map((one) => celsius(one, unit));
    const [lows, highs] = [of('low'), of('high')];
    return {
      day,
      low: lows.length > 0 ? smallest(lows) : null,
      high: highs.length > 0 ? largest(highs) : null,
    };
  });
  return days.sort((a, b) => (a.day < b.day ? -1 : 1));
}
