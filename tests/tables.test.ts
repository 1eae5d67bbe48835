// Columns, words and numbers are written once: what the files of src/ hold, read as text.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from './harness/console.ts';

const src = join(root, 'src');
const sources = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts') && !name.endsWith('.test.ts'))
  .map((name) => ({ name, text: readFileSync(join(src, name), 'utf8') }));

/** Screens whose cells are still written before they reach a table, and sentences made elsewhere. */
const older = (
  'tables/review tables/diagnosis tables/rates tables/plan tables/forecast ' +
  'tables/breeders tables/summary tables/flock tables/brooders tables/pictures tables/year ' +
  'tables/birds tables/html/machine-charts tables/html/season-page tables/html/sheet commands/list ' +
  'commands/change commands/eggs-for facts/checks/brooders ' +
  'breeders/mating-factors breeders/mating breeders/next-pens ' +
  'judge/diagnose/deaths judge/diagnose/eggs judge/diagnose/machine judge/review/comparisons ' +
  'planner/ways-out planner/year/differently planner/year/turn'
).split(' ');
const isOlder = (name: string): boolean => older.includes(name.replace(/\.ts$/, ''));

test('only tables/numbers makes text of a number', () => {
  const wrong = sources
    .filter(({ name, text }) => name !== 'tables/numbers.ts' && /\.toFixed\(/.test(text))
    .map(({ name }) => name);
  expect(wrong.filter((name) => !isOlder(name))).toEqual([]);
});

test('a heading is written in one place', () => {
  const headings = sources
    .filter(({ name }) => name.startsWith('tables') && !isOlder(name))
    .flatMap(({ text }) => [...text.matchAll(/\bheading: (['"`])(.*?)\1,/g)].map((one) => one[2]!));
  expect(headings.length).toBeGreaterThan(20);
  const twice = headings.filter((one, index) => headings.indexOf(one) !== index);
  expect(twice).toEqual([]);
});
