/** The rows of one kind of record, by the columns of its log. */
import { DEGREES } from '../records/column.ts';
import { kindOf, type RecordName } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import { printOn } from '../text/day.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { type Units, unitOf } from './numbers.ts';
import { anything } from './schema.ts';
import { heads } from './words.ts';

const words = { kind: 'text', show: 'filled', priority: 1 } as const;

/** A column's name as a heading, which has its unit beside it: `mass_g` is `mass`. */
const named = (column: string): string => column.replace(/_(?:g|kg)$/, '').replaceAll('_', ' ');

/** Rows as a table: columns that nobody filled in stay out where people read. */
export function rowTable(
  record: RecordName,
  rows: readonly Row[],
  history: boolean,
  units: Units,
): AnyTable {
  const kind = kindOf(record);
  const own = Object.entries(kind.columns).flatMap(([name, column]): Column<Row>[] => {
    const tells = rows.some(
      ({ values }) => ![undefined, null, '', 0].includes(values[name] as null),
    );
    const about = {
      key: name,
      heading: named(name),
      doc: column.about,
      ...(column.unit === null
        ? {}
        : { unit: column.unit === DEGREES ? unitOf('temperature', units) : column.unit }),
    };
    const data: Column<Row> = {
      ...about,
      kind: 'data',
      schema: anything,
      of: (row) => row.values[name],
    };
    if (column.type !== 'integer' && column.type !== 'number') {
      const said = (row: Row) => column.print(row.values[name]) || null;
      if (!rows.some((row) => said(row) !== null)) return [data];
      return [data, { ...about, kind: 'name', show: 'people', of: said }];
    }
    if (!tells) return [data];
    return [{ ...about, kind: 'typed', of: (row) => row.values[name] as number | null }];
  });
  return tableOf<Row>(
    [
      { key: 'entry', kind: 'name', doc: 'identity of the row' },
      {
        key: 'recorded',
        kind: 'name',
        show: history ? 'always' : 'data',
        doc: 'instant of writing',
      },
      { ...heads.on, of: (row) => printOn(row.on) },
      ...own,
      { ...words, key: 'by', doc: 'who recorded it' },
      { ...words, key: 'note', doc: 'note' },
      ...(history
        ? ([
            { ...words, key: 'amends', doc: 'entry it replaces' },
            {
              key: 'void',
              heading: 'withdrawn',
              kind: 'yes',
              doc: 'true if withdrawn',
              of: (row) => row.isVoid,
            },
          ] satisfies Column<Row>[])
        : []),
    ],
    rows,
  );
}
