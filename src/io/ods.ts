/** Sheets of an OpenDocument spreadsheet (ISO/IEC 26300, part 1: table:table, office:value-type). */
import { Parser } from 'saxen';
import { IMPORT_LIMITS } from '../text/foreign.ts';

/** One more than a table may have, so that its reader can tell that there are too many. */
const MOST_ROWS = IMPORT_LIMITS.rows + 2;

/** One sheet: texts, numbers, booleans, dates as if in UTC; null for an empty cell. */
export type SheetCells = {
  readonly sheet: string;
  readonly data: readonly (readonly unknown[])[];
};

type CellAttributes = Readonly<Record<string, string>>;

/**
 * The sheets that `content.xml` holds. A cell or row that is said to stand many times, as the empty
 * rest of a sheet is, stands no oftener than a table may be large.
 *
 * @throws Error when the text is no XML
 */
export function sheetsOfOds(text: string): SheetCells[] {
  const sheets: { sheet: string; data: unknown[][] }[] = [];
  let row: unknown[] = [];
  let rowTimes = 1;
  /** In all sheets together. */
  let cells = 0;
  let cell: CellAttributes | null = null;
  let words: string[] = [];
  const parser = new Parser();
  parser.on('error', (error: Error) => {
    throw error;
  });
  parser.on('openTag', (name: string, attributesOf: () => CellAttributes) => {
    if (name === 'table:table')
      sheets.push({ sheet: attributesOf()['table:name'] ?? '', data: [] });
    else if (name === 'table:table-row') {
      row = [];
      rowTimes = timesOf(attributesOf()['table:number-rows-repeated']);
    } else if (name === 'table:table-cell' || name === 'table:covered-table-cell') {
      cell = attributesOf();
      words = [];
    } else if (name === 'text:p' && cell !== null && words.length > 0) words.push(' ');
  });
  parser.on('text', (value: string, decode: (text: string) => string) => {
    if (cell !== null) words.push(decode(value));
  });
  parser.on('closeTag', (name: string) => {
    if ((name === 'table:table-cell' || name === 'table:covered-table-cell') && cell !== null) {
      const value = contentOf(cell, words.join('').trim());
      const times = timesOf(cell['table:number-columns-repeated']);
      const room = IMPORT_LIMITS.columns - row.length;
      for (let n = 0; n < Math.min(times, room); n += 1) row.push(value);
      cell = null;
    } else if (name === 'table:table-row') {
      const data = sheets.at(-1)?.data;
      const isEmpty = row.every((one) => one === null);
      // The rest of a sheet is one empty row said to stand a million times.
      const times = isEmpty ? 1 : Math.min(rowTimes, IMPORT_LIMITS.rows);
      for (
        let n = 0;
        n < times && (data?.length ?? 0) < MOST_ROWS && cells <= IMPORT_LIMITS.cells;
        n += 1
      ) {
        data?.push(row);
        cells += row.length;
      }
    }
  });
  parser.parse(text);
  return sheets;
}

function timesOf(text: string | undefined): number {
  const times = Number(text ?? 1);
  return Number.isInteger(times) && times > 0 ? times : 1;
}

function contentOf(cell: CellAttributes, shown: string): unknown {
  switch (cell['office:value-type']) {
    case 'float':
    case 'percentage':
    case 'currency':
      return Number(cell['office:value']);
    case 'date':
      return dateOf(cell['office:date-value'] ?? '');
    case 'boolean':
      return cell['office:boolean-value'] === 'true';
    default:
      return shown === '' ? null : shown;
  }
}

/** A date or a minute, as if in UTC: a spreadsheet knows no zone. */
function dateOf(text: string): Date {
  const isDay = text.length === 'yyyy-mm-dd'.length;
  return new Date(isDay ? text : `${text.slice(0, 'yyyy-mm-ddThh:mm:ss'.length)}Z`);
}
