import type { WeatherDay } from '../../season/model.ts';
import { type Day, numberOfDay } from '../../text/day.ts';
import { once } from '../../text/once.ts';
import type { DayAir } from '../heat.ts';

/** What a month is like, °C: mean low and high, and the low that nine nights in ten stay above. */
export type MonthNormal = {
  readonly low: number;
  readonly high: number | null;
  readonly low_10: number | null;
};

/** Months 1 to 12; null where season.yaml gives none. */
export type Normals = readonly (MonthNormal | null)[];

export type NightSource = 'written' | 'normals' | 'past nights';

/** What is known of the night and day at a date. */
export type Night = DayAir & {
  readonly source: NightSource;
  /** The low that nine past nights in ten stayed above; null if too few are known. */
  readonly low_10: number | null;
};

/** What is known of each night; null where nothing is. */
export type NightOn = (day: Day) => Night | null;

/** Nights on each side of a date, in every year, that tell what it is like. */
const WINDOW_DAYS = 10;
/** Past nights below which no tenth is told: 1 in 14 is as far as so few can speak. */
const FEWEST_NIGHTS = 14;
const MOST_DAYS_A_YEAR = 366;

/**
 * What nights to expect: as written down for that very day; else from the normals of season.yaml,
 * drawn straight between the middles of the months; else from past nights within ten days of the
 * date in any year. Null where nothing is known: never a guess.
 */
export function nightsModel(past: readonly WeatherDay[], normals: Normals): NightOn {
  const written = new Map(past.map((one) => [one.day, one]));
  const ofYear: { low: number; high: number | null }[][] = Array.from(
    { length: MOST_DAYS_A_YEAR },
    () => [],
  );
  for (const { day, low, high } of past)
    if (low !== null) ofYear[dayOfYear(day)]!.push({ low, high });
  return (day) => {
    // Round the turn of the year: the tenth day before the first is one of December.
    const first = dayOfYear(day) - WINDOW_DAYS + MOST_DAYS_A_YEAR;
    const nearby = once(() =>
      Array.from(
        { length: 2 * WINDOW_DAYS + 1 },
        (_, index) => ofYear[(first + index) % MOST_DAYS_A_YEAR]!,
      ).flat(),
    );
    const normal = normalOn(normals, day);
    const of = (source: NightSource, low: number, high: number | null): Night => ({
      source,
      low,
      high,
      // Of every night of a year the low is asked for, and this of few: then only they are sorted.
      get low_10() {
        const near = nearby();
        return near.length >= FEWEST_NIGHTS
          ? tenth(near.map((one) => one.low).sort((a, b) => a - b))
          : (normal?.low_10 ?? null);
      },
    });
    const own = written.get(day);
    if (own && own.low !== null) return of('written', own.low, own.high);
    if (normal) return of('normals', normal.low, normal.high);
    const near = nearby();
    if (near.length < FEWEST_NIGHTS) return null;
    const highs = near.map((one) => one.high).filter((high) => high !== null);
    return of(
      'past nights',
      mean(near.map((one) => one.low)),
      highs.length > 0 ? mean(highs) : null,
    );
  };
}

/** Days of the half-open [from, to) without a low written down. */
export function nightsMissing(past: readonly WeatherDay[], days: readonly Day[]): Day[] {
  const have = new Set(past.filter((one) => one.low !== null).map((one) => one.day));
  return days.filter((day) => !have.has(day));
}

/** The value that nine in ten are at or above: the order statistic at a tenth, rounded down. */
function tenth(sorted: readonly number[]): number {
  return sorted[Math.floor(sorted.length / 10)]!;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, one) => sum + one, 0) / values.length;
}

function dayOfYear(day: Day): number {
  return numberOfDay(day) - numberOfDay(`${day.slice(0, 4)}-01-01` as Day);
}

/** Between the middles of two months both are weighed; beside a gap the month's own stands. */
function normalOn(normals: Normals, day: Day): MonthNormal | null {
  const month = Number(day.slice(5, 7)) - 1;
  const own = normals[month] ?? null;
  if (own === null) return null;
  const year = Number(day.slice(0, 4));
  const length = new Date(Date.UTC(year, month + 1, 0)).getUTCDate();
  // -0.5 on the first of the month to 0.5 on its last day.
  const off = (Number(day.slice(8, 10)) - 0.5) / length - 0.5;
  const other = normals[(month + (off < 0 ? 11 : 1)) % 12] ?? null;
  if (other === null) return own;
  const weight = Math.abs(off);
  const blend = (a: number | null, b: number | null): number | null =>
    a === null ? null : b === null ? a : a * (1 - weight) + b * weight;
  return {
    low: blend(own.low, other.low)!,
    high: blend(own.high, other.high),
    low_10: blend(own.low_10, other.low_10),
  };
}
