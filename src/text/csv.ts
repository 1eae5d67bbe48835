import { CsvError, type Options, parse } from 'csv-parse/sync';
import { expectedFound, type Fault, fault } from './fault.ts';
import { headOf, type Place, type Source } from './source.ts';

/** The longest row a log may hold, in characters; a keeper's row is a few hundred. */
export const LONGEST_ROW = 64 * 1024;

export type CsvRow = { readonly cells: readonly string[]; readonly lineNo: number };
export type CsvTable = {
  readonly header: readonly string[];
  readonly rows: readonly CsvRow[];
  readonly faults: readonly Fault[];
};

const options: Options = {
  delimiter: ',',
  relax_column_count: true,
  skip_empty_lines: true,
  record_delimiter: ['\r\n', '\n'],
  max_record_size: LONGEST_ROW,
};

/**
 * Reads an RFC 4180 table with a header line. Row lengths are checked against the header; what a
 * spreadsheet does to a file on saving (byte order mark, semicolons) is named, not guessed around.
 */
export function readCsv(source: Source): CsvTable {
  const faults: Fault[] = [];
  const empty = { header: [], rows: [], faults };
  if (source.text.startsWith('\ufeff')) {
    faults.push(
      fault('csv-byte-order-mark', headOf(source.path), 'the file starts with a byte order mark', {
        hint: 'a spreadsheet saved it: save again as "CSV UTF-8" without the mark, or remove the first character',
      }),
    );
    return empty;
  }
  if (!source.text.includes('\n') && /\r./.test(source.text)) {
    faults.push(
      fault(
        'csv-separator',
        headOf(source.path),
        expectedFound('lines', 'a line feed at the end of each', 'carriage returns alone'),
        { hint: 'an old program saved it: save again as "CSV UTF-8"' },
      ),
    );
    return empty;
  }
  const firstLine = source.text.slice(0, Math.max(0, source.text.indexOf('\n'))) || source.text;
  if (!firstLine.includes(',') && /[;\t]/.test(firstLine)) {
    const found = firstLine.includes(';') ? 'semicolons' : 'tabs';
    faults.push(
      fault(
        'csv-separator',
        headOf(source.path),
        expectedFound('header', 'commas between columns', found),
        {
          hint: 'a spreadsheet saved it: save again as comma-separated text',
        },
      ),
    );
    return empty;
  }
  if (source.text.includes('\r\n')) {
    faults.push(
      fault(
        'csv-line-ends',
        headOf(source.path),
        'the file has CRLF line ends; it is read all the same',
        {
          hint: 'to mend: sed -i "s/\\r$//" on the file, or let git keep LF (see .gitattributes)',
        },
      ),
    );
  }
  const read = records(source, faults);
  const [header, ...rows] = read;
  if (header === undefined) {
    faults.push(
      fault('csv-header', headOf(source.path), 'expected a header line, found an empty file'),
    );
    return empty;
  }
  const whole: CsvRow[] = [];
  for (const row of rows) {
    if (row.cells.length === header.cells.length) {
      whole.push(row);
      continue;
    }
    faults.push(
      fault(
        'csv-row-length',
        { file: source.path, line: row.lineNo, column: 1 },
        expectedFound(
          'row',
          `${header.cells.length} cells as in the header`,
          `${row.cells.length}`,
        ),
        { hint: 'a comma inside a text must stand in quotes: "first, second"' },
      ),
    );
  }
  return { header: header.cells, rows: whole, faults };
}

function records(source: Source, faults: Fault[]): CsvRow[] {
  const out: CsvRow[] = [];
  let next = 1;
  try {
    parse(source.text, {
      ...options,
      on_record: (cells: string[], context) => {
        // The parser counts to the line a record ends on; a text may hold line breaks.
        const breaks = cells.reduce((sum, cell) => sum + cell.split('\n').length - 1, 0);
        out.push({ cells, lineNo: context.lines - breaks });
        next = context.lines + 1;
        return null;
      },
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const tooLong = error.code === 'CSV_MAX_RECORD_SIZE';
    faults.push(
      fault(
        tooLong ? 'csv-row-too-long' : 'csv-syntax',
        { file: source.path, line: next, column: 1 },
        tooLong
          ? expectedFound('row', `at most ${LONGEST_ROW} characters`, 'more')
          : csvSentence(error.code),
        {
          hint: tooLong
            ? 'shorten the note'
            : 'a quote inside a quoted text is doubled: "a ""good"" egg"; a quoted text ends with a quote',
        },
      ),
    );
  }
  return out;
}

function csvSentence(code: string): string {
  if (code === 'CSV_QUOTE_NOT_CLOSED') return 'a text begins with a quote that is never closed';
  if (code === 'CSV_INVALID_CLOSING_QUOTE') return 'something stands behind a closing quote';
  if (code === 'INVALID_OPENING_QUOTE') return 'a quote stands in the middle of an unquoted text';
  return `the row cannot be read as comma-separated text (${code.toLowerCase()})`;
}

/** The place of a cell, found by reading its row again: only needed when there is a fault. */
export function placeOfCell(source: Source, lineNo: number, index: number): Place {
  let start = 0;
  for (let line = 1; line < lineNo; line += 1) start = source.text.indexOf('\n', start) + 1;
  let column = 1;
  let line = lineNo;
  let cell = 0;
  let inQuotes = false;
  for (const character of source.text.slice(start, start + LONGEST_ROW)) {
    if (cell === index) break;
    if (character === '"') inQuotes = !inQuotes;
    else if (character === ',' && !inQuotes) cell += 1;
    if (character === '\n') {
      line += 1;
      column = 1;
    } else column += 1;
  }
  return { file: source.path, line, column };
}
