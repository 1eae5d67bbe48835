/** Tables as CSV (RFC 4180), by the keys of their columns. */
import { stringify } from 'csv-stringify/sync';
import { guardCell } from '../text/escape.ts';
import { type AnyTable, dataColumns } from './columns.ts';

/**
 * A table as RFC 4180 text, its values as the program keeps them. A text cell that a spreadsheet
 * would take for a formula is written behind an apostrophe; numbers are left alone. Lines end LF.
 */
export function csvTable(table: AnyTable): string {
  const columns = dataColumns(table.columns);
  return stringify(
    table.rows.map((row) =>
      columns.map((column) => {
        const value: unknown = column.of(row);
        return typeof value === 'string' ? guardCell(value) : value;
      }),
    ),
    {
      header: true,
      columns: columns.map(({ key }) => key),
      cast: { boolean: (value) => (value ? 'true' : 'false') },
    },
  );
}
