import { type On, parseOn } from '../text/day.ts';
import type { Place } from '../text/source.ts';
import type { LogColumn } from './column.ts';
import { ENTRY, RECORDED, type RecordKind, type Row } from './record.ts';

/** Distinct cells of a column that are remembered: a code must fit in 16 bits. */
const MOST_REMEMBERED = 0xffff;

/** Says that a cell has no code: it cannot be read, or too many others are remembered. */
export const NO_CODE = 0xffff;

/**
 * A column of a log and what each of its cells was read as. Counts, names and words come again and
 * again, so a cell read once need not be read again.
 */
export class ReadColumn {
  readonly name: string;
  readonly at: number;
  /** The distinct values, each under its code. */
  readonly values: unknown[] = [];
  /** The code of an empty cell, which most are. */
  readonly emptyCode: number;
  readonly #column: LogColumn<unknown>;
  readonly #codes = new Map<string, number>();

  constructor(name: string, at: number, column: LogColumn<unknown>) {
    this.name = name;
    this.at = at;
    this.#column = column;
    this.emptyCode = this.codeOf('');
  }

  /** The code of the value that a cell says, or `NO_CODE`. */
  codeOf(cell: string): number {
    const known = this.#codes.get(cell);
    if (known !== undefined) return known;
    if (this.values.length === MOST_REMEMBERED || (cell === '' && this.#column.required))
      return NO_CODE;
    const read = this.#column.read(cell);
    if (!('value' in read)) return NO_CODE;
    const code = this.values.push(read.value) - 1;
    this.#codes.set(cell, code);
    return code;
  }
}

/**
 * Reads the rows of one log that are as they should be, which nearly all are. Whatever it returns
 * null for, `readCells` reads, or tells what is wrong with it; a property test holds them together.
 */
export class RowReader {
  readonly columns: readonly ReadColumn[];
  /** The code of each column in the row read last. */
  readonly codes: Uint16Array;
  readonly #kind: RecordKind;
  readonly #fixed: Readonly<Record<(typeof fixed)[number], number>>;
  /** What a row of empty cells says; null where a cell must not be empty. */
  readonly #blank: Readonly<Record<string, unknown>>;
  #onText = '';
  #on: On | null = null;

  /** @param at where each column stands among the cells of a row */
  constructor(kind: RecordKind, at: (column: string) => number) {
    this.#kind = kind;
    this.#fixed = {
      entry: at('entry'),
      recorded: at('recorded'),
      on: at('on'),
      by: at('by'),
      note: at('note'),
      amends: at('amends'),
      state: at('state'),
    };
    this.columns = Object.entries(kind.columns).map(
      ([name, column]) => new ReadColumn(name, at(name), column),
    );
    this.codes = new Uint16Array(this.columns.length);
    this.#blank = Object.fromEntries(
      this.columns.map(({ name, values, emptyCode }) => [name, values[emptyCode] ?? null]),
    );
  }

  /** Where the entry stands among the cells. */
  get entryAt(): number {
    return this.#fixed.entry;
  }

  /** @param place where the row stands */
  read(cells: readonly string[], place: Place): Row | null {
    const at = this.#fixed;
    const entry = cells[at.entry]!;
    const recorded = cells[at.recorded]!;
    const note = cells[at.note]!;
    const by = cells[at.by]!;
    const amends = cells[at.amends]!;
    if (cells[at.state] !== '' || !ENTRY.test(entry) || !RECORDED.test(recorded)) return null;
    if ((note !== '' && !isSimple(note)) || (by !== '' && !isSimple(by))) return null;
    if (amends !== '' && !ENTRY.test(amends)) return null;
    const recordedAt = Date.parse(recorded);
    if (Number.isNaN(recordedAt)) return null;
    const onText = cells[at.on]!;
    // Rows of one day stand together.
    if (onText !== this.#onText) {
      this.#on = parseOn(onText);
      this.#onText = onText;
    }
    const on = this.#on;
    if (on === null) return null;
    // Most cells are empty, and a copy has what they say already.
    const values: Record<string, unknown> = { ...this.#blank };
    const { columns, codes } = this;
    for (let index = 0; index < columns.length; index += 1) {
      const column = columns[index]!;
      const cell = cells[column.at] ?? '';
      const code = cell === '' ? column.emptyCode : column.codeOf(cell);
      if (code === NO_CODE) return null;
      codes[index] = code;
      if (cell !== '') values[column.name] = column.values[code];
    }
    if (this.#kind.together(values as never).length > 0) return null;
    return {
      entry,
      recorded,
      recordedAt,
      on,
      values,
      by,
      note,
      amends: amends === '' ? null : amends,
      isVoid: false,
      at: place,
    };
  }
}

const fixed = ['entry', 'recorded', 'on', 'by', 'note', 'amends', 'state'] as const;

const SIMPLE = /^[\x20-\x7e\xa0-\ud7ff]*$/;

/** True for text that may stand in any free text: short, and without any rare character. */
function isSimple(text: string): boolean {
  return text.length <= 500 && SIMPLE.test(text);
}
