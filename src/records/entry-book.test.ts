import { expect, test } from 'vitest';
import { EntryBook } from './entry-book.ts';
import type { Row } from './record.ts';

const row = (entry: string, line = 1) => ({ entry, at: { line } }) as unknown as Row;

/** An entry that numbers give, the whole width of it. */
const entryOf = (n: number): string => {
  let entry = '';
  for (let place = 0, seed = n + 1; place < 10; place += 1) {
    seed = (seed * 48271 + n) % 2147483647;
    entry += '0123456789abcdefghjkmnpqrstvwxyz'[seed % 32];
  }
  return entry;
};

test('every entry is found again, few or many, and no other', () => {
  const book = new EntryBook();
  const map = new Map<string, Row>();
  for (let n = 0; n < 70_000; n += 1) {
    const entry = entryOf(n < 65_000 ? n : n - 10_000);
    const one = row(entry, n);
    book.set(entry, one);
    map.set(entry, one);
  }
  expect(book.size).toBe(map.size);
  let wrong = 0;
  for (const [entry, one] of map) if (book.get(entry) !== one) wrong += 1;
  for (let n = 200_000; n < 210_000; n += 1) {
    const entry = entryOf(n);
    if (book.get(entry) !== map.get(entry)) wrong += 1;
  }
  expect(wrong).toBe(0);
  expect(new Set(book.keys())).toEqual(new Set(map.keys()));
});

test('entries that differ in one character only, at either end', () => {
  const book = new EntryBook();
  for (let n = 0; n < 20_000; n += 1) book.set(entryOf(n), row(entryOf(n)));
  const near = ['zzzzzzzzzz', 'zzzzzzzzzy', 'yzzzzzzzzz', '0000000000', '1000000000', '0000000001'];
  for (const entry of near) book.set(entry, row(entry));
  for (const entry of near) expect(book.get(entry)!.entry).toBe(entry);
  expect(book.get('zzzzzzzzzx')).toBeUndefined();
});
