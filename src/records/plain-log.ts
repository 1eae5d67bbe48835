import { LONGEST_ROW } from '../text/csv.ts';
import { recordAt } from '../text/csv-records.ts';
import type { Day, On } from '../text/day.ts';
import { isEven, plainLines } from '../text/plain-csv.ts';
import type { Place, Source } from '../text/source.ts';
import type { Column } from './column.ts';
import { headerOf, leadingColumns, type RecordKind, type Row } from './record.ts';

const ENTRY_CELL = '[0-9abcdefghjkmnpqrstvwxyz]{10}';
const MONTH = '(?:0[1-9]|1[0-2])';
const MINUTE = '(?:[01]\\d|2[0-3]):[0-5]\\d';
const RECORDED_CELL = `\\d{4}-${MONTH}-(?:0[1-9]|[12]\\d|3[01])T${MINUTE}(?::[0-5]\\d(?:\\.\\d{1,3})?)?(?:Z|[+-]${MINUTE})`;
/** Any day of the calendar since 1900 but a 29th of February, with or without a minute. */
const ON_CELL = `(?:19|[2-9]\\d)\\d\\d-(?:${MONTH}-(?:0[1-9]|1\\d|2[0-8])|(?:0[13-9]|1[0-2])-(?:29|30)|(?:0[13578]|1[02])-31)(?:T${MINUTE})?`;
/** A short text without a comma, a quote or a rare character. */
const TEXT_CELL = '[ !#-+\\--~\\xa0-\\ud7ff]{0,500}';

/**
 * Finds a line that is not sure to be sound around the cells of its kind of record: in an entry, an
 * instant and a day that begin it; in whoever wrote it, a note, what it amends and its state at the
 * end. One pattern over all lines takes a fraction of what a pattern for each cell does; a property
 * test holds it to what each cell may be.
 */
const ODD_LINE = new RegExp(
  `^(?!${ENTRY_CELL},${RECORDED_CELL},${ON_CELL},[^"\\n]*,${TEXT_CELL},${TEXT_CELL},(?:${ENTRY_CELL})?,(?:void)?\\n)[^]`,
  'm',
);

/** Reads the cells of a row that is not as nearly all are: the row, or null if it cannot be read. */
export type ReadOdd = (cells: readonly string[], at: Place) => Row | null;

const ON_AT = leadingColumns.indexOf('on');
/** How many cells before the end of a row each of the last ones stands. */
const BEFORE_END = { by: 4, note: 3, amends: 2, state: 1 } as const;

/** A row that reads again, from the text of its log, what is rarely asked for. */
class PlainRow implements Row {
  // Declared only, so that each is set but once.
  declare readonly source: Source;
  /** Where it begins in the text. */
  declare readonly from: number;
  declare readonly line: number;
  declare readonly entry: string;
  declare readonly on: On;
  declare readonly values: Row['values'];
  declare readonly amends: string | null;
  declare readonly isVoid: boolean;

  constructor(
    source: Source,
    from: number,
    line: number,
    entry: string,
    on: On,
    values: Row['values'],
    amends: string,
  ) {
    this.source = source;
    this.from = from;
    this.line = line;
    this.entry = entry;
    this.on = on;
    this.values = values;
    this.amends = amends === '' ? null : amends;
    this.isVoid = false;
  }

  get recorded(): string {
    const { text } = this.source;
    const from = this.from + this.entry.length + 1;
    return text.slice(from, text.indexOf(',', from));
  }
  get recordedAt(): number {
    return instantOf(this.recorded);
  }
  get by(): string {
    return recordAt(this.source.text, this.from).at(-BEFORE_END.by)!;
  }
  get note(): string {
    return recordAt(this.source.text, this.from).at(-BEFORE_END.note)!;
  }
  get at(): Place {
    return { file: this.source.path, line: this.line, column: 1 };
  }
}

// Rows of one instant stand together: what was asked last, and its answer.
let lastInstant = '';
let lastAt = Number.NaN;

function instantOf(recorded: string): number {
  if (recorded !== lastInstant) {
    lastInstant = recorded;
    lastAt = Date.parse(recorded);
  }
  return lastAt;
}

const DAY_LENGTH = 10;

// So do rows of one day or minute.
let lastOnCell = '';
let lastOn: On = { day: '' as Day, time: null };

/** Reads a cell of which ODD_LINE tells that it is a day or a minute. */
function onOf(cell: string): On {
  if (cell !== lastOnCell) {
    lastOnCell = cell;
    lastOn =
      cell.length === DAY_LENGTH
        ? { day: cell as Day, time: null }
        : { day: cell.slice(0, DAY_LENGTH) as Day, time: cell.slice(DAY_LENGTH + 1) };
  }
  return lastOn;
}

/**
 * Reads the cells of the columns that a kind of record has for itself. Counts, names and words come
 * again and again, so a cell read once need not be read anew.
 */
class OwnCells {
  readonly #columns: readonly Column<unknown>[];
  readonly #names: readonly string[];
  /** What each cell of a column that was read says; never undefined. */
  readonly #known: readonly Map<string, unknown>[];

  constructor({ columns }: RecordKind) {
    this.#columns = Object.values(columns);
    this.#names = Object.keys(columns);
    this.#known = this.#names.map(() => new Map());
  }

  /** What the cells from `first` on say; null if one cannot be read. */
  read(cells: readonly string[], first: number): Row['values'] | null {
    const names = this.#names;
    const known = this.#known;
    const out: Record<string, unknown> = {};
    for (let index = 0; index < names.length; index += 1) {
      const cell = cells[first + index]!;
      let value = known[index]!.get(cell);
      if (value === undefined) {
        value = this.#anew(index, cell);
        if (value === undefined) return null;
      }
      out[names[index]!] = value;
    }
    return out;
  }

  #anew(index: number, cell: string): unknown {
    const column = this.#columns[index]!;
    if (cell === '' && column.required) return undefined;
    const read = column.read(cell);
    if (!('value' in read)) return undefined;
    this.#known[index]!.set(cell, read.value);
    return read.value;
  }
}

/**
 * Reads the rows of a log that is plainly written, as nearly all are: its header is that of its kind,
 * each row is one line. Null for any other log.
 *
 * @param readOdd reads a row with anything unusual in it
 */
export function readPlainLog(kind: RecordKind, source: Source, readOdd: ReadOdd): Row[] | null {
  const header = headerOf(kind);
  const width = header.length;
  const firstLine = `${header.join(',')}\n`;
  if (!source.text.startsWith(firstLine)) return null;
  const parts = plainLines(source.text, firstLine.length, LONGEST_ROW);
  if (parts === null || !parts.every((part) => isEven(part, width))) return null;
  const own = new OwnCells(kind);
  const rows: Row[] = [];
  // The header is the first line.
  let line = 2;
  for (const { from, text, lines, cells } of parts) {
    const isPlain = text !== null && !ODD_LINE.test(text);
    let at = from;
    for (let index = 0; index < lines.length; index += 1) {
      const first = index * width;
      let row: Row | null = null;
      if (isPlain && cells[first + width - BEFORE_END.state] === '\n') {
        const values = own.read(cells, first + leadingColumns.length);
        if (values !== null && kind.together(values as never).length === 0)
          row = new PlainRow(
            source,
            at,
            line,
            cells[first]!,
            onOf(cells[first + ON_AT]!),
            values,
            cells[first + width - BEFORE_END.amends]!,
          );
      }
      row ??= readOdd(lineAt(cells, first, width), { file: source.path, line, column: 1 });
      if (row !== null) rows.push(row);
      at += lines[index]!.length + 1;
      line += 1;
    }
  }
  return rows;
}

/** The cells of one line, without its line feed. */
function lineAt(cells: readonly string[], first: number, width: number): readonly string[] {
  const own = cells.slice(first, first + width);
  own.push(own.pop()!.slice(0, -1));
  return own;
}
