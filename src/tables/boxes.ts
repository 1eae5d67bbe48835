import CliTable from 'cli-table3';
import { alignOf, cellText, type Table, widthOf } from './table.ts';

const LEAST_WIDTH = 6;

/**
 * The same table with box lines, for a terminal: fits `width` places by wrapping the widest text
 * columns. Numbers never wrap. Ends with a line feed.
 */
export function boxedTable(table: Table, width: number): string {
  const widths = fitted(table, width);
  const box = new CliTable({
    head: table.columns.map((column) => cellText(column.heading)),
    colAligns: table.columns.map((_, index) => alignOf(table, index)),
    // cli-table3 counts one space of padding on each side as part of a column.
    colWidths: widths.map((one) => one + 2),
    wordWrap: true,
    wrapOnWordBoundary: widths.every((one, index) => one >= longestWord(table, index)),
    // Its own default colours would reach even a pipe.
    style: { head: [], border: [] },
  });
  for (const row of table.rows)
    box.push(table.columns.map((_, index) => cellText(row[index] ?? null)));
  return `${box.toString()}\n`;
}

function textsOf(table: Table, index: number): string[] {
  return [
    cellText(table.columns[index]?.heading ?? ''),
    ...table.rows.map((row) => cellText(row[index] ?? null)),
  ];
}

function longestWord(table: Table, index: number): number {
  return Math.max(...textsOf(table, index).flatMap((text) => text.split(' ').map(widthOf)));
}

function fitted(table: Table, width: number): number[] {
  const widths = table.columns.map((_, index) => Math.max(...textsOf(table, index).map(widthOf)));
  const least = table.columns.map((_, index) =>
    alignOf(table, index) === 'right'
      ? Math.max(...table.rows.map((row) => widthOf(cellText(row[index] ?? null))), 1)
      : LEAST_WIDTH,
  );
  const lines = (columns: number) => columns * 3 + 1;
  while (widths.reduce((sum, one) => sum + one, lines(widths.length)) > width) {
    let widest = -1;
    for (let index = 0; index < widths.length; index++) {
      const spare = (widths[index] ?? 0) > (least[index] ?? 0);
      if (spare && (widest < 0 || (widths[index] ?? 0) > (widths[widest] ?? 0))) widest = index;
    }
    if (widest < 0) break;
    widths[widest] = (widths[widest] ?? 0) - 1;
  }
  return widths;
}
