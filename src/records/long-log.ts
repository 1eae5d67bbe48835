import { recordAt } from '../text/csv-records.ts';
import { type Day, dayOfNumber, numberOfDay, type On } from '../text/day.ts';
import type { Place } from '../text/source.ts';
import type { Row } from './record.ts';
import { NO_CODE, type RowReader } from './row-reader.ts';

/** Rows of one block; blocks are added as the log goes on, so that nothing is ever copied. */
const BLOCK = 1 << 16;
/** Minutes of a day, and one value more for no minute at all. */
const MINUTES = 24 * 60 + 1;

/** What is kept of the rows of a block, column by column. */
type Block = {
  /** Where each row begins in the text. */
  readonly from: Uint32Array;
  readonly lineNo: Uint32Array;
  readonly recordedAt: Float64Array;
  /** Day and minute: the day's number times `MINUTES`, and the minute plus one, or zero. */
  readonly on: Int32Array;
  /** Codes of the values, one list a column. */
  readonly codes: readonly Uint16Array[];
};

/**
 * The rows of a log that is too long to keep as rows: numbers are kept column by column, and what
 * is rarely asked for stands in the text, from which it is read again.
 */
export class LongLog {
  readonly #text: string;
  readonly #file: string;
  readonly #reader: RowReader;
  readonly #again: (cells: readonly string[]) => Omit<Row, 'at'>;
  readonly #blocks: Block[] = [];
  /** The rows that amend another or are void, by number. */
  readonly #amending = new Map<number, Pick<Row, 'amends' | 'isVoid'>>();
  #count = 0;
  #dayNumber = Number.NaN;
  #day = '' as Day;

  /**
   * @param reader what has read the rows: it holds their distinct values
   * @param again makes a row of the cells of a record that was read without fault before
   */
  constructor(
    text: string,
    file: string,
    reader: RowReader,
    again: (cells: readonly string[]) => Omit<Row, 'at'>,
  ) {
    this.#text = text;
    this.#file = file;
    this.#reader = reader;
    this.#again = again;
  }

  /**
   * Takes in the row of the record that begins at a place of the text.
   *
   * @param isCoded the reader read it last, so that its codes are those of this row
   */
  add(row: Row, from: number, isCoded: boolean): Row {
    const n = this.#count;
    this.#count += 1;
    const place = n % BLOCK;
    if (place === 0) this.#blocks.push(newBlock(this.#reader.columns.length));
    const block = this.#blocks.at(-1)!;
    block.from[place] = from;
    block.lineNo[place] = row.at.line;
    block.recordedAt[place] = row.recordedAt;
    block.on[place] = this.#packed(row.on);
    const { codes } = this.#reader;
    for (let index = 0; index < codes.length; index += 1)
      block.codes[index]![place] = isCoded ? codes[index]! : NO_CODE;
    if (row.amends !== null || row.isVoid)
      this.#amending.set(n, { amends: row.amends, isVoid: row.isVoid });
    return new LongRow(this, n);
  }

  #packed({ day, time }: On): number {
    if (day !== this.#day) {
      this.#day = day;
      this.#dayNumber = numberOfDay(day);
    }
    const minute = time === null ? 0 : 1 + Number(time.slice(0, 2)) * 60 + Number(time.slice(3));
    return this.#dayNumber * MINUTES + minute;
  }

  on(n: number): On {
    const packed = this.#block(n).on[n % BLOCK]!;
    const number = Math.floor(packed / MINUTES);
    if (number !== this.#dayNumber) {
      this.#dayNumber = number;
      this.#day = dayOfNumber(number);
    }
    const minute = packed - number * MINUTES;
    return { day: this.#day, time: minute === 0 ? null : timeOf(minute - 1) };
  }

  values(n: number): Row['values'] {
    const { codes } = this.#block(n);
    const place = n % BLOCK;
    const { columns } = this.#reader;
    const out: Record<string, unknown> = {};
    for (let index = 0; index < columns.length; index += 1) {
      const code = codes[index]![place]!;
      if (code === NO_CODE) return this.again(n).values;
      const column = columns[index]!;
      out[column.name] = column.values[code];
    }
    return out;
  }

  recordedAt(n: number): number {
    return this.#block(n).recordedAt[n % BLOCK]!;
  }

  entry(n: number): string {
    const from = this.#block(n).from[n % BLOCK]!;
    // It stands first in every log that we begin, and needs no quotes.
    if (this.#reader.entryAt === 0 && this.#text[from] !== '"')
      return this.#text.slice(from, from + 10);
    return this.again(n).entry;
  }

  amending(n: number): Pick<Row, 'amends' | 'isVoid'> {
    if (this.#amending.size === 0) return STANDING;
    return this.#amending.get(n) ?? STANDING;
  }

  place(n: number): Place {
    return { file: this.#file, line: this.#block(n).lineNo[n % BLOCK]!, column: 1 };
  }

  /** The row read again from the text. */
  again(n: number): Omit<Row, 'at'> {
    return this.#again(recordAt(this.#text, this.#block(n).from[n % BLOCK]!));
  }

  #block(n: number): Block {
    return this.#blocks[Math.floor(n / BLOCK)]!;
  }
}

const STANDING = { amends: null, isVoid: false } as const;

function newBlock(columns: number): Block {
  return {
    from: new Uint32Array(BLOCK),
    lineNo: new Uint32Array(BLOCK),
    recordedAt: new Float64Array(BLOCK),
    on: new Int32Array(BLOCK),
    codes: Array.from({ length: columns }, () => new Uint16Array(BLOCK)),
  };
}

const times: string[] = [];

/** `18:30` of a minute of the day; each is made once. */
function timeOf(minute: number): string {
  times[minute] ??= [Math.floor(minute / 60), minute % 60]
    .map((part) => String(part).padStart(2, '0'))
    .join(':');
  return times[minute]!;
}

class LongRow implements Row {
  readonly log: LongLog;
  readonly n: number;

  constructor(log: LongLog, n: number) {
    this.log = log;
    this.n = n;
  }

  get entry(): string {
    return this.log.entry(this.n);
  }
  get recorded(): string {
    return this.log.again(this.n).recorded;
  }
  get recordedAt(): number {
    return this.log.recordedAt(this.n);
  }
  get on(): On {
    return this.log.on(this.n);
  }
  get values(): Row['values'] {
    return this.log.values(this.n);
  }
  get by(): string {
    return this.log.again(this.n).by;
  }
  get note(): string {
    return this.log.again(this.n).note;
  }
  get amends(): string | null {
    return this.log.amending(this.n).amends;
  }
  get isVoid(): boolean {
    return this.log.amending(this.n).isVoid;
  }
  get at(): Place {
    return this.log.place(this.n);
  }
}
