/**
 * How a number, a rate, a chance, a day and a measure are written, on every screen, page and file.
 * A leaf of the house: it imports only from text/, so that every layer may use it.
 *
 * Between a number and its unit stands a no-break space, so that no line ends there; the terminal's
 * writer makes it a plain space again.
 */
import { type Day, type On, weekdayOf } from '../text/day.ts';

/** The units a season is written in; values inside the program are in °C, g, kg, m², m, cm. */
export type Units = {
  readonly temperature: 'C' | 'F';
  readonly mass: 'g' | 'oz';
  readonly area: 'm2' | 'ft2';
  readonly currency: string;
};

export const metric: Units = { temperature: 'C', mass: 'g', area: 'm2', currency: '' };

const NO_BREAK = '\u00a0';
const MINUS = '\u2212';
const EN_DASH = '\u2013';

// International yard and pound agreement (1959): exact. NIST SP 811 (2008), appendix B.8.
const GRAMS_IN_OUNCE = 28.349523125;
const KILOGRAMS_IN_POUND = 0.45359237;
const METRES_IN_FOOT = 0.3048;
const CENTIMETRES_IN_INCH = 2.54;

/** A number with a real minus sign and never a minus before zero: `12.5`, `−3`, `0.0`. */
export function fixed(value: number, digits = 0): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** The same with its sign said: `+3`, `−3`, `0`. */
export function signed(value: number, digits = 0): string {
  const text = fixed(value, digits);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** A count: whole as it stands, a part of an egg or bird with one decimal. Thousands are parted. */
export function count(value: number): string {
  if (!Number.isInteger(value)) return fixed(value, 1);
  if (Math.abs(value) < 10_000) return fixed(value);
  return fixed(value).replace(/\B(?=(\d{3})+$)/g, NO_BREAK);
}

/** So many figures that mean something: `significant(0.01234, 2)` is `0.012`. */
export function significant(value: number, figures: number): string {
  if (value === 0) return '0';
  const digits = figures - 1 - Math.floor(Math.log10(Math.abs(value)));
  return fixed(value, Math.min(12, Math.max(0, digits)));
}

/** A rate below this is written with one decimal: 3.4 of a hundred is not 3 to a keeper. */
const SMALL_RATE = 0.0995;

/** A rate (0 to 1) as the figures of a percentage: `84`, `4.2`, `0`, `100`. */
export function hundredths(rate: number): string {
  return fixed(100 * rate, rate !== 0 && Math.abs(rate) < SMALL_RATE ? 1 : 0);
}

/** A rate as a percentage: `84 %`, `4.2 %`. */
export function percent(rate: number): string {
  return `${hundredths(rate)}${NO_BREAK}%`;
}

/** From one figure to another: `82–90`; where one is below zero, `−3 to 5`. */
export function between(low: string, high: string): string {
  if (low === high) return low;
  return low.startsWith(MINUS) || high.startsWith(MINUS)
    ? `${low}${NO_BREAK}to${NO_BREAK}${high}`
    : `${low}${EN_DASH}${high}`;
}

/** Two rates as a range of percentages: `82–90 %`. */
export function percentRange(low: number, high: number): string {
  return `${between(hundredths(low), hundredths(high))}${NO_BREAK}%`;
}

/** A range of numbers: `36–54`. */
export function range(low: number, high: number, digits = 0): string {
  return between(fixed(low, digits), fixed(high, digits));
}

/** A rate with its count and its 95 % interval; null is what is not known. */
export type Rate = {
  readonly count: number;
  readonly of: number | null;
  readonly share: number | null;
  readonly low: number | null;
  readonly high: number | null;
};

/** The figures of a rate with its interval, for a column headed %: `84 (78–89)`. */
export function rateFigures({ share, low, high }: Omit<Rate, 'count' | 'of'>): string | null {
  if (share === null) return null;
  if (low === null || high === null) return hundredths(share);
  return `${hundredths(share)}${NO_BREAK}(${between(hundredths(low), hundredths(high))})`;
}

/** A rate in a sentence, with its count: `84 % (78–89 %), 112 of 133`. */
export function rateWords(rate: Rate): string | null {
  if (rate.share === null) return null;
  const interval =
    rate.low === null || rate.high === null ? '' : ` (${percentRange(rate.low, rate.high)})`;
  return `${percent(rate.share)}${interval}, ${count(rate.count)} of ${count(rate.of ?? 0)}`;
}

/** A chance as the figures of a percentage: never 0 and never 100, for no forecast knows that. */
export function chanceFigures(chance: number): string {
  const whole = Math.round(100 * chance);
  return whole < 1 ? '<1' : whole > 99 ? '>99' : String(whole);
}

/** A chance: `87 %`, `>99 %`, `<1 %`. */
export function chance(value: number): string {
  return `${chanceFigures(value)}${NO_BREAK}%`;
}

/** A p value: `0.034`, `<0.001`. */
export function pValue(value: number): string {
  return value < 0.0005 ? '<0.001' : value.toFixed(3);
}

/** Kinds of measure: the value is in the first unit named, and is written in that of the season. */
const measures = {
  /** °C. */
  temperature: (units: Units) =>
    units.temperature === 'F'
      ? { unit: '°F', of: (value: number) => (value * 9) / 5 + 32 }
      : { unit: '°C', of: (value: number) => value },
  /** A difference of temperatures, °C. */
  warmth: (units: Units) =>
    units.temperature === 'F'
      ? { unit: '°F', of: (value: number) => (value * 9) / 5 }
      : { unit: '°C', of: (value: number) => value },
  /** g: an egg, a tray of eggs. */
  mass: (units: Units) =>
    units.mass === 'oz'
      ? { unit: 'oz', of: (value: number) => value / GRAMS_IN_OUNCE }
      : { unit: 'g', of: (value: number) => value },
  /** kg: feed, a table bird. */
  weight: (units: Units) =>
    units.mass === 'oz'
      ? { unit: 'lb', of: (value: number) => value / KILOGRAMS_IN_POUND }
      : { unit: 'kg', of: (value: number) => value },
  /** m². */
  area: (units: Units) =>
    units.area === 'ft2'
      ? { unit: 'ft²', of: (value: number) => value / METRES_IN_FOOT ** 2 }
      : { unit: 'm²', of: (value: number) => value },
  /** m above the sea. */
  altitude: (units: Units) =>
    units.area === 'ft2'
      ? { unit: 'ft', of: (value: number) => value / METRES_IN_FOOT }
      : { unit: 'm', of: (value: number) => value },
  /** cm of a feeder's or a drinker's edge. */
  length: (units: Units) =>
    units.area === 'ft2'
      ? { unit: 'in', of: (value: number) => value / CENTIMETRES_IN_INCH }
      : { unit: 'cm', of: (value: number) => value },
  /** l: written so everywhere, as a gallon is not one size. */
  volume: (_units: Units) => ({ unit: 'l', of: (value: number) => value }),
  /** h. */
  hours: (_units: Units) => ({ unit: 'h', of: (value: number) => value }),
  /** kWh. */
  energy: (_units: Units) => ({ unit: 'kWh', of: (value: number) => value }),
} as const;

export type Measure = keyof typeof measures;

/** Decimals a measure is written with unless a column asks for others. */
export const usualDigits: Readonly<Record<Measure, number>> = {
  temperature: 1,
  warmth: 1,
  mass: 0,
  weight: 1,
  area: 1,
  altitude: 0,
  length: 0,
  volume: 1,
  hours: 0,
  energy: 0,
};

/** A whole number of grams is a tenth of an ounce. */
function digitsOf(measure: Measure, units: Units, digits: number | undefined): number {
  return digits ?? (measure === 'mass' && units.mass === 'oz' ? 1 : usualDigits[measure]);
}

/** The unit a measure is written in: `°F`. */
export function unitOf(measure: Measure, units: Units): string {
  return measures[measure](units).unit;
}

/** A measure in the season's unit. */
export function inUnit(value: number, measure: Measure, units: Units): number {
  return measures[measure](units).of(value);
}

/** A measure's figures in the season's unit, without the unit. */
export function figures(value: number, measure: Measure, units: Units, digits?: number): string {
  return fixed(inUnit(value, measure, units), digitsOf(measure, units, digits));
}

/** What one of the season's units costs where one of ours costs so much: money a kg, a lb. */
export function perUnit(cost: number, measure: Measure, units: Units): number {
  return cost / inUnit(1, measure, units);
}

/** A measure with its unit: `37.7 °C`, `1.9 oz`. */
export function measured(value: number, measure: Measure, units: Units, digits?: number): string {
  return `${figures(value, measure, units, digits)}${NO_BREAK}${unitOf(measure, units)}`;
}

/** An amount of money: `12.40 GBP`. */
export function money(amount: number, units: Pick<Units, 'currency'>): string {
  return `${fixed(amount, 2)}${units.currency === '' ? '' : NO_BREAK + units.currency}`;
}

/** `1 egg`, `2 eggs` in a sentence that is not of the screen: who writes it keeps number and word together. */
export function plural(number: number, one: string, many = `${one}s`): string {
  return `${number} ${number === 1 ? one : many}`;
}

/** The same for a screen. */
export function counted(number: number, one: string, many = `${one}s`): string {
  return `${count(number)}${NO_BREAK}${number === 1 ? one : many}`;
}

export const monthNames = [
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
] as const;

const weekdayNames = {
  mon: 'Monday',
  tue: 'Tuesday',
  wed: 'Wednesday',
  thu: 'Thursday',
  fri: 'Friday',
  sat: 'Saturday',
  sun: 'Sunday',
} as const;

/** `Apr`: the month of a day, short. */
export function monthOf(day: string): string {
  return monthNames[Number(day.slice(5, 7)) - 1]!.slice(0, 3);
}

/** `Saturday 24 April 2027`. */
export function longDay(day: Day): string {
  const month = monthNames[Number(day.slice(5, 7)) - 1]!;
  return [weekdayNames[weekdayOf(day)], Number(day.slice(8)), month, day.slice(0, 4)].join(
    NO_BREAK,
  );
}

/** `Sat 2027-04-24`. */
export function shortDay(day: Day): string {
  return `${weekdayNames[weekdayOf(day)].slice(0, 3)}${NO_BREAK}${day}`;
}

/** `24 Apr`: a day where the year is plain from what stands beside it. */
export function dayMonth(day: string): string {
  return `${Number(day.slice(8, 10))}${NO_BREAK}${monthOf(day)}`;
}

/** `24 Apr 2027`: a day in a sentence, on one line. */
export function dayYear(day: string): string {
  return `${dayMonth(day)}${NO_BREAK}${day.slice(0, 4)}`;
}

/** `Sat 24 Apr`. */
export function weekdayMonth(day: Day): string {
  return `${weekdayNames[weekdayOf(day)].slice(0, 3)}${NO_BREAK}${dayMonth(day)}`;
}

/** `2027-04-24 18:30`, or the day alone. */
export function moment({ day, time }: On): string {
  return time === null ? day : `${day}${NO_BREAK}${time}`;
}
