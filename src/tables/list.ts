/** The rows of one kind of record, by the columns of its log. */
import { kindOf, type RecordName } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import { printOn } from '../text/day.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { anything } from './schema.ts';
import { heads } from './words.ts';

const text = (key: string, doc: string, of: (row: Row) => string | null): Column<Row> => ({
  key,
  heading: key,
  kind: 'text',
  show: 'filled',
  doc,
  priority: 1,
  of,
});

/** A column's name as a heading, which has its unit beside it: `mass_g` is `mass`. */
const named = (column: string): string => column.replace(/_(?:g|kg)$/, '').replaceAll('_', ' ');

/** Rows as a table: columns that nobody filled in stay out where people read. */
export function rowTable(record: RecordName, rows: readonly Row[], history: boolean): AnyTable {
  const kind = kindOf(record);
  const own = Object.entries(kind.columns).map(([name, column]): Column<Row> => {
    const tells = rows.some(
      ({ values }) => ![undefined, null, '', 0].includes(values[name] as null),
    );
    const about = {
      key: name,
      heading: named(name),
      doc: column.about,
      ...(column.unit === null ? {} : { unit: column.unit }),
    };
    if (!tells)
      return {
        ...about,
        kind: 'data',
        show: 'data',
        schema: anything,
        of: (row) => row.values[name],
      };
    return column.type === 'integer' || column.type === 'number'
      ? { ...about, kind: 'typed', of: (row) => row.values[name] as number | null }
      : { ...about, kind: 'data', show: 'data', schema: anything, of: (row) => row.values[name] };
  });
  const words = Object.entries(kind.columns).flatMap(([name, column]): Column<Row>[] =>
    column.type === 'integer' || column.type === 'number'
      ? []
      : [
          {
            key: name,
            heading: named(name),
            kind: 'name',
            show: 'people',
            doc: column.about,
            of: (row) => column.print(row.values[name]) || null,
          },
        ],
  );
  const shown = (name: string): Column<Row>[] =>
    words.filter(({ key, of }) => key === name && rows.some((row) => of(row) !== null));
  return tableOf<Row>(
    [
      {
        key: 'entry',
        heading: 'entry',
        kind: 'name',
        doc: 'identity of the row',
        of: (row) => row.entry,
      },
      {
        key: 'recorded',
        heading: 'recorded',
        kind: 'name',
        show: history ? 'always' : 'data',
        doc: 'instant of writing',
        of: (row) => row.recorded,
      },
      { ...heads.on, of: (row) => printOn(row.on) },
      ...own.flatMap((column) => [column, ...shown(column.key)]),
      text('by', 'who recorded it', (row) => row.by),
      text('note', 'note', (row) => row.note),
      ...(history
        ? ([
            text('amends', 'entry it replaces', (row) => row.amends),
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
