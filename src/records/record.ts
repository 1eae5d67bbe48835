import type { On } from '../text/day.ts';
import type { Place } from '../text/source.ts';
import type { LogColumn } from './column.ts';

// biome-ignore lint/suspicious/noExplicitAny: a column of any value; each record keeps its own types
export type Columns = Record<string, LogColumn<any>>;
export type ValuesOf<C extends Columns> = {
  readonly [K in keyof C]: C[K] extends LogColumn<infer T> ? T : never;
};

/** Something a row says that cannot be so, by the column it shows in. */
export type Slip = { readonly column: string; readonly message: string; readonly hint?: string };

/**
 * A kind of record: one log file. Header, row check, `add` flags and questions, `list`, help and
 * export all derive from this value.
 */
export type RecordKind<N extends string = string, C extends Columns = Columns> = {
  readonly name: N;
  readonly file: string;
  readonly summary: string;
  /** The column given as the argument of `add`, or null if every column is a flag. */
  readonly naming: (keyof C & string) | null;
  readonly columns: C;
  /** Columns that come first in `add north=8/7`, before the others in order. */
  readonly first: readonly (keyof C & string)[];
  /** The minute matters: `add` writes it when no other time is given. */
  readonly timed: boolean;
  /** One example of `add`, without the leading `traybook add`. */
  readonly example: string;
  /** What the cells of one row say together that cannot be so. */
  readonly together: (values: ValuesOf<C>) => readonly Slip[];
};

export function record<N extends string, C extends Columns>(
  kind: Omit<RecordKind<N, C>, 'together' | 'timed' | 'first'> &
    Partial<Pick<RecordKind<N, C>, 'together' | 'timed' | 'first'>>,
): RecordKind<N, C> {
  return { together: () => [], timed: false, first: [], ...kind };
}

export const leadingColumns = ['entry', 'recorded', 'on'] as const;
export const trailingColumns = ['by', 'note', 'amends', 'state'] as const;

/** The header of a record's log. */
export function headerOf(kind: RecordKind): readonly string[] {
  return [...leadingColumns, ...Object.keys(kind.columns), ...trailingColumns];
}

/** A row of a log, read. */
export type Row<V = Readonly<Record<string, unknown>>> = {
  readonly entry: string;
  /** ISO 8601 instant with offset, as written. */
  readonly recorded: string;
  /** The same, in milliseconds since 1970. */
  readonly recordedAt: number;
  readonly on: On;
  readonly values: V;
  readonly by: string;
  readonly note: string;
  readonly amends: string | null;
  readonly isVoid: boolean;
  readonly at: Place;
};

export type RowOf<K extends { readonly columns: Columns }> = Row<ValuesOf<K['columns']>>;

/** An instant of ISO 8601 with its offset; whether there is such a day, Date.parse tells. */
export const RECORDED = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,3})?)?(Z|[+-]\d{2}:\d{2})$/;

/** Ten lower-case Crockford base-32 characters. */
export const ENTRY = /^[0-9abcdefghjkmnpqrstvwxyz]{10}$/;
