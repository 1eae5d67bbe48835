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

function wholeOf(cell: string, least: number): Read<number> {
  const value = Number(cell);
  const isCount = WHOLE.test(cell) && value >= least && value <= LARGEST_COUNT;
  return isCount ? { value } : { hint: slipInCount(cell) };
}

/** A whole number that must be there. */
export function whole(about: string, least = 0, wishes: ColumnWishes = {}): LogColumn<number> {
  return column<number>({
    about,
    expected: `a whole number from ${least}`,
    unit: wishes.unit ?? null,
    required: true,
    type: 'integer',
    read: (cell) => wholeOf(cell, least),
  });
}

/** A count that is zero when nothing is written. */
export function count(about: string): LogColumn<number> {
  return column<number>({
    about,
    expected: 'a whole number from 0, or nothing',
    type: 'integer',
    read: (cell) => (cell === '' ? { value: 0 } : wholeOf(cell, 0)),
  });
}

/** A whole number that may be unknown. */
export function wholeOrUnknown(
  about: string,
  least = 0,
  wishes: ColumnWishes = {},
): LogColumn<number | null> {
  return column<number | null>({
    about,
    expected: `a whole number from ${least}, or nothing`,
    unit: wishes.unit ?? null,
    type: 'integer',
    read: (cell) => (cell === '' ? { value: null } : wholeOf(cell, least)),
  });
}

export type NumberRange = { least: number; most: number; unit?: string };

const DECIMAL = /^[+-]?\d{1,9}(\.\d{1,6})?$/;

function decimalOf(cell: string, range: NumberRange): Read<number> {
  if (!DECIMAL.test(cell)) return { hint: slipIn(cell) };
  const value = Number(cell);
  return value >= range.least && value <= range.most ? { value } : { hint: null };
}

/** A decimal number within bounds that may be unknown. */
export function decimalOrUnknown(about: string, range: NumberRange): LogColumn<number | null> {
  return column<number | null>({
    about,
    expected: `a number from ${range.least} to ${range.most}, or nothing`,
    unit: range.unit ?? null,
    type: 'number',
    read: (cell) => (cell === '' ? { value: null } : decimalOf(cell, range)),
  });
}

/** A decimal number within bounds that must be there. */
export function decimal(about: string, range: NumberRange): LogColumn<number> {
  return column<number>({
    about,
    expected: `a number from ${range.least} to ${range.most}`,
    unit: range.unit ?? null,
    required: true,
    type: 'number',
    read: (cell) => decimalOf(cell, range),
  });
}

const LONGEST_NAME = 48;
/** Nearly every name. */
const PLAIN_NAME = /^[A-Za-z0-9][A-Za-z0-9 ._'-]*$/;
const NAME_WORDS =
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
export const nameExpected = NAME_WORDS;

/** The name of something; `refers` says of what kind, when it must be known already. */
export function name(about: string, refers: Refers | null = null): LogColumn<string> {
  return column<string>({
    about,
    expected: NAME_WORDS,
    required: true,
    refers,
    type: 'string',
    read: (cell) => (isName(cell) ? { value: cell } : { hint: null }),
  });
}

/** A name that may be left out. */
export function nameOrNone(about: string, refers: Refers | null = null): LogColumn<string | null> {
  return column<string | null>({
    about,
    expected: `${NAME_WORDS}, or nothing`,
    refers,
    type: 'string',
    read: (cell) =>
      cell === '' ? { value: null } : isName(cell) ? { value: cell } : { hint: null },
  });
}

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

/** One word of a list. */
export function oneOf<W extends string>(about: string, words: readonly W[]): LogColumn<W> {
  return column<W>({
    about,
    expected: `one of ${words.join(', ')}`,
    required: true,
    words,
    type: 'string',
    read: (cell) => (words.includes(cell as W) ? { value: cell as W } : { hint: null }),
  });
}

/** One word of a list, or nothing. */
export function oneOfOrNone<W extends string>(
  about: string,
  words: readonly W[],
  /** Other words that a keeper may use, and the word of the list that each means. */
  meant: Readonly<Record<string, W>> = {},
): LogColumn<W | null> {
  return column<W | null>({
    about,
    expected: `one of ${words.join(', ')}, or nothing`,
    words,
    type: 'string',
    read: (cell) =>
      cell === ''
        ? { value: null }
        : words.includes(cell as W)
          ? { value: cell as W }
          : { hint: Object.hasOwn(meant, cell) ? `did you mean ${meant[cell]}?` : null },
  });
}

/** A day that may be left out. */
export function dayOrNone(about: string): LogColumn<Day | null> {
  return column<Day | null>({
    about,
    expected: 'a day such as 2027-03-06, or nothing',
    type: 'date',
    read: (cell) => {
      if (cell === '') return { value: null };
      const value = parseDay(cell);
      return value === null ? { hint: dateSlip(cell) } : { value };
    },
  });
}

/** A mark that is either there or not: `yes`, `no` or nothing. */
export function yesOrNo(about: string): LogColumn<boolean> {
  return column<boolean>({
    about,
    expected: 'yes, no or nothing',
    words: ['yes', 'no'],
    type: 'boolean',
    read: (cell) =>
      cell === 'yes'
        ? { value: true }
        : cell === '' || cell === 'no'
          ? { value: false }
          : { hint: null },
    print: (value) => (value ? 'yes' : ''),
  });
}

/** Names the likely slip in something that should be a date. */
export function dateSlip(cell: string): string | null {
  if (/^\d{1,2}[./-]\d{1,2}[./-]\d{2,4}$/.test(cell)) return 'write year-month-day: 2027-03-06';
  if (/^\d{4}-\d{2}-\d{2}/.test(cell)) return 'there is no such day in the calendar';
  return null;
}
