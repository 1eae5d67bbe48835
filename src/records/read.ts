import { placesOfCells, readCsv } from '../text/csv.ts';
import { compareOn, parseOn } from '../text/day.ts';
import { expectedFound, type Fault, fault, joinHints, quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { headOf, type Place, type Source } from '../text/source.ts';
import { unfinishedMerge } from '../text/unfinished-merge.ts';
import { dateSlip, text } from './column.ts';
import { LongLog } from './long-log.ts';
import { ENTRY, headerOf, RECORDED, type RecordKind, type Row } from './record.ts';
import { RowReader } from './row-reader.ts';

/** Where a column stands that the log lacks: at no cell. */
const ABSENT = -1;

/** What `by` and `note` may hold, as every text of a record. */
const freeText = text('');

/** From this length on, in characters, the rows of a log are not kept in memory but read again. */
export const LONG_LOG = 8 * 1024 * 1024;

/** A row with a cell that cannot be read. It counts nowhere; a later row may amend or withdraw it. */
export type BrokenRow = {
  readonly entry: string;
  /** As written, whatever that is. */
  readonly on: string;
  readonly amends: string | null;
  readonly faults: readonly Fault[];
};

export type LogRead = {
  readonly rows: readonly Row[];
  /** Without those of broken rows. */
  readonly faults: readonly Fault[];
  readonly broken: readonly BrokenRow[];
};

/**
 * Reads one log into rows. Every faulty cell is told with its place; a row with a fault is left
 * out, so nothing downstream counts a guess.
 *
 * @param longFrom length of a log, in characters, whose rows are not kept but read again
 */
export function readLog(kind: RecordKind, source: Source, { longFrom = LONG_LOG } = {}): LogRead {
  const rows: Row[] = [];
  const faults: Fault[] = [];
  const broken: BrokenRow[] = [];
  const ofTable = readCsv(source, (header) => {
    const index = indexOfColumns(kind, source, header, faults);
    if (index === null) return null;
    const readOdd = readerOfOdd(kind, source, index, broken);
    const reader = new RowReader(kind, (column) => index.get(column) ?? ABSENT);
    const long =
      source.text.length > longFrom
        ? new LongLog(source.text, source.path, reader, (cells) => {
            const result = readCells(kind, (column) => cells[index.get(column) ?? ABSENT] ?? '');
            if ('slips' in result) throw new Error('a row read once cannot be read again');
            return result.row;
          })
        : null;
    return (cells, lineNo, from) => {
      const at = { file: source.path, line: lineNo, column: 1 };
      const sound = reader.read(cells, at);
      const row = sound ?? readOdd(cells, at);
      if (row !== null) rows.push(long === null ? row : long.add(row, from, sound !== null));
    };
  });
  const all = [...ofTable, ...faults];
  if (all.length + broken.length > 0) {
    const merge = unfinishedMerge(source);
    if (merge !== null) return { rows: [], faults: [merge], broken: [] };
  }
  return { rows, faults: all, broken };
}

/** Reads a row that may be wrong: the row, or null and what is wrong with it. */
function readerOfOdd(
  kind: RecordKind,
  source: Source,
  index: ReadonlyMap<string, number>,
  broken: BrokenRow[],
): (cells: readonly string[], at: Place) => Row | null {
  const placeOf = placesOfCells(source);
  return (cells, at) => {
    const cell = (column: string): string => cells[index.get(column) ?? ABSENT] ?? '';
    const result = readCells(kind, cell);
    if ('row' in result) return { ...result.row, at };
    const entry = cell('entry');
    const amends = cell('amends');
    broken.push({
      entry,
      on: cell('on'),
      amends: amends === '' ? null : amends,
      faults: result.slips.map((slip) =>
        fault('bad-cell', placeOf(at.line, index.get(slip.column) ?? 0), slip.message, {
          hint: hintFor(slip.hint ?? null, entry),
        }),
      ),
    });
    return null;
  };
}

/** Where each column stands; null, and a fault, if the header is not that of this log. */
function indexOfColumns(
  kind: RecordKind,
  source: Source,
  header: readonly string[],
  faults: Fault[],
): ReadonlyMap<string, number> | null {
  const expected = headerOf(kind);
  const index = new Map<string, number>();
  const repeated: string[] = [];
  header.forEach((column, position) => {
    if (index.has(column)) repeated.push(column);
    index.set(column, position);
  });
  const missing = expected.filter(
    (column) => !index.has(column) && kind.columns[column]?.isLater !== true,
  );
  const extra = header.filter((column) => !expected.includes(column));
  if (missing.length > 0 || repeated.length > 0) {
    const slips = extra
      .map((column) => didYouMean(column, missing))
      .filter((hint) => hint !== null);
    faults.push(
      fault(
        'csv-header',
        headOf(source.path),
        repeated.length > 0
          ? `header: the column ${quoted(repeated[0]!)} stands twice`
          : expectedFound(
              'header',
              `the columns ${missing.join(', ')} as well`,
              quoted(header.join(',')),
            ),
        { hint: slips[0] ?? `the header of this log is: ${expected.join(',')}` },
      ),
    );
    return null;
  }
  if (extra.length > 0)
    faults.push(
      fault(
        'csv-extra-column',
        headOf(source.path),
        `columns kept but not used: ${extra.map(quoted).join(', ')}`,
      ),
    );
  return index;
}

function hintFor(slip: string | null, entry: string): string | null {
  return joinHints(slip, ENTRY.test(entry) ? `fix the cell, or: traybook void ${entry}` : null);
}

export type CellSlip = {
  readonly column: string;
  readonly message: string;
  readonly hint?: string | null;
};

/** Reads the cells of one row by name, whatever they came from: a log, flags, another table. */
export function readCells(
  kind: RecordKind,
  cell: (column: string) => string,
): { readonly row: Omit<Row, 'at'> } | { readonly slips: readonly CellSlip[] } {
  const slips: CellSlip[] = [];
  const bad = (column: string, expected: string, hint: string | null = null): void => {
    const found = cell(column);
    slips.push({
      column,
      message: expectedFound(column, expected, found === '' ? 'nothing' : quoted(found)),
      hint,
    });
  };
  const entry = cell('entry');
  if (!ENTRY.test(entry)) bad('entry', 'ten characters of 0-9 and a-z without i, l, o, u');
  const recorded = cell('recorded');
  const recordedAt = RECORDED.test(recorded) ? Date.parse(recorded) : Number.NaN;
  if (Number.isNaN(recordedAt))
    bad('recorded', 'an instant with offset such as 2027-03-06T18:30:00+00:00');
  const on = parseOn(cell('on'));
  if (on === null)
    bad(
      'on',
      'a day such as 2027-03-06, or a minute such as 2027-03-06T18:30',
      dateSlip(cell('on')),
    );
  const amends = cell('amends');
  if (amends !== '' && !ENTRY.test(amends))
    bad('amends', 'the entry of an earlier row, or nothing');
  const state = cell('state');
  if (state !== '' && state !== 'void') bad('state', 'void or nothing');
  for (const name of ['by', 'note'])
    if ('hint' in freeText.read(cell(name))) bad(name, freeText.expected);
  const values: Record<string, unknown> = {};
  for (const name in kind.columns) {
    const column = kind.columns[name]!;
    const written = cell(name);
    if (written === '' && column.required) {
      // A row that only withdraws another need say nothing else.
      if (state === 'void') values[name] = null;
      else bad(name, column.expected);
      continue;
    }
    const read = column.read(written);
    if ('value' in read) values[name] = read.value;
    else bad(name, column.expected, read.hint);
  }
  if (slips.length > 0) return { slips };
  for (const slip of state === 'void' ? [] : kind.together(values as never)) {
    slips.push({ ...slip, message: `${slip.column}: ${slip.message}` });
  }
  if (slips.length > 0) return { slips };
  return {
    row: {
      entry,
      recorded,
      recordedAt,
      on: on!,
      values,
      by: cell('by'),
      note: cell('note'),
      amends: amends === '' ? null : amends,
      isVoid: state === 'void',
    },
  };
}

/** The cells of a row in the order of its header, ready to be written. */
export function cellsOf(
  kind: RecordKind,
  row: Omit<Row, 'at'>,
  header: readonly string[] = headerOf(kind),
): string[] {
  const fixed: Record<string, string> = {
    entry: row.entry,
    recorded: row.recorded,
    on: row.on.time === null ? row.on.day : `${row.on.day}T${row.on.time}`,
    by: row.by,
    note: row.note,
    amends: row.amends ?? '',
    state: row.isVoid ? 'void' : '',
  };
  return header.map((name) => {
    const column = Object.hasOwn(kind.columns, name) ? kind.columns[name] : undefined;
    if (column === undefined) return Object.hasOwn(fixed, name) ? fixed[name]! : '';
    const value = row.values[name];
    return value === undefined ? '' : column.print(value);
  });
}

/**
 * In the order things happened: by day and minute, then by when they were written down. Rows of one
 * second go by what they say, so that neither chance nor the order of a merge decides.
 */
export function byTime(a: Row, b: Row): number {
  return compareOn(a.on, b.on) || a.recordedAt - b.recordedAt || byContent(a, b);
}

/** One name and value of the JSON of what a row says, and what stands behind it. */
function partOf(row: Row, names: readonly string[], index: number): string {
  const name = names[index]!;
  const end = index === names.length - 1 ? '}' : ',';
  return `${JSON.stringify(name)}:${JSON.stringify(row.values[name])}${end}`;
}

/**
 * In the order of the JSON of their values, of which only the part that differs is made. Of two rows
 * of one second that decides.
 */
function byContent(a: Row, b: Row): number {
  const one = Object.keys(a.values);
  const other = Object.keys(b.values);
  const shared = Math.min(one.length, other.length);
  for (let index = 0; index < shared; index += 1) {
    const name = one[index]!;
    if (name === other[index] && a.values[name] === b.values[name] && index < shared - 1) continue;
    const mine = partOf(a, one, index);
    const theirs = partOf(b, other, index);
    if (mine !== theirs) return mine < theirs ? -1 : 1;
  }
  return a.entry < b.entry ? -1 : 1;
}
