import { expect, test } from 'vitest';
import { newEntry } from './entry.ts';
import { meantBy } from './headers.ts';
import { ENTRY } from './record.ts';

test.each([
  ['Eggs set', ['eggs']],
  ['  EGGS-set ', ['eggs']],
  ['Number of the eggs', ['eggs']],
  ['No. of eggs', ['eggs']],
  ['eggsset', []],
  ['moon', []],
])('a header %s means %j, of the columns asked about', (header, columns) => {
  expect(meantBy(header, ['eggs', 'pen', 'no such column'])).toEqual(columns);
});

test('an entry is ten characters that begin with a letter, and unlike any in use', () => {
  const bytes = (...lists: (readonly number[])[]) => {
    const left = [...lists];
    return () => Uint8Array.from(left.shift()!);
  };
  const zeros = Array.from({ length: 10 }, () => 0);
  const letters = zeros.map((_, at) => at + 10);
  // A digit in the first place is put into a letter.
  expect(newEntry(bytes(zeros), new Set())).toBe('a000000000');
  expect(newEntry(bytes(letters), new Set())).toBe('abcdefghjk');
  expect(newEntry(bytes(letters.map((one) => one + 32)), new Set())).toBe('abcdefghjk');
  expect(newEntry(bytes(zeros, letters), new Set(['a000000000']))).toBe('abcdefghjk');
  for (let first = 0; first < 256; first += 1) {
    const entry = newEntry(bytes([first, ...zeros.slice(1)]), new Set());
    expect(entry).toMatch(ENTRY);
    expect(entry).toMatch(/^[a-z]/);
  }
});
