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

test('normals and a line’s own figures: what was expected, in our own words', () => {
  const words = (text: string) =>
    readSeasonFile({ path: 'season.yaml', text }).faults.map((one) => one.message);
  const own = (override: string) =>
    words(hill.replace('{species: duck}', `{species: duck, override: {${override}}}`));
  const at = 'lines › harlequin › override ›';
  expect(own('floor_m2: 3')).toEqual([
    `${at} floor_m2: expected a list of steps such as {from_day: 0, m2: …}, each later than the one before, the first from day 0, found 3`,
  ]);
  expect(own('out: [{from_day: 9, night_low: 5}, {from_day: 8, night_low: 4}]')).toEqual([
    `${at} out: expected a list of steps such as {from_day: 0, night_low: …}, each later than the one before, found a list of 2`,
  ]);
  expect(own('dressing: 70')).toEqual([`${at} dressing: expected a share from 0 to 1, found 70`]);
  expect(own('feathered_day: {low: 50, high: 40}')[0]).toContain('expected ages in days such as');
  expect(words(`${hill}normals:\n  apr: {low: 9, high: 3}\n`)).toEqual([
    'normals › apr › high: expected a high not below the low, found 3',
  ]);
  expect(words(`${hill}normals:\n  apr: {low: 3, low_10: 5}\n`)).toEqual([
    'normals › apr › low_10: expected a low_10 not above the low: nine nights in ten stay above it, found 5',
  ]);
});

test('numbers that are none are told in words', () => {
  const told = (text: string) =>
    readSeasonFile({ path: 'season.yaml', text })
      .faults.map((one) => one.message)
      .join();
  expect(told('1e999\n')).toContain('found a number that is too large');
  expect(told(hill.replace('hens: 8', 'hens: .nan'))).toContain('found .nan, which is no number');
});

test('keys that limit a season: days in order, names that are known', () => {
  const words = (more: string) =>
    readSeasonFile({ path: 'season.yaml', text: `${hill}${more}` }).faults.map(
      (one) => `${one.code}: ${one.message}`,
    );
  expect(words('setting: {from: 2027-02-20, to: 2027-05-31}\nid: hollin-2027\n')).toEqual([]);
  expect(words('setting: {from: 2027-05-31, to: 2027-05-31}\n')).toEqual([]);
  expect(words('setting: {from: 2027-05-31, to: 2027-05-30}\n')).toEqual([
    'bad-value: setting › to: expected a day not before from, found "2027-05-30"',
  ]);
  const order = (more: string) =>
    words(`orders:\n  - {for: fair, line: sussex, count: 5, by: 2027-04-17, ${more}}\n`);
  expect(order('want: chicks, from: 2027-04-17')).toEqual([]);
  expect(order('want: chicks, from: 2027-04-18')[0]).toContain('a day not before from');
  expect(order('want: eggs, at: hatch')[0]).toContain('eggs have no age');
  expect(
    words('orders:\n  - {for: a, line: susex, want: eggs, count: 1, by: 2027-04-17}\n'),
  ).toEqual(['unknown-name: orders › 1 › line: expected the name of a line, found "susex"']);
  const closed = (days: string) =>
    words('').concat(
      readSeasonFile({
        path: 'season.yaml',
        text: hill.replace('trays: 3', `closed: [{${days}}], trays: 3`),
      }).faults.map((one) => one.message),
    );
  expect(closed('from: 2027-03-01, to: 2027-03-01, why: repair')).toEqual([]);
  expect(closed('from: 2027-03-02, to: 2027-03-01')).toHaveLength(1);
});

test('a pen has its birds, or is eggs bought; a setter has trays, or is a hen', () => {
  const found = (from: string, to: string) =>
    readSeasonFile({ path: 'season.yaml', text: hill.replace(from, to) });
  const pond = /pond: .*/.exec(hill)![0];
  const bought = found(pond, 'pond: {line: harlequin, bought: {from: Elder, on: 2027-03-10}}');
  expect(bought.faults).toEqual([]);
  expect(bought.file!.values.pens.pond).toMatchObject({ hens: 0, males: 0, joined: '2027-03-10' });
  expect(found(pond, 'pond: {line: harlequin}').faults.map((one) => one.code)).toEqual([
    'missing-key',
    'missing-key',
    'missing-key',
  ]);
  const hen = (keys: string) =>
    readSeasonFile({
      path: 'season.yaml',
      text: hill.replace('setters:', `setters:\n  hilda: {tray_holds: {chicken: 11}${keys}}`),
    });
  expect(hen(', broody: true').file!.values.setters.hilda).toMatchObject({ trays: 1 });
  expect(hen('').faults.map((one) => one.code)).toEqual(['missing-key']);
  expect(hen(', broody: true, trays: 2').faults).toHaveLength(1);
  expect(hen(', broody: true, watts: 90').faults.map((one) => one.message)).toEqual([
    expect.stringContaining('a broody hen is no machine'),
  ]);
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
