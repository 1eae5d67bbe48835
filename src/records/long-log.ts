import { recordAt } from '../text/csv-records.ts';
import type { On } from '../text/day.ts';
import type { Place } from '../text/source.ts';
import type { Row } from './record.ts';

/**
 * The rows of a log that is too long to keep: each knows where it stands in the text, and is read
 * again when it is looked at. The row looked at last is kept, so that a walk over the log reads each
 * row once.
 */
export class LongLog {
  readonly #text: string;
  readonly #read: (cells: readonly string[], lineNo: number) => Row;
  #looked: LongRow | null = null;
  #row: Row | null = null;

  /** @param read makes a row of the cells of a record that was read without fault before */
  constructor(text: string, read: (cells: readonly string[], lineNo: number) => Row) {
    this.#text = text;
    this.#read = read;
  }

  /** The row of the record that begins at a place of the text, read this once. */
  rowAt(from: number, lineNo: number, row: Omit<Row, 'at'>): Row {
    return new LongRow(this, from, lineNo, row);
  }

  /** A row of this log, whole. */
  look(row: LongRow): Row {
    if (this.#looked !== row || this.#row === null) {
      this.#row = this.#read(recordAt(this.#text, row.from), row.lineNo);
      this.#looked = row;
    }
    return this.#row;
  }
}

class LongRow implements Row {
  readonly log: LongLog;
  readonly from: number;
  readonly lineNo: number;
  // What amendments are found by is kept.
  readonly entry: string;
  readonly amends: string | null;
  readonly isVoid: boolean;

  constructor(log: LongLog, from: number, lineNo: number, row: Omit<Row, 'at'>) {
    this.log = log;
    this.from = from;
    this.lineNo = lineNo;
    this.entry = row.entry;
    this.amends = row.amends;
    this.isVoid = row.isVoid;
  }

  get recorded(): string {
    return this.log.look(this).recorded;
  }
  get recordedAt(): number {
    return this.log.look(this).recordedAt;
  }
  get on(): On {
    return this.log.look(this).on;
  }
  get values(): Row['values'] {
    return this.log.look(this).values;
  }
  get by(): string {
    return this.log.look(this).by;
  }
  get note(): string {
    return this.log.look(this).note;
  }
  get at(): Place {
    return this.log.look(this).at;
  }
}
