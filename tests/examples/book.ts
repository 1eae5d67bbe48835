// The logbook of an invented season: rows as a keeper writes them, each with an entry of its own.
import binomialFactory from '@stdlib/random-base-binomial';
import { stringify } from 'csv-stringify/sync';
import { newEntry } from '../../src/records/entry.ts';
import { kindOf, type RecordName, recordNames } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';

export type Cells = Record<string, string | number>;
export type Log = { record: RecordName; cells: Cells };

/** One who writes, with chance of their own: what one chapter draws moves no figure of another. */
export type Scribe = {
  /** How many of `n` come out, each with chance `p`. */
  some(n: number, p: number): number;
  /** Writes a row; null, and nothing written, if the season has not come to it yet. */
  put(record: RecordName, on: string, cells: Cells, more?: Cells): string | null;
};

export class Book {
  readonly logs: Log[] = [];
  readonly #used = new Set<string>();
  readonly #season: number;
  readonly #until: string;

  constructor(season: number, until: string) {
    this.#season = season;
    this.#until = until;
  }

  scribe(seed: number): Scribe {
    const draw = binomialFactory.factory({ seed });
    const byteSource = binomialFactory.factory(255, 0.5, { seed: seed + 1 });
    const wide = (bytes: number): Uint8Array =>
      Uint8Array.from({ length: bytes }, () => (byteSource() * 37 + byteSource() * 11) % 256);
    return {
      some: (n, p) => (n <= 0 || p <= 0 ? 0 : draw(n, p)),
      put: (record, on, cells, more = {}) => {
        // A day without a minute is written in the evening.
        if ((on.length > 10 ? on : `${on}T19:30`) > this.#until) return null;
        const entry = newEntry(wide, this.#used);
        this.#used.add(entry);
        const day = on.slice(0, 10);
        const time = on.length > 10 ? on.slice(11) : '19:30';
        const isSummer = day >= `${this.#season}-03-29` && day < `${this.#season}-10-25`;
        const recorded = `${day}T${time}:00${isSummer ? '+01:00' : '+00:00'}`;
        this.logs.push({ record, cells: { entry, recorded, on, by: 'ada', ...cells, ...more } });
        return entry;
      },
    };
  }

  /** The last row written, to give it another hand or hour. */
  last(): Log {
    return this.logs.at(-1)!;
  }

  /** Every log of a season folder, by path below it. */
  files(): Map<string, string> {
    const files = new Map<string, string>();
    for (const name of recordNames) {
      const kind = kindOf(name);
      const header = headerOf(kind);
      const rows = this.logs
        .filter((log) => log.record === name)
        .sort((a, b) => String(a.cells.recorded).localeCompare(String(b.cells.recorded)))
        .map((log) => header.map((column) => String(log.cells[column] ?? '')));
      files.set(`log/${kind.file}`, stringify([[...header], ...rows]));
    }
    return files;
  }
}
