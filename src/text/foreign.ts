import { CsvError, type Options, parse } from 'csv-parse/sync';

/*
 * Reads a table that a keeper made in a program of their own. What the file leaves open is named
 * and asked for, never guessed: how it is encoded, what parts its columns, which way round its
 * dates are, what its decimal sign is.
 */

/** One cell: `exact` when the file itself says what it is (a number or date of a spreadsheet file). */
export type ForeignCell = { readonly text: string; readonly exact: boolean };
export type ForeignRow = { readonly cells: readonly ForeignCell[]; readonly rowNo: number };
export type ForeignTable = {
  readonly header: readonly string[];
  readonly rows: readonly ForeignRow[];
  /** What was found out about the file, in words for the report. */
  readonly found: readonly string[];
};

/** A file that cannot be read as a table, with what to do about it. */
export type Unreadable = { readonly problem: string; readonly hint: string };
export type Told<T> = { readonly value: T } | Unreadable;

export const encodings = ['utf-8', 'utf-16le', 'utf-16be', 'windows-1252'] as const;
export type Encoding = (typeof encodings)[number];

/** Bounds on a file to import: bytes, rows, cells a row, cells of a sheet's grid, characters a cell. */
export const IMPORT_LIMITS = {
  bytes: 32 * 1024 * 1024,
  rows: 200_000,
  columns: 256,
  cells: 4_000_000,
  cell: 64 * 1024,
} as const;

/**
 * Turns bytes into text. A byte-order mark says the encoding; without one the text is UTF-8, and
 * bytes that are none need `asked`.
 */
export function decode(
  bytes: Uint8Array,
  asked: Encoding | null,
): Told<{ text: string; found: string }> {
  const marked = markOf(bytes);
  const encoding = asked ?? marked ?? 'utf-8';
  try {
    const text = new TextDecoder(encoding, { fatal: true }).decode(bytes);
    const found = marked === null ? encoding : `${encoding}, with a byte-order mark`;
    return { value: { text, found } };
  } catch {
    return {
      problem: `the file is not ${encoding}`,
      hint:
        asked === null
          ? 'an older spreadsheet on Windows writes another encoding: say --encoding windows-1252, or save as "CSV UTF-8"'
          : `it may be one of ${encodings.join(', ')}`,
    };
  }
}

function markOf(bytes: Uint8Array): Encoding | null {
  const [a, b, c] = bytes;
  if (a === 0xef && b === 0xbb && c === 0xbf) return 'utf-8';
  if (a === 0xff && b === 0xfe) return 'utf-16le';
  if (a === 0xfe && b === 0xff) return 'utf-16be';
  return null;
}

export const separators = { comma: ',', semicolon: ';', tab: '\t', bar: '|' } as const;
export type Separator = keyof typeof separators;
const separatorNames = Object.keys(separators) as Separator[];

/** Rows that are read to find the separator. */
const LOOKED_AT = 50;

/**
 * Finds what parts the columns: the only sign that cuts the first rows into the same number of
 * cells, two or more. Two that do are told, not chosen between.
 */
export function findSeparator(text: string): Told<Separator> {
  const fitting = separatorNames.filter((name) => {
    const widths = widthsWith(text, separators[name]);
    return widths !== null && widths[0]! > 1 && widths.every((width) => width === widths[0]);
  });
  const [only, second] = fitting;
  if (only !== undefined && second === undefined) return { value: only };
  const choose = `say which: --separator ${separatorNames.join(' | ')}`;
  if (only === undefined) {
    return { problem: 'no sign parts the rows into equally many columns', hint: choose };
  }
  return { problem: `the columns could be parted by ${fitting.join(' or ')}`, hint: choose };
}

function widthsWith(text: string, separator: string): number[] | null {
  try {
    const rows = parse(text, { ...options(separator), to: LOOKED_AT }) as string[][];
    return rows.length === 0 ? null : rows.map((row) => row.length);
  } catch (error) {
    if (error instanceof CsvError) return null;
    throw error;
  }
}

const options = (separator: string): Options => ({
  delimiter: separator,
  bom: true,
  relax_column_count: true,
  skip_empty_lines: true,
  record_delimiter: ['\r\n', '\n', '\r'],
  max_record_size: IMPORT_LIMITS.cell * 4,
});

/** Reads separated text as a table; rows longer or shorter than the header are told with their row. */
export function readForeign(text: string, separator: Separator): Told<ForeignTable> {
  const rows: ForeignRow[] = [];
  try {
    parse(text, {
      ...options(separators[separator]),
      on_record: (cells: string[], { lines }) => {
        const breaks = cells.reduce((sum, cell) => sum + cell.split(/\r\n?|\n/).length - 1, 0);
        rows.push({
          cells: cells.map((cell) => ({ text: cell.trim(), exact: false })),
          rowNo: lines - breaks,
        });
        return null;
      },
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    return {
      problem: `row ${rows.length + 1} cannot be read: ${sentences[error.code] ?? error.code.toLowerCase()}`,
      hint: 'save the table again from your spreadsheet as "CSV UTF-8"',
    };
  }
  return tableOf(rows, [`columns parted by ${separator === 'bar' ? 'bars' : `${separator}s`}`]);
}

const sentences: Readonly<Record<string, string>> = {
  CSV_QUOTE_NOT_CLOSED: 'a quote is never closed',
  CSV_INVALID_CLOSING_QUOTE: 'something stands behind a closing quote',
  INVALID_OPENING_QUOTE: 'a quote stands inside an unquoted text',
  CSV_MAX_RECORD_SIZE: 'it is too long',
};

/** Makes a table of rows: the first that holds anything is the header; empty rows are passed over. */
export function tableOf(all: readonly ForeignRow[], found: readonly string[]): Told<ForeignTable> {
  const rows = all.filter(({ cells }) => cells.some(({ text }) => text !== ''));
  const [head, ...body] = rows;
  if (head === undefined)
    return { problem: 'the file holds no table', hint: 'is it the right file, the right sheet?' };
  const header = trimEnd(head.cells).map(({ text }) => text);
  const tooLong = rows
    .flatMap(({ cells }) => cells)
    .some(({ text }) => text.length > IMPORT_LIMITS.cell);
  if (header.length > IMPORT_LIMITS.columns || body.length > IMPORT_LIMITS.rows || tooLong) {
    return {
      problem: 'the table is too large',
      hint: `at most ${IMPORT_LIMITS.rows} rows of ${IMPORT_LIMITS.columns} columns, ${IMPORT_LIMITS.cell} characters a cell: import it in parts`,
    };
  }
  const seen = new Set<string>();
  for (const name of header) {
    if (name !== '' && seen.has(name.toLowerCase())) {
      return {
        problem: `the column "${name}" stands twice in the header`,
        hint: 'rename one of the two',
      };
    }
    seen.add(name.toLowerCase());
  }
  for (const { cells, rowNo } of body) {
    const width = trimEnd(cells).length;
    if (width > header.length) {
      return {
        problem: `row ${rowNo} has ${width} cells, the header ${header.length}`,
        hint: 'a separator inside a text must stand in quotes; is the first row the header?',
      };
    }
  }
  return { value: { header, rows: body, found } };
}

function trimEnd(cells: readonly ForeignCell[]): readonly ForeignCell[] {
  return cells.slice(0, cells.findLastIndex(({ text }) => text !== '') + 1);
}
