import { expect, test } from 'vitest';
import { hill } from '../../tests/support/season.ts';
import { readSeasonFile } from './read-file.ts';

const faultsOf = (text: string) =>
  readSeasonFile({ path: 'season.yaml', text }).faults.map((one) => [
    `${one.at.line}:${one.at.column}`,
    one.code,
    one.hint,
  ]);

test('a file in order is read without a fault', () => {
  expect(faultsOf(hill)).toEqual([]);
});

test('every fault in one run, of shape and of name, with line, column and the nearest word', () => {
  const broken = hill
    .replace('{species: chicken, class', '{species: chiken, class')
    .replace('yard: {line: sussex, hens: 8', 'yard: {line: susex, hens: eight')
    .replace('pond: {line: harlequin', 'pond: {lin: harlequin')
    .replace('trays: 3', 'trays: 0')
    .replace('max_days: 8', 'max_day: 8');
  const found = faultsOf(broken);
  expect(found).toEqual(
    expect.arrayContaining([
      ['5:21', 'unknown-name', 'did you mean chicken?'],
      ['9:16', 'unknown-name', 'did you mean sussex?'],
      ['9:29', 'bad-value', null],
      ['10:9', 'missing-key', 'add the key line'],
      ['10:10', 'unknown-key', 'did you mean line?'],
      ['12:20', 'bad-value', null],
      ['15:11', 'unknown-key', 'did you mean max_days?'],
    ]),
  );
  expect(found).toHaveLength(7);
});

test('a plan that points nowhere, or mixes species', () => {
  const plan = (line: string) => faultsOf(`${hill}plan:\n  - {set: A1, on: 2027-03-06, ${line}}\n`);
  expect(plan('trays: [1], shares: {orchrd: 9}')).toEqual([
    ['17:52', 'unknown-name', 'did you mean orchard?'],
  ]);
  expect(plan('trays: [4], shares: {orchard: 9}').map(([, code]) => code)).toEqual(['bad-value']);
  expect(plan('trays: [1], shares: {orchard: 9, pond: 9}').map(([, code]) => code)).toEqual([
    'wrong-species',
  ]);
});

test.each([
  ['a list', '- a\n'],
  ['a number', '7\n'],
  ['nothing', ''],
  ['lines that are a list', 'lines: [a]\npens: 3\nplan: [1]\ngoals: [x]\n'],
])('%s is told, not thrown', (_, text) => {
  expect(faultsOf(text).length).toBeGreaterThan(0);
});

test.each([
  ['seson: 2027', 'season'],
  ['place: {nam: Cold Ash}', 'name'],
  ['lines: {a: {clas: meat}}', 'class'],
  ['lines: {a: {override: {hatchday: 21}}}', 'hatch_day'],
  ['lines: {a: {override: {egg_g: {lo: 1}}}}', 'low'],
  ['pens: {a: {hen: 9}}', 'hens'],
  ['pens: {a: {bought: {colour: 9}}}', null],
  ['pens: {a: {bought: {road_day: 9}}}', 'road_days'],
  ['kinds: {a: {lik: goose}}', 'like'],
  ['next_pens: {a: {hen: 9}}', 'hens'],
  ['traits: {a: {heritabilty: 0.2}}', 'heritability'],
  ['setters: {a: {trayz: 9}}', 'trays'],
  ['hatchers: {a: {closed: [{form: 2027-01-01}]}}', 'from'],
  ['brooders: {a: {heat: {place: 2}}}', 'places'],
  ['storage: {max_day: 8}', 'max_days'],
  ['normals: {arp: {low: 2}}', 'apr'],
  ['normals: {apr: {hihg: 2}}', 'high'],
  ['prices: {eg: 2}', 'egg'],
  ['goals: [{cuont: 2}]', 'count'],
  ['rates: {a: {fertil: 0.9}}', 'fertile'],
  ['plan: [{tray: [1]}]', 'trays'],
])('%s: the key that was meant is %s', (text, meant) => {
  const told = readSeasonFile({ path: 'season.yaml', text: `${text}\n` }).faults;
  expect(told.filter((one) => one.code === 'unknown-key').map((one) => one.hint)).toEqual([
    meant === null ? expect.not.stringContaining('did you mean') : `did you mean ${meant}?`,
  ]);
});

test('what is no YAML is told alone', () => {
  const { file, faults } = readSeasonFile({ path: 'season.yaml', text: 'lines: [a\nseason: x\n' });
  expect([file, new Set(faults.map((one) => one.code))]).toEqual([null, new Set(['yaml-syntax'])]);
});

test('numbers that are none are told in words', () => {
  const told = (text: string) =>
    readSeasonFile({ path: 'season.yaml', text })
      .faults.map((one) => one.message)
      .join();
  expect(told('1e999\n')).toContain('found a number that is too large');
  expect(told(hill.replace('hens: 8', 'hens: .nan'))).toContain('found .nan, which is no number');
});

test.each([
  ['goals', '{line: sussex, want: chicks, count: 1, by: 2027-06-20}'],
  ['orders', '{for: Ane, line: sussex, want: chicks, count: 1, from: 2027-06-01, by: 2027-06-20}'],
])('a hundred %s are read, one more is refused', (key, one) => {
  const read = (count: number) =>
    readSeasonFile({
      path: 'season.yaml',
      text: `${hill.replace(new RegExp(`^${key}:\n(?: .*\n)*`, 'm'), '')}${key}:\n${`  - ${one}\n`.repeat(count)}`,
    }).faults.map((fault) => fault.message);
  expect(read(99)).toEqual([]);
  expect(read(100)).toEqual([]);
  expect(read(101)).toEqual([`${key}: expected a list of at most 100, found a list of 101`]);
});
