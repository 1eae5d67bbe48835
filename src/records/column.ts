import { type Day, parseDay } from '../text/day.ts';

/** What a name in a cell points to; the season knows whether it is there. */
export type Refers =
  | 'set'
  | 'pen'
  | 'line'
  | 'setter'
  | 'hatcher'
  | 'machine'
  | 'brooder'
  | 'group'
  | 'group-or-pen'
  | 'bird'
  | 'trait';

export type Read<T> = { readonly value: T } | { readonly hint: string | null };

/** One column of a log: reads a cell, prints a value, and says in words what it expects. */
export type LogColumn<T> = {
  readonly expected: string;
  readonly about: string;
  readonly unit: string | null;
  readonly required: boolean;
  /** A log begun before there was this column may lack it: its cells then read as empty. */
  readonly isLater: boolean;
  readonly refers: Refers | null;
  /** The words allowed, for completion; null if free. */
  readonly words: readonly string[] | null;
  /** The kind of value, for exports and spreadsheets. */
  readonly type: 'integer' | 'number' | 'string' | 'date' | 'boolean';
  read(cell: string): Read<T>;
  print(value: T): string;
};

/** The unit of a temperature, which is °C or °F as season.yaml says. */
export const DEGREES = '°';

type ColumnWishes = { unit?: string };

function column<T>(
  given: Omit<LogColumn<T>, 'required' | 'isLater' | 'refers' | 'words' | 'unit' | 'print'> &
    Partial<Pick<LogColumn<T>, 'required' | 'refers' | 'words' | 'unit' | 'print'>>,
): LogColumn<T> {
  return {
    required: false,
    isLater: false,
    refers: null,
    words: null,
    unit: null,
    print: (value) => (value === null ? '' : String(value)),
    ...given,
  };
}

/** A column that may be empty, and what it says then. */
function orElse<T, E>(of: LogColumn<T>, empty: E): LogColumn<T | E> {
  return {
    ...of,
    expected: `${of.expected}, or nothing`,
    required: false,
    read: (cell) => (cell === '' ? { value: empty } : of.read(cell)),
  };
}

/** A column that logs begun by an earlier version do not have. It may be empty. */
export function later<T>(of: LogColumn<T>): LogColumn<T> {
  return { ...of, isLater: true };
}

/** A likely slip of the pen in a number, named. */
function slipIn(cell: string): string | null {
  if (/^[\dOolI]+$/.test(cell) && /[OolI]/.test(cell)) {
    return /[Oo]/.test(cell) ? 'letter O for zero?' : 'letter l or I for one?';
  }
  if (/^-?\d+,\d+$/.test(cell)) return `a decimal point, not a comma: ${cell.replace(',', '.')}`;
  if (/^\s|\s$/.test(cell)) return 'there is a space beside the number';
  return null;
}

const LARGEST_COUNT = 1_000_000;

/** A likely slip in a count. */
function slipInCount(cell: string): string | null {
  if (/^-\d+$/.test(cell)) return 'a count cannot be negative';
  if (/^\d+\.\d+$/.test(cell)) return 'eggs and birds are whole';
  if (Number(cell) > LARGEST_COUNT) return `at most ${LARGEST_COUNT}`;
  return slipIn(cell);
}

const WHOLE = /^\d{1,7}$/;

/** A whole number that must be there. */
export function whole(about: string, least = 0, wishes: ColumnWishes = {}): LogColumn<number> {
  return column<number>({
    about,
    expected: `a whole number from ${least}`,
    unit: wishes.unit ?? null,
    required: true,
    type: 'integer',
    read: (cell) => {
      const value = Number(cell);
      const isCount = WHOLE.test(cell) && value >= least && value <= LARGEST_COUNT;
      return isCount ? { value } : { hint: slipInCount(cell) };
    },
  });
}

/** A count that is zero when nothing is written. */
export const count = (about: string) => orElse(whole(about), 0);

/** A whole number that may be unknown. */
export const wholeOrUnknown = (about: string, least = 0, wishes: ColumnWishes = {}) =>
  orElse(whole(about, least, wishes), null);

type NumberRange = { least: number; most: number; unit?: string };

const DECIMAL = /^[+-]?\d{1,9}(\.\d{1,6})?$/;

/** A decimal number within bounds that must be there. */
export function decimal(about: string, range: NumberRange): LogColumn<number> {
  return column<number>({
    about,
    expected: `a number from ${range.least} to ${range.most}`,
    unit: range.unit ?? null,
    required: true,
    type: 'number',
    read: (cell) => {
      if (!DECIMAL.test(cell)) return { hint: slipIn(cell) };
      const value = Number(cell);
      return value >= range.least && value <= range.most ? { value } : { hint: null };
    },
  });
}

/** A decimal number within bounds that may be unknown. */
export const decimalOrUnknown = (about: string, range: NumberRange) =>
  orElse(decimal(about, range), null);

const LONGEST_NAME = 48;
/** Nearly every name. */
const PLAIN_NAME = /^[A-Za-z0-9][A-Za-z0-9 ._'-]*$/;
export const nameExpected =
  "a name of at most 48 letters, digits, spaces and . _ - ', beginning with a letter or digit";

/** True for a name that a keeper may give to a set, pen, group, machine. */
export function isName(text: string): boolean {
  const isNamed = PLAIN_NAME.test(text) ? text.length <= LONGEST_NAME : isNameOfAnyScript(text);
  return isNamed && !text.endsWith(' ');
}

/** The letters of all scripts take a millisecond to be made ready, so they stand apart. */
function isNameOfAnyScript(text: string): boolean {
  return /^[\p{L}\p{N}][\p{L}\p{N} ._'-]{0,47}$/u.test(text);
}

/** The name of something; `refers` says of what kind, when it must be known already. */
export function name(about: string, refers: Refers | null = null): LogColumn<string> {
  return column<string>({
    about,
    expected: nameExpected,
    required: true,
    refers,
    type: 'string',
    read: (cell) => (isName(cell) ? { value: cell } : { hint: null }),
  });
}

/** A name that may be left out. */
export const nameOrNone = (about: string, refers: Refers | null = null) =>
  orElse(name(about, refers), null);

const LONGEST_TEXT = 2000;

/** Free text; control characters are not allowed. */
export function text(about: string): LogColumn<string> {
  return column<string>({
    about,
    expected: `a text of at most ${LONGEST_TEXT} characters without control characters`,
    type: 'string',
    read: (cell) =>
      cell.length <= LONGEST_TEXT &&
      !/[\u0000-\u0008\u000b-\u001f\u007f-\u009f]/.test(cell) &&
      cell.isWellFormed()
        ? { value: cell }
        : { hint: null },
  });
}

/** Free text that must be there. */
export function neededText(about: string): LogColumn<string> {
  const free = text(about);
  return {
    ...free,
    required: true,
    read: (cell) => (cell.trim() === '' ? { hint: null } : free.read(cell)),
  };
}

/** One word of a list. `meant`: other words a keeper may use, and the word of the list for each. */
export function oneOf<W extends string>(
  about: string,
  words: readonly W[],
  meant: Readonly<Record<string, W>> = {},
): LogColumn<W> {
  return column<W>({
    about,
    expected: `one of ${words.join(', ')}`,
    required: true,
    words,
    type: 'string',
    read: (cell) =>
      words.includes(cell as W)
        ? { value: cell as W }
        : { hint: Object.hasOwn(meant, cell) ? `did you mean ${meant[cell]}?` : null },
  });
}

/** One word of a list, or nothing. */
export const oneOfOrNone = <W extends string>(
  about: string,
  words: readonly W[],
  meant: Readonly<Record<string, W>> = {},
) => orElse(oneOf(about, words, meant), null);

/** A day that may be left out. */
export const dayOrNone = (about: string) =>
  orElse(
    column<Day>({
      about,
      expected: 'a day such as 2027-03-06',
      type: 'date',
      read: (cell) => {
        const value = parseDay(cell);
        return value === null ? { hint: dateSlip(cell) } : { value };
      },
    }),
    null,
  );

/** A mark that is either there or not: `yes`, `no` or nothing. */
export function yesOrNo(about: string): LogColumn<boolean> {
  return column<boolean>({
    about,
    expected: 'yes, no or nothing',
    words: ['yes', 'no'],
    type: 'boolean',
    read: (cell) => (['yes', 'no', ''].includes(cell) ? { value: cell === 'yes' } : { hint: null }),
    print: (value) => (value ? 'yes' : ''),
  });
}

/** Names the likely slip in something that should be a date. */
export function dateSlip(cell: string): string | null {
  if (/^\d{1,2}[./-]\d{1,2}[./-]\d{2,4}$/.test(cell)) return 'write year-month-day: 2027-03-06';
  if (/^\d{4}-\d{2}-\d{2}/.test(cell)) return 'there is no such day in the calendar';
  return null;
}
