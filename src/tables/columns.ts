/**
 * A table is a list of columns and a list of rows. A column is one value: what it is called here and
 * in files, what it holds, how it is found in a row. Every writer (terminal, HTML, Markdown, CSV,
 * JSON and its schema) reads the same list.
 */

import type { Measure, Rate, Units } from './numbers.ts';
import * as numbers from './numbers.ts';

/** What each kind of column holds. `null` is what is not known or does not apply. */
export type Values = {
  /** A name, a code: never broken, never cut. */
  name: string;
  /** Words: a line may end between two of them. */
  text: string;
  /** Several names: `north+south`; a list in JSON. */
  names: readonly string[];
  /** Eggs, birds, rows. */
  count: number;
  /** A plain number, with `digits` decimals. */
  number: number;
  /** A number as somebody typed it, with all its decimals. */
  typed: number;
  /** A rate with its count and interval, written as percentages. */
  rate: Rate;
  /** A rate alone (0 to 1), written as a percentage. */
  percent: number;
  /** A chance (0 to 1): never written 0 or 100. */
  chance: number;
  /** From one number to another, with `digits` decimals. */
  range: { readonly low: number; readonly high: number };
  /** Two rates (0 to 1) as percentages. */
  percentRange: { readonly low: number; readonly high: number };
  /** A measure, kept in its metric unit and written in the season's. */
  measure: number;
  measureRange: { readonly low: number; readonly high: number };
  money: number;
  /** A local day, `2027-03-06`. */
  day: string;
  /** A day or a minute, `2027-03-06T18:30`. */
  moment: string;
  yes: boolean;
  /** For other programs alone; its shape is in `schema`. */
  data: unknown;
};

export type Kind = keyof Values;

type About = {
  /** The heading without its unit; the key in words if left out. Of `words` where another table has it too. */
  readonly heading?: string;
  /** What is counted, such as eggs. Measures, percentages and money have theirs from the season. */
  readonly unit?: string;
  /** One line about it, for the JSON schema and the manual. */
  readonly doc: string;
  /**
   * `always` (if left out); `filled`: only where some row has it; `full`: only with --full;
   * `data`: only in JSON and CSV; `people`: only where people read, not in JSON and CSV.
   */
  readonly show?: 'always' | 'filled' | 'full' | 'data' | 'people';
  /** On a narrow terminal the columns of the highest number go first; those without stay. */
  readonly priority?: number;
};

type Extra<K extends Kind> = K extends 'measure' | 'measureRange'
  ? { readonly measure: Measure; readonly digits?: number }
  : K extends 'number' | 'range'
    ? { readonly digits?: number }
    : K extends 'data'
      ? { readonly schema: Schema }
      : Record<never, never>;

/** A JSON Schema (draft 2020-12). */
export type Schema = Readonly<Record<string, unknown>>;

/** What a row holds under a name of its own. */
type KeyOf<Row, Value> = {
  [Key in keyof Row]: Row[Key] extends Value | null ? Key : never;
}[keyof Row] &
  string;

/**
 * Where the value is found. The key is the name in JSON and CSV: small letters, digits, underscores;
 * unique in its table. Without `of` the row has the value under that name.
 */
type Found<Row, Value> =
  | { readonly key: KeyOf<Row, Value>; readonly of?: undefined }
  | { readonly key: string; of(row: Row): Value | null };

/** A column as a table's list writes it. */
export type Column<Row> = {
  [K in Kind]: About & Extra<K> & { readonly kind: K } & Found<Row, Values[K]>;
}[Kind];

/** A column with what its list left out. */
export type WholeColumn<Row> = {
  [K in Kind]: About &
    Extra<K> & {
      readonly key: string;
      readonly heading: string;
      readonly kind: K;
      of(row: Row): Values[K] | null;
    };
}[Kind];

// biome-ignore lint/suspicious/noExplicitAny: an existential type, which TypeScript does not have
export type AnyColumn = Column<any>;

/** Columns and rows; `total` is a last row, of the sums. */
export type TableOf<Row> = {
  readonly columns: readonly WholeColumn<Row>[];
  readonly rows: readonly Row[];
  readonly total?: Row | undefined;
};

// The rows of a table are its own business: a writer only hands them to the columns.
// biome-ignore lint/suspicious/noExplicitAny: an existential type, which TypeScript does not have
export type AnyTable = TableOf<any>;

/** A table of rows of one type. */
export function tableOf<Row>(
  columns: readonly Column<Row>[],
  rows: readonly Row[],
  total?: Row,
): AnyTable {
  return { columns: columns.map(whole), rows, total };
}

function whole<Row>(column: Column<Row>): WholeColumn<Row> {
  const { key, heading = key.replaceAll('_', ' ') } = column;
  const of = column.of ?? ((row: Row) => row[key as keyof Row]);
  return { ...column, heading, of } as WholeColumn<Row>;
}

const RIGHT: ReadonlySet<Kind> = new Set([
  'count',
  'number',
  'typed',
  'rate',
  'percent',
  'chance',
  'range',
  'percentRange',
  'measure',
  'measureRange',
  'money',
]);

/** Numbers stand to the right. */
export function isNumeric(column: { readonly kind: Kind }): boolean {
  return RIGHT.has(column.kind);
}

/** The unit a column's figures are in, for its heading; null if they have none. */
export function unitOfColumn(column: WholeColumn<never>, units: Units): string | null {
  switch (column.kind) {
    case 'rate':
    case 'percent':
    case 'chance':
    case 'percentRange':
      return '%';
    case 'measure':
    case 'measureRange':
      return column.unit ?? numbers.unitOf(column.measure, units);
    case 'money':
      return units.currency === '' ? null : units.currency;
    default:
      return column.unit ?? null;
  }
}

/** `egg (g)`: the heading with its unit, which is written once and not in every cell. */
export function headingOf(column: WholeColumn<never>, units: Units): string {
  const unit = unitOfColumn(column, units);
  return unit === null || unit === column.heading ? column.heading : `${column.heading} (${unit})`;
}

/** What a cell says, without its unit; null is not known. */
export function cellOf<Row>(column: WholeColumn<Row>, row: Row, units: Units): string | null {
  switch (column.kind) {
    case 'name':
    case 'text':
    case 'day':
      return column.of(row) || null;
    case 'moment':
      return column.of(row)?.replace('T', '\u00a0') ?? null;
    case 'names': {
      const names = column.of(row);
      return names === null || names.length === 0 ? null : names.join('+');
    }
    case 'count':
      return mapped(column.of(row), numbers.count);
    case 'number':
      return mapped(column.of(row), (value) => numbers.fixed(value, column.digits ?? 1));
    case 'typed':
      return mapped(column.of(row), String);
    case 'rate':
      return mapped(column.of(row), numbers.rateFigures);
    case 'percent':
      return mapped(column.of(row), numbers.hundredths);
    case 'chance':
      return mapped(column.of(row), numbers.chanceFigures);
    case 'range':
      return mapped(column.of(row), ({ low, high }) => numbers.range(low, high, column.digits));
    case 'percentRange':
      return mapped(column.of(row), ({ low, high }) =>
        numbers.between(numbers.hundredths(low), numbers.hundredths(high)),
      );
    case 'measure':
      return mapped(column.of(row), (value) =>
        numbers.figures(value, column.measure, units, column.digits),
      );
    case 'measureRange':
      return mapped(column.of(row), ({ low, high }) =>
        numbers.between(
          numbers.figures(low, column.measure, units, column.digits),
          numbers.figures(high, column.measure, units, column.digits),
        ),
      );
    case 'money':
      return mapped(column.of(row), (value) => numbers.fixed(value, 2));
    case 'yes':
      return mapped(column.of(row), (value) => (value ? 'yes' : 'no'));
    case 'data':
      return null;
  }
}

function mapped<Value, Out>(value: Value | null, print: (value: Value) => Out): Out | null {
  return value === null ? null : print(value);
}

/** A table as text: what terminal, Markdown and HTML begin from. */
export type Texts = {
  readonly columns: readonly {
    readonly key: string;
    readonly heading: string;
    readonly numeric: boolean;
    readonly kind: Kind;
    readonly priority: number;
  }[];
  readonly rows: readonly (readonly (string | null)[])[];
  /** True where the last row is of the sums. */
  readonly hasTotal: boolean;
};

/** The columns that are to be seen, and every cell as it is written. */
export function textsOf(table: AnyTable, units: Units, full = false): Texts {
  const rows = table.total === undefined ? table.rows : [...table.rows, table.total];
  const columns = table.columns.filter(
    (column) =>
      column.kind !== 'data' &&
      column.show !== 'data' &&
      (column.show !== 'full' || full) &&
      (column.show !== 'filled' || table.rows.some((row) => column.of(row) !== null)),
  );
  return {
    columns: columns.map((column) => ({
      key: column.key,
      heading: headingOf(column, units),
      numeric: isNumeric(column),
      kind: column.kind,
      priority: column.priority ?? 0,
    })),
    rows: rows.map((row) => columns.map((column) => cellOf(column, row, units))),
    hasTotal: table.total !== undefined,
  };
}

/** The rows as JSON objects, by the keys of the columns, in the units the program keeps. */
export function jsonRows(table: AnyTable): Record<string, unknown>[] {
  const columns = dataColumns(table.columns);
  return table.rows.map((row) =>
    Object.fromEntries(columns.map((column) => [column.key, column.of(row)])),
  );
}

/** The columns other programs get. */
export function dataColumns<C extends Pick<About, 'show'>>(columns: readonly C[]): C[] {
  return columns.filter((column) => column.show !== 'people');
}
