import { type CsvTrouble, eachRecord } from './csv-records.ts';
import { expectedFound, type Fault, fault } from './fault.ts';
import { addAll } from './lists.ts';
import { headOf, type Place, type Source } from './source.ts';

/** The longest row a log may hold, in characters; a keeper's row is a few hundred. */
export const LONGEST_ROW = 64 * 1024;

/** Takes the cells of one row, as many as the header has, and the line and place it begins at. */
export type TakeRow = (cells: readonly string[], lineNo: number, from: number) => void;

/**
 * Reads an RFC 4180 table with a header line. `begin` is given the header and says what takes the
 * rows, or null if they are of no use. Row lengths are checked against the header; what a
 * spreadsheet does to a file on saving (byte order mark, semicolons) is named, not guessed around.
 */
export function readCsv(
  source: Source,
  begin: (header: readonly string[]) => TakeRow | null,
): Fault[] {
  const faults: Fault[] = [];
  if (source.text.startsWith('\ufeff')) {
    faults.push(
      fault('csv-byte-order-mark', headOf(source.path), 'the file starts with a byte order mark', {
        hint: 'a spreadsheet saved it: save again as "CSV UTF-8" without the mark, or remove the first character',
      }),
    );
    return faults;
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
    return faults;
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
    return faults;
  }
  if (source.text.includes('\r\n')) {
    faults.push(
      fault(
        'csv-line-ends',
        headOf(source.path),
        'the file has CRLF line ends; it is read anyway',
        {
          hint: 'to mend: save it with LF line ends, or let git keep LF (see .gitattributes)',
        },
      ),
    );
  }
  let width = 0;
  let take: TakeRow | null = null;
  /** The lines of rows that are too long or too short, by how many cells they have. */
  const uneven = new Map<number, number[]>();
  const trouble = eachRecord(source.text, LONGEST_ROW, (cells, lineNo, from) => {
    if (width === 0) {
      width = cells.length;
      take = begin(cells);
    } else if (cells.length === width) take?.(cells, lineNo, from);
    else {
      const lines = uneven.get(cells.length);
      if (lines === undefined) uneven.set(cells.length, [lineNo]);
      else lines.push(lineNo);
    }
  });
  for (const [cells, lines] of uneven)
    addAll(faults, lengthFaults(source.path, width, cells, lines));
  if (trouble !== null) faults.push(troubleFault(source.path, trouble));
  if (width === 0)
    faults.push(
      fault('csv-header', headOf(source.path), 'expected a header line, found an empty file'),
    );
  return faults;
}

/** More rows than this with one wrong length have one cause, most likely the header. */
const FEW_ROWS = 3;

/** Rows of a wrong length: one fault each, or one for all where they are many. */
function lengthFaults(
  path: string,
  width: number,
  cells: number,
  lines: readonly number[],
): Fault[] {
  const expected = `${width} cells as in the header`;
  const place = (line: number): Place => ({ file: path, line, column: 1 });
  if (lines.length > FEW_ROWS)
    return [
      fault(
        'csv-row-length',
        place(lines[0]!),
        expectedFound('row', expected, `${cells}, here and in ${lines.length - 1} more rows`),
        { hint: 'so many rows of one length: is a column missing in the header, or one too many?' },
      ),
    ];
  return lines.map((line) =>
    fault('csv-row-length', place(line), expectedFound('row', expected, `${cells}`), {
      hint: 'a comma inside a text must stand in quotes: "first, second"',
    }),
  );
}

/** The header of a table that can be read. */
export function csvHeader(source: Source): readonly string[] {
  let header: readonly string[] = [];
  eachRecord(source.text, LONGEST_ROW, (cells) => {
    header = cells;
    return false;
  });
  return header;
}

function troubleFault(path: string, { what, lineNo }: CsvTrouble): Fault {
  const tooLong = what === 'too-long';
  return fault(
    tooLong ? 'csv-row-too-long' : 'csv-syntax',
    { file: path, line: lineNo, column: 1 },
    tooLong ? expectedFound('row', `at most ${LONGEST_ROW} characters`, 'more') : sentences[what],
    {
      hint: tooLong
        ? 'shorten the note'
        : 'a quote inside a quoted text is doubled: "a ""good"" egg"; a quoted text ends with a quote',
    },
  );
}

const sentences = {
  'quote-not-closed': 'a text begins with a quote that is never closed',
  'behind-quote': 'something stands behind a closing quote',
  'quote-inside': 'a quote stands in the middle of an unquoted text',
} as const;

/**
 * Tells the places of cells, by reading their rows again: only needed where there are faults. Asked
 * for rows from top to bottom, it reads the text once.
 */
export function placesOfCells(source: Source): (lineNo: number, index: number) => Place {
  let known = { lineNo: 1, start: 0 };
  return (lineNo, index) => {
    if (lineNo < known.lineNo) known = { lineNo: 1, start: 0 };
    let { start } = known;
    for (let line = known.lineNo; line < lineNo; line += 1)
      start = source.text.indexOf('\n', start) + 1;
    known = { lineNo, start };
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
  };
}
