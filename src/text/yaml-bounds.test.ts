import { expect, test } from 'vitest';
import { readYaml } from './yaml.ts';
import { boundsOfYaml } from './yaml-bounds.ts';
import { YAML_LIMITS } from './yaml-limits.ts';

const codesOf = (text: string) =>
  readYaml({ path: 'season.yaml', text }).faults.map((one) => one.code);

/** Steps of the lexer until the bounds are known, as a measure of the work that needs no clock. */
const boundOf = (text: string) => boundsOfYaml({ path: 'season.yaml', text });

test('what would take long to parse is refused before it is parsed', () => {
  expect(codesOf(`a: &b 1\nc: [${'*b,'.repeat(50_000)}]\n`)).toEqual(['file-too-large']);
  const keys = (count: number) => Array.from({ length: count }, (_, n) => `k${n}: 1`).join('\n');
  expect(codesOf(keys(80_000))).toEqual(['file-too-large']);
  expect(codesOf(`a:\n${'[\n'.repeat(200_000)}`)).toEqual(['yaml-too-deep']);
  expect(codesOf('['.repeat(500_000))).toEqual(['yaml-too-deep']);
  expect(codesOf(`${'- '.repeat(250_000)}a\n`)).toEqual(['yaml-too-deep']);
  expect(codesOf(`${'? '.repeat(250_000)}a\n`)).toEqual(['yaml-too-deep']);
  expect(codesOf(Array.from({ length: 900 }, (_, n) => `${' '.repeat(n)}a:`).join('\n'))).toEqual([
    'yaml-too-deep',
  ]);
  expect(codesOf(' '.repeat(YAML_LIMITS.characters + 1))).toEqual(['file-too-large']);
});

test('the bounds of depth: one level less, as deep as may be, one more', () => {
  const flow = (depth: number) => `a: ${'['.repeat(depth - 1)}${']'.repeat(depth - 1)}\n`;
  const lines = (depth: number) =>
    `${Array.from({ length: depth }, (_, n) => `${' '.repeat(2 * n)}a:`).join('\n')} 1\n`;
  for (const text of [flow, lines]) {
    expect(codesOf(text(YAML_LIMITS.depth - 1))).toEqual([]);
    expect(codesOf(text(YAML_LIMITS.depth))).toEqual([]);
    expect(codesOf(text(YAML_LIMITS.depth + 1))).toEqual(['yaml-too-deep']);
  }
});

test('as many parts as may be, and one more', () => {
  // A key, its colon, its value and its line.
  const most = YAML_LIMITS.parts / 4;
  const keys = (count: number) =>
    `${Array.from({ length: count }, (_, n) => `k${n}: 1`).join('\n')}\n`;
  expect(codesOf(keys(most))).toEqual([]);
  expect(codesOf(keys(most + 1))).toEqual(['file-too-large']);
});

test.each(['""', "'' ", '&a ', '\n', '#\n', '[]'])(
  '%j again and again is refused before it is parsed',
  (part) => {
    expect(codesOf(part.repeat(YAML_LIMITS.parts + 1))).toEqual(['file-too-large']);
  },
);

test('tags, aliases and a second document are told, one a line', () => {
  expect(codesOf('a: !!str 1\nb: !x {c: !y 2}\n')).toEqual(['yaml-tag', 'yaml-tag']);
  expect(codesOf('a: &n 1\nb: [*n, *n]\nc: *n\n')).toEqual([
    'yaml-alias',
    'yaml-alias',
    'yaml-alias',
  ]);
  expect(codesOf('---\na: 1\n')).toEqual([]);
  expect(codesOf('a: 1\n---\nb: 2\n')).toEqual(['yaml-syntax']);
  const two = readYaml({ path: 'season.yaml', text: 'a: 1\n...\nb: 2\n' }).faults;
  expect(two.map((one) => one.message).join()).not.toMatch(/parseAllDocuments|YAML\./);
  expect(boundOf('a: "!no tag, *no alias"\nb: it is *so*\n')).toEqual([]);
});

test('an unfinished merge is one fault', () => {
  const text = 'season: 2027\n<<<<<<< HEAD\nplan: []\n=======\nplan: [1]\n>>>>>>> other\n';
  expect(codesOf(text)).toEqual(['unfinished-merge']);
});

test('a key that stands twice is told where it stands again', () => {
  const { faults } = readYaml({ path: 'season.yaml', text: 'a: 1\nb: {c: 1, c: 2}\na: 3\n' });
  expect(faults.map(({ code, at }) => [code, at.line, at.column])).toEqual([
    ['yaml-duplicate-key', 3, 1],
    ['yaml-duplicate-key', 2, 11],
  ]);
});
