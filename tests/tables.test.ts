// Columns, words and numbers are written once: what the files of src/ hold, read as text.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from './harness/console.ts';

const src = join(root, 'src');
const sources = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts') && !name.endsWith('.test.ts'))
  .map((name) => ({ name, text: readFileSync(join(src, name), 'utf8') }));

/** Numbers in names that nobody reads: a bound of the mating program, a key of equal birds. */
const keys = ['breeders/mating.ts', 'breeders/mating-factors.ts', 'judge/model/streams.ts'];

test('only tables/numbers makes text of a number', () => {
  const wrong = sources
    .filter(
      ({ name, text }) =>
        name !== 'tables/numbers.ts' && !keys.includes(name) && /\.toFixed\(/.test(text),
    )
    .map(({ name }) => name);
  expect(wrong).toEqual([]);
});

test('a heading is written in one place', () => {
  const headings = sources
    .filter(({ name }) => name.startsWith('tables'))
    .flatMap(({ text }) =>
      [...text.matchAll(/\bheading: (['"`])(.*?)\1,((?:(?!\bof[:(]|heading:)[\s\S])*)/g)]
        // What only other programs get has no heading that anybody reads.
        .filter((one) => !/show: 'data'/.test(one[3]!))
        .map((one) => one[2]!),
    );
  expect(headings.length).toBeGreaterThan(20);
  const twice = headings.filter((one, index) => headings.indexOf(one) !== index);
  expect(twice).toEqual([]);
});
