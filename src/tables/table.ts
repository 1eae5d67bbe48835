import stringWidth from 'string-width';
import { forTerminal } from '../text/escape.ts';

/** One column. A heading carries the unit: `egg (g)`. Numbers are set to the right. */
export type TableColumn = {
  readonly heading: string;
  readonly align?: 'left' | 'right';
};

/** `null` is what is not known or does not apply; it prints as a dash. */
export type Cell = string | number | null;

export type Table = {
  readonly columns: readonly TableColumn[];
  readonly rows: readonly (readonly Cell[])[];
};

const GAP = '  ';

/** How many places of a terminal a text takes: a wide character two, a combining mark none. */
export function widthOf(text: string): number {
  // Plain Latin text, nearly every cell, needs no look at Unicode's tables.
  return /^[\x20-\x7e\u00a1-\u024f]*$/.test(text) ? text.length : stringWidth(text);
}

/** Text filled with spaces to a width; longer text is left whole. */
export function padded(text: string, width: number, align: 'left' | 'right' = 'left'): string {
  const fill = ' '.repeat(Math.max(0, width - widthOf(text)));
  return align === 'left' ? text + fill : fill + text;
}

/** What a cell prints as, on one line. Two spaces part columns, so inside a cell there is one. */
export function cellText(cell: Cell): string {
  const text = cell === null ? '' : typeof cell === 'number' ? String(cell) : cell;
  const inert = forTerminal(text.replace(/\s+/g, ' ')).trim();
  return inert === '' ? '-' : inert;
}

/** The alignment of a column: as wished, else right when every known cell is a number. */
export function alignOf(table: Table, index: number): 'left' | 'right' {
  const wished = table.columns[index]?.align;
  if (wished) return wished;
  const known = table.rows.map((row) => row[index] ?? null).filter((cell) => cell !== null);
  return known.length > 0 && known.every((cell) => typeof cell === 'number') ? 'right' : 'left';
}

/**
 * Aligned columns for pipes and plain terminals: one row a line whatever its length, columns
 * parted by two spaces or more, so that `awk -F '  +'` cuts them. Ends with a line feed.
 */
export function plainTable(table: Table): string {
  const texts = [
    table.columns.map((column) => cellText(column.heading)),
    ...table.rows.map((row) => table.columns.map((_, index) => cellText(row[index] ?? null))),
  ];
  const widths = table.columns.map((_, index) =>
    Math.max(...texts.map((row) => widthOf(row[index] ?? ''))),
  );
  // A first column set to the right would begin lines with spaces, an empty field to awk.
  const aligns = table.columns.map((_, index) => (index === 0 ? 'left' : alignOf(table, index)));
  return texts
    .map((row) => row.map((text, index) => padded(text, widths[index] ?? 0, aligns[index])))
    .map((row) => `${row.join(GAP).trimEnd()}\n`)
    .join('');
}
