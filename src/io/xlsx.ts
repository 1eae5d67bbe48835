import type { ForeignTable } from '../text/foreign.ts';
import {
  type ForeignCell,
  type ForeignRow,
  IMPORT_LIMITS,
  type Told,
  tableOf,
} from '../text/foreign.ts';
import type { SheetCells } from './ods.ts';

/**
 * The most bytes that the parts of a spreadsheet file may unpack to: it is a zip archive, and a
 * small one can hold gigabytes. Reading takes far longer than in step with the size.
 */
export const UNPACKED_LIMIT = 32 * 1024 * 1024;

const SHEET_PART = /^xl\/worksheets\/[^/]+\.xml$/i;
/** Where a row or a cell of a sheet stands (ECMA-376, part 1, 18.3.1). */
const REFERENCE = /<(?:[a-z]+:)?(?:row|c)\b[^>]*?\sr\s*=\s*["']([^"']*)["']/gi;
const CELL = /^([A-Z]{0,3})([1-9]\d{0,6})?$/;
const LETTERS = 26;
const LONGEST_SHOWN = 20;

function columnNo(letters: string): number {
  let number = 0;
  for (const letter of letters) number = number * LETTERS + letter.charCodeAt(0) - 64;
  return number;
}

/**
 * A cell that lies so far out that the grid up to it must not be built; null if there is none. One
 * stray cell in a corner is enough: a sheet of three kilobytes may reach a million rows down.
 */
function farCell(xml: string): string | null {
  let rows = 0;
  let columns = 0;
  for (const [, name = ''] of xml.matchAll(REFERENCE)) {
    const found = CELL.exec(name);
    if (found === null) return name.slice(0, LONGEST_SHOWN);
    rows = Math.max(rows, Number(found[2] ?? 0));
    columns = Math.max(columns, columnNo(found[1]!));
    if (rows > IMPORT_LIMITS.rows + 1 || columns > IMPORT_LIMITS.columns) return name;
    if (rows * columns > IMPORT_LIMITS.cells) return name;
  }
  return null;
}

/**
 * The most bytes of one tag or one text: a cell of the longest text, escaped, takes less than half. The
 * library looks through such a piece anew with every bit of it that it is given.
 */
const LONGEST_STRETCH = 1_000_000;
const TAG_END = '>'.charCodeAt(0);

/** The most bytes between the ends of two tags. */
function longestStretch(xml: Uint8Array): number {
  let longest = 0;
  for (let from = 0; from < xml.length; ) {
    const end = xml.indexOf(TAG_END, from);
    const to = end < 0 ? xml.length : end + 1;
    longest = Math.max(longest, to - from);
    from = to;
  }
  return longest;
}

/** The part of an OpenDocument file that holds its sheets. */
const ODS_CONTENT = 'content.xml';

/**
 * Reads one sheet of an `.xlsx` or `.ods` file. Numbers and dates come as the file holds them, so nothing is
 * left open about their form. A formula counts with the value that was saved beside it.
 *
 * @param sheet the name of a sheet; by default the first
 */
export async function readSheet(
  bytes: Uint8Array,
  sheet: string | null,
): Promise<Told<ForeignTable>> {
  // Loaded here: nothing else needs it.
  const [{ default: readSheets }, { unzipSync }] = await Promise.all([
    import('read-excel-file/universal'),
    import('fflate'),
  ]);
  let sheets: readonly SheetCells[];
  try {
    let unpacked = 0;
    let isOpenDocument = false;
    // Only adds up what the archive says of itself: nothing is unpacked by this.
    unzipSync(bytes, {
      filter: ({ name, originalSize }) => {
        unpacked += originalSize;
        isOpenDocument ||= name === ODS_CONTENT;
        return false;
      },
    });
    if (unpacked > UNPACKED_LIMIT) {
      return {
        problem: 'the file unpacks to more than it should',
        hint: 'save the sheet as CSV and import that',
      };
    }
    if (isOpenDocument) {
      const { sheetsOfOds } = await import('./ods.ts');
      const parts = unzipSync(bytes, { filter: ({ name }) => name === ODS_CONTENT });
      sheets = sheetsOfOds(new TextDecoder().decode(parts[ODS_CONTENT]));
    } else {
      const parts = unzipSync(bytes, { filter: ({ name }) => /\.xml$/i.test(name) });
      for (const [name, part] of Object.entries(parts)) {
        if (longestStretch(part) > LONGEST_STRETCH) throw new Error(`${name}: endless`);
        const far = SHEET_PART.test(name) ? farCell(new TextDecoder().decode(part)) : null;
        if (far !== null)
          return {
            problem: `a sheet has a cell as far out as ${far}`,
            hint: `at most ${IMPORT_LIMITS.rows} rows and ${IMPORT_LIMITS.columns} columns are read: copy the table into a new sheet, and save that`,
          };
      }
      const copy = new Uint8Array(bytes);
      sheets = await readSheets(copy.buffer, { trim: true });
    }
  } catch {
    return {
      problem: 'the file cannot be read as an .xlsx or .ods spreadsheet',
      hint: 'open it in your spreadsheet and save it again, or save the sheet as "CSV UTF-8"',
    };
  }
  const names = sheets.map((one) => one.sheet);
  const chosen = sheet === null ? sheets[0] : sheets.find((one) => one.sheet === sheet);
  if (chosen === undefined) {
    return {
      problem: sheet === null ? 'the file holds no sheet' : `the file holds no sheet "${sheet}"`,
      hint: names.length === 0 ? 'is it the right file?' : `its sheets: ${names.join(', ')}`,
    };
  }
  const { rows: mostRows, cells: mostCells } = IMPORT_LIMITS;
  if (
    chosen.data.length > mostRows + 1 ||
    chosen.data.reduce((sum, row) => sum + row.length, 0) > mostCells
  ) {
    return {
      problem: 'the table is too large',
      hint: `at most ${mostRows} rows and ${mostCells} cells: import it in parts`,
    };
  }
  const rows = chosen.data.map(
    (cells, index): ForeignRow => ({ cells: cells.map(cellOf), rowNo: index + 1 }),
  );
  return tableOf(rows, [`sheet "${chosen.sheet}"${names.length > 1 ? ` of ${names.length}` : ''}`]);
}

const MINUTE_MS = 60_000;

function cellOf(value: unknown): ForeignCell {
  if (value === null || value === undefined) return { text: '', exact: true };
  if (value instanceof Date) {
    if (Number.isNaN(value.getTime())) return { text: '', exact: true };
    // A date of a spreadsheet has no zone; the library gives it as if it were UTC. It is a fraction
    // of days there: half past six may be held as a millisecond before.
    const minutes = Math.round(value.getTime() / MINUTE_MS);
    const minute = new Date(minutes * MINUTE_MS).toISOString().slice(0, 16);
    return { text: minute.endsWith('T00:00') ? minute.slice(0, 10) : minute, exact: true };
  }
  if (typeof value === 'number') {
    // Spreadsheets count in doubles: 37.6 may be held as 37.600000000000001.
    return { text: `${Number(value.toPrecision(12))}`, exact: true };
  }
  if (typeof value === 'boolean') return { text: value ? 'yes' : 'no', exact: true };
  return { text: String(value).trim(), exact: false };
}
