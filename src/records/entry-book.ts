import type { Row } from './record.ts';

/** From this many entries on, further ones are kept in less room. */
const MANY = 20_000;
const DIGITS = '0123456789abcdefghjkmnpqrstvwxyz';
const digitOf = new Uint8Array(128);
for (let digit = 0; digit < DIGITS.length; digit += 1) digitOf[DIGITS.charCodeAt(digit)] = digit;

/** Half an entry is 25 bits. */
const HALF = 5;
const half = (entry: string, from: number): number => {
  let bits = 0;
  for (let at = from; at < from + HALF; at += 1) bits = bits * 32 + digitOf[entry.charCodeAt(at)]!;
  return bits;
};

/**
 * A row of every entry, found by it. The first ones are kept in a map; of a log of a million rows a
 * map would take a hundred bytes each, so those that come later stand in a table of numbers: ten
 * characters of base 32 are fifty bits, which a double holds.
 */
export class EntryBook {
  readonly #few = new Map<string, Row>();
  readonly #rows: Row[] = [];
  #keys = new Float64Array(0);
  /** Open addressing: the index of a row plus one, or zero. */
  #slots = new Uint32Array(0);

  /** The row with this entry, or undefined. */
  get(entry: string): Row | undefined {
    const few = this.#few.get(entry);
    if (few !== undefined || this.#rows.length === 0) return few;
    return this.#rows[this.#slots[this.#slotOf(entry)]! - 1];
  }

  /** Puts a row under its entry, in the place of one that stands there. */
  set(entry: string, row: Row): void {
    if (this.#few.size < MANY || this.#few.has(entry)) {
      this.#few.set(entry, row);
      return;
    }
    if (this.#rows.length === this.#keys.length) this.#grow();
    const slot = this.#slotOf(entry);
    const there = this.#slots[slot]!;
    if (there > 0) {
      this.#rows[there - 1] = row;
      return;
    }
    this.#keys[this.#rows.length] = half(entry, 0) * 2 ** 25 + half(entry, HALF);
    this.#slots[slot] = this.#rows.push(row);
  }

  get size(): number {
    return this.#few.size + this.#rows.length;
  }

  *keys(): IterableIterator<string> {
    yield* this.#few.keys();
    for (const row of this.#rows) yield row.entry;
  }

  /** The slot of an entry: that which holds it, or the empty one where it belongs. */
  #slotOf(entry: string): number {
    return this.#slotFor(half(entry, 0), half(entry, HALF));
  }

  #slotFor(high: number, low: number): number {
    const key = high * 2 ** 25 + low;
    const mask = this.#slots.length - 1;
    // Two odd constants spread entries that were drawn one after the other.
    let slot = ((Math.imul(high, 0x9e3779b1) ^ Math.imul(low, 0x85ebca6b)) >>> 7) & mask;
    for (;;) {
      const there = this.#slots[slot]!;
      if (there === 0 || this.#keys[there - 1] === key) return slot;
      slot = (slot + 1) & mask;
    }
  }

  #grow(): void {
    const keys = new Float64Array(Math.max(MANY, this.#keys.length * 2));
    keys.set(this.#keys.subarray(0, this.#rows.length));
    this.#keys = keys;
    let size = 1;
    while (size < 2 * keys.length) size *= 2;
    this.#slots = new Uint32Array(size);
    for (let index = 0; index < this.#rows.length; index += 1) {
      const key = keys[index]!;
      const low = key % 2 ** 25;
      this.#slots[this.#slotFor((key - low) / 2 ** 25, low)] = index + 1;
    }
  }
}
