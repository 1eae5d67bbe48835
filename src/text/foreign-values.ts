import { months, type On, parseDay, parseOn } from './day.ts';

/** Which way round a table writes its dates: `dmy` 13.03.2027, `mdy` 03/13/2027, `iso` 2027-03-13. */
export const dateOrders = ['iso', 'dmy', 'mdy'] as const;
export type DateOrder = (typeof dateOrders)[number];
export const decimalSigns = ['point', 'comma'] as const;
export type DecimalSign = (typeof decimalSigns)[number];

/** What the cells of a table say about how it writes something; `cell` is the one that decided it. */
export type Habit<T> =
  | { readonly kind: 'known'; readonly value: T; readonly cell: string }
  | { readonly kind: 'open'; readonly cell: string }
  | { readonly kind: 'mixed'; readonly cells: readonly [string, string] }
  | { readonly kind: 'none' };

const NUMERIC = /^(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})(?:[ T](.+))?$/;
/** `13 Mar 2027`, `13-March-2027`, `March 13, 2027`: English names of months say the order themselves. */
const NAMED =
  /^(?:(\d{1,2})[ .-]+([a-z]{3,9})|([a-z]{3,9})\.? (\d{1,2}),?)[ .,-]+(\d{4})(?:[ T](.+))?$/i;

/**
 * Finds which way round dates are: by a day above 12. `03/04/2027` alone leaves it open, and is
 * not guessed.
 */
export function dateHabit(cells: Iterable<string>): Habit<DateOrder> {
  let open: string | null = null;
  const deciding = new Map<DateOrder, string>();
  for (const cell of cells) {
    if (/^\d{4}-\d{2}-\d{2}/.test(cell)) {
      if (!deciding.has('iso')) deciding.set('iso', cell);
      continue;
    }
    const [, first, , second] = NUMERIC.exec(cell) ?? [];
    if (first === undefined || second === undefined) continue;
    const [a, b] = [Number(first), Number(second)];
    const order = a > 12 && b <= 12 ? 'dmy' : b > 12 && a <= 12 ? 'mdy' : null;
    // The 5th of May is the same day either way.
    if (order === null) {
      if (a !== b && a <= 12) open ??= cell;
    } else if (!deciding.has(order)) deciding.set(order, cell);
  }
  const [dmy, mdy] = [deciding.get('dmy'), deciding.get('mdy')];
  if (dmy !== undefined && mdy !== undefined) return { kind: 'mixed', cells: [dmy, mdy] };
  if (dmy !== undefined) return { kind: 'known', value: 'dmy', cell: dmy };
  if (mdy !== undefined) return { kind: 'known', value: 'mdy', cell: mdy };
  if (open !== null) return { kind: 'open', cell: open };
  const iso = deciding.get('iso');
  return iso === undefined ? { kind: 'none' } : { kind: 'known', value: 'iso', cell: iso };
}

/**
 * Reads a date as the table writes it; a year of two digits is of this century.
 *
 * @param order how numeric dates are meant; `null` while nothing says so
 * @returns null for what is no date in that order
 */
export function readForeignDate(cell: string, order: DateOrder | null): On | null {
  const iso = parseOn(
    cell.replace(/^(\d{4}-\d{2}-\d{2}) /, '$1T').replace(/(T\d{2}:\d{2}):\d{2}(?:\.0+)?Z?$/, '$1'),
  );
  if (iso !== null) return iso;
  const named = NAMED.exec(cell);
  if (named !== null) {
    const [, dayBefore, monthAfter, monthBefore, dayAfter, year, time] = named;
    const month =
      (months as readonly string[]).indexOf(
        (monthAfter ?? monthBefore ?? '').slice(0, 3).toLowerCase(),
      ) + 1;
    return onOf(Number(year), month, Number(dayBefore ?? dayAfter), time);
  }
  const numeric = NUMERIC.exec(cell);
  if (numeric === null) return null;
  const [, first, , second, yearText, time] = numeric;
  const year = yearText!.length === 2 ? 2000 + Number(yearText) : Number(yearText);
  if (order === 'mdy') return onOf(year, Number(first), Number(second), time);
  if (order === 'dmy' || first === second) return onOf(year, Number(second), Number(first), time);
  return null;
}

function onOf(year: number, month: number, day: number, time: string | undefined): On | null {
  const two = (n: number) => `${n}`.padStart(2, '0');
  const date = parseDay(`${`${year}`.padStart(4, '0')}-${two(month)}-${two(day)}`);
  if (date === null) return null;
  if (time === undefined) return { day: date, time: null };
  const [, hour, minute, half] =
    /^(\d{1,2})[:.](\d{2})(?::\d{2})?(?: ?([ap])m)?$/i.exec(time.trim()) ?? [];
  if (hour === undefined || minute === undefined) return null;
  const shift = half === undefined ? 0 : half.toLowerCase() === 'p' ? 12 : 0;
  const hours = half === undefined ? Number(hour) : (Number(hour) % 12) + shift;
  return parseOn(`${date}T${two(hours)}:${minute}`);
}

/**
 * Finds the decimal sign. `12,5` can only be a decimal comma and `12.5` a decimal point; `1,234` and
 * `1.234` leave open whether the sign parts thousands.
 */
export function decimalHabit(cells: Iterable<string>): Habit<DecimalSign> {
  let open: string | null = null;
  const deciding = new Map<DecimalSign, string>();
  for (const cell of cells) {
    if (/^[+-]?\d{1,3}[.,]\d{3}$/.test(cell) && !/^[+-]?0/.test(cell)) open ??= cell;
    else if (/^[+-]?(?:\d+|\d{1,3}(?:[. ]\d{3})+),\d+$/.test(cell)) deciding.set('comma', cell);
    else if (/^[+-]?(?:\d+|\d{1,3}(?:[, ]\d{3})+)\.\d+$/.test(cell)) deciding.set('point', cell);
    else if (/^[+-]?\d{1,3}(?:\.\d{3}){2,}$/.test(cell)) deciding.set('comma', cell);
    else if (/^[+-]?\d{1,3}(?:,\d{3}){2,}$/.test(cell)) deciding.set('point', cell);
  }
  const [comma, point] = [deciding.get('comma'), deciding.get('point')];
  if (comma !== undefined && point !== undefined) return { kind: 'mixed', cells: [comma, point] };
  if (comma !== undefined) return { kind: 'known', value: 'comma', cell: comma };
  if (point !== undefined) return { kind: 'known', value: 'point', cell: point };
  return open === null ? { kind: 'none' } : { kind: 'open', cell: open };
}

/** A number as the table writes it, in the form of the logs (`1234.5`); other text as it is. */
export function readForeignNumber(cell: string, sign: DecimalSign): string {
  const [decimal, thousands] = sign === 'comma' ? [',', '.'] : ['.', ','];
  const match = new RegExp(
    `^([+-]?)(\\d+|\\d{1,3}(?:[\\${thousands} \\u00a0\\u202f]\\d{3})+)(?:\\${decimal}(\\d+))?$`,
  ).exec(cell);
  if (match === null) return cell;
  const [, minus, whole, part] = match;
  const digits = whole!.replace(/\D/g, '');
  return `${minus === '-' ? '-' : ''}${digits}${part === undefined ? '' : `.${part}`}`;
}
