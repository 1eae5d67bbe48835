import { printOn } from '../text/day.ts';
import type { ForeignTable } from '../text/foreign.ts';
import {
  type DateOrder,
  type DecimalSign,
  dateHabit,
  decimalHabit,
  type Habit,
  readForeignDate,
  readForeignNumber,
} from '../text/foreign-values.ts';
import { type CellSlip, readCells } from './read.ts';
import type { RecordKind, Row } from './record.ts';

/** Columns of a row that a table may fill besides the record's own. */
const COMMON = ['on', 'by', 'note'] as const;

/** Which column of the table fills which of ours; `fixed` gives one value for every row. */
export type Mapping = {
  readonly columns: ReadonlyMap<string, number>;
  readonly fixed: ReadonlyMap<string, string>;
};

/** Columns that a table can be mapped to. */
export function importable(kind: RecordKind): string[] {
  return [...COMMON, ...Object.keys(kind.columns)];
}

/** What a table leaves open, as its cells show it. */
export type Habits = { readonly dates: Habit<DateOrder>; readonly decimals: Habit<DecimalSign> };

/** Finds how the mapped columns write dates and decimals; cells the file is exact about do not count. */
export function habitsOf(kind: RecordKind, table: ForeignTable, mapping: Mapping): Habits {
  const cellsOf = (wanted: (column: string) => boolean): string[] =>
    [...mapping.columns]
      .filter(([column]) => wanted(column))
      .flatMap(([, index]) =>
        table.rows.flatMap(({ cells }) => {
          const cell = cells[index];
          return cell === undefined || cell.exact ? [] : [cell.text];
        }),
      );
  return {
    dates: dateHabit(cellsOf((column) => isDate(kind, column))),
    decimals: decimalHabit(cellsOf((column) => isNumber(kind, column))),
  };
}

const isDate = (kind: RecordKind, column: string) =>
  column === 'on' || kind.columns[column]?.type === 'date';
const isNumber = (kind: RecordKind, column: string) =>
  ['integer', 'number'].includes(kind.columns[column]?.type ?? '');

/** A row of the table in our columns: what `add` would get. */
export type ImportRow = {
  readonly rowNo: number;
  readonly cells: Readonly<Record<string, string>>;
  readonly slips: readonly CellSlip[];
};

/** Puts the rows of a table into our columns, dates and numbers into our form. */
export function mapRows(
  kind: RecordKind,
  table: ForeignTable,
  mapping: Mapping,
  dates: DateOrder | null,
  decimals: DecimalSign | null,
): ImportRow[] {
  return table.rows.map(({ cells, rowNo }) => {
    const out: Record<string, string> = Object.fromEntries(mapping.fixed);
    for (const [column, index] of mapping.columns) {
      const cell = cells[index] ?? { text: '', exact: true };
      out[column] = cell.text;
      if (cell.exact || cell.text === '') continue;
      if (isNumber(kind, column)) out[column] = readForeignNumber(cell.text, decimals ?? 'point');
    }
    for (const column of Object.keys(out)) {
      if (!isDate(kind, column) || out[column] === '') continue;
      const on = readForeignDate(out[column]!, dates);
      if (on !== null) out[column] = column === 'on' ? printOn(on) : on.day;
    }
    const read = readCells(kind, (name) => PROBE[name] ?? out[name] ?? '');
    return { rowNo, cells: out, slips: 'slips' in read ? read.slips : [] };
  });
}

/** Cells that every row gets when it is written, so that the others can be tried before. */
const PROBE: Readonly<Record<string, string>> = {
  entry: '0000000000',
  recorded: '2000-01-01T00:00:00Z',
  amends: '',
  state: '',
};

export type JudgedRow = ImportRow & {
  /** `new`: to be written; `known`: in the log already; `doubtful`: to be looked at; `faulty`: cannot be read. */
  readonly verdict: 'new' | 'known' | 'doubtful' | 'faulty';
  readonly why: string;
};

/**
 * Tells which rows of a table the log knows already. A row is known when a row of the log, in any
 * of its versions (one amended since, or withdrawn, was imported anyway), says the same in
 * every mapped column; each row of the log makes one row of the table known. The second of two equal
 * rows of the table is doubtful: twins, or one written twice. So is a row that agrees with one of the
 * log in what names it and in its day, but not in its counts.
 *
 * @param versions every version of every row of the log, by first entry
 * @param tell hears how many of so many rows were looked at; each is looked at twice
 */
export function judgeRows(
  kind: RecordKind,
  rows: readonly ImportRow[],
  versions: ReadonlyMap<string, readonly Row[]>,
  tell: (done: number, of: number) => void = () => undefined,
): JudgedRow[] {
  const left = new Map(versions);
  const byDay = daysOf(versions);
  const onDay = (row: ImportRow) =>
    (byDay.get((row.cells.on ?? '').slice(0, 10)) ?? []).filter((entry) => left.has(entry));
  const seen = new Map<string, number>();
  const looks = 2 * rows.length;
  const judged = rows.map((row, index): JudgedRow => {
    tell(index, looks);
    if (row.slips.length > 0)
      return { ...row, verdict: 'faulty', why: row.slips.map((slip) => slip.message).join('; ') };
    const match = onDay(row).find((entry) =>
      left.get(entry)!.some((one) => saysTheSame(kind, row, one)),
    );
    if (match !== undefined) {
      left.delete(match);
      return { ...row, verdict: 'known', why: `entry ${match}` };
    }
    return { ...row, verdict: 'new', why: '' };
  });
  return judged.map((row, index): JudgedRow => {
    tell(rows.length + index + 1, looks);
    if (row.verdict !== 'new' && row.verdict !== 'known') return row;
    const key = fingerprint(kind, row);
    const before = seen.get(key);
    if (before === undefined) seen.set(key, row.rowNo);
    if (row.verdict === 'known') return row;
    if (before !== undefined)
      return {
        ...row,
        verdict: 'doubtful',
        why: `says the same as row ${before}: twins, or written twice?`,
      };
    const rival = onDay(row).find((one) => namesTheSame(kind, row, left.get(one)!.at(-1)!));
    if (rival !== undefined) {
      const { entry } = left.get(rival)!.at(-1)!;
      return { ...row, verdict: 'doubtful', why: `entry ${entry} of that day says something else` };
    }
    return row;
  });
}

/** The entries of a log by the days that their versions name. */
function daysOf(versions: ReadonlyMap<string, readonly Row[]>): ReadonlyMap<string, string[]> {
  const out = new Map<string, string[]>();
  for (const [entry, chain] of versions)
    for (const day of new Set(chain.map((row) => row.on.day))) {
      const same = out.get(day);
      if (same) same.push(entry);
      else out.set(day, [entry]);
    }
  return out;
}

function fingerprint(kind: RecordKind, row: ImportRow): string {
  return JSON.stringify(importable(kind).map((column) => row.cells[column] ?? null));
}

function printed(kind: RecordKind, row: Row, column: string): string {
  if (column === 'on') return printOn(row.on);
  if (column === 'by') return row.by;
  if (column === 'note') return row.note;
  const value = row.values[column];
  return value === null || value === undefined ? '' : kind.columns[column]!.print(value);
}

/** `06` and `6`, nothing and `0`, say the same where a count is meant. */
function normal(kind: RecordKind, column: string, text: string): string {
  const read = kind.columns[column]?.read(text);
  return read !== undefined && 'value' in read
    ? kind.columns[column]!.print(read.value)
    : text.replace(/\s+/g, ' ').trim();
}

function sameDay(cell: string, row: Row): boolean {
  return cell.includes('T') ? cell === printOn(row.on) : cell === row.on.day;
}

function saysTheSame(kind: RecordKind, row: ImportRow, other: Row): boolean {
  return Object.entries(row.cells).every(([column, text]) =>
    column === 'on'
      ? sameDay(text, other)
      : normal(kind, column, text) === normal(kind, column, printed(kind, other, column)),
  );
}

/** The same thing on the same day: what the row is named by, and its pen. */
function namesTheSame(kind: RecordKind, row: ImportRow, other: Row): boolean {
  if (other.isVoid || row.cells.on?.slice(0, 10) !== other.on.day) return false;
  const names = Object.entries(kind.columns)
    .filter(([, column]) => column.refers !== null)
    .map(([name]) => name);
  if (names.length === 0) return false;
  return names.every((name) => {
    const text = row.cells[name];
    return text === undefined || text === printed(kind, other, name);
  });
}
