// What birds, parents, bands, scores and pens say that cannot be so: a row that is right, and one beside it.
import { expect, test } from 'vitest';
import { nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { inOrder } from '../../text/fault.ts';
import { flockOf } from '../birds/bird-list.ts';
import { birdFaults, birdsInOrder } from './birds.ts';

const yaml = (more = '') => `format: traybook/1
season: 2027
place: {name: Hollin Bank, timezone: Europe/London}
lines: {dorking: {species: chicken}}
setters: {cabinet: {trays: 3, tray_holds: {chicken: 40}}}
hatchers: {lower: {holds: {chicken: 90}}}
traits: {mass: {kind: body-weight}}
${more.startsWith('pens:') ? '' : 'pens: {north: {line: dorking, hens: 9, males: 1, joined: 2027-02-01}, south: {line: dorking, hens: 9, males: 1, joined: 2027-02-01}}\n'}${more}`;
/** `name key value …`: a bird of birds.csv, entered on the day of its hatch or on the first of the year. */
const bird = (text: string): Written => {
  const [name = '', ...cells] = text.split(' ');
  const values = Object.fromEntries(
    cells.flatMap((cell, index) => (index % 2 === 0 ? [[cell, cells[index + 1]!]] : [])),
  );
  const on = values.on ?? values.born ?? '2027-01-01';
  return ['bird', on, { line: 'dorking', ...values, bird: name.replaceAll('_', ' '), on }];
};
const score = (on: string, of: string, trait = 'mass'): Written => [
  'score',
  on,
  { bird: of, trait, value: 9 },
];
const faultsOf = (written: readonly Written[], more = '') =>
  inOrder(birdFaults(flockOf([seasonOf(yaml(more), written)]), true));
const told = (birds: readonly string[], rows: readonly Written[] = [], more = '') =>
  faultsOf([...birds.map(bird), ...rows], more).map(
    ({ code, at, message }) => `${code} ${at.file}:${at.line} ${message}`,
  );

const old = 'Old sex male born 2025-04-01';
const hen = 'Hen sex female born 2025-04-01';

test.each<[string, readonly string[], readonly string[]]>([
  ['a book in order', [old, hen, 'A sire Old dam Hen born 2027-03-27'], []],
  ['a parent whose sex is not known yet', ['Elm', 'A sire Elm', 'B dam Elm'], []],
  [
    'parents that are in no book',
    [old, 'A sire Od dam Nobody'],
    [
      'unknown-bird log/birds.csv:3 sire: expected a bird of birds.csv, found "Od"',
      'unknown-bird log/birds.csv:3 dam: expected a bird of birds.csv, found "Nobody"',
    ],
  ],
  [
    'parents of the other sex',
    [old, hen, 'A sire Hen dam Old'],
    [
      'wrong-sex log/birds.csv:4 sire: expected a male, found Hen, a female',
      'wrong-sex log/birds.csv:4 dam: expected a female, found Old, a male',
    ],
  ],
  [
    'a loop',
    ['A sire B', 'B sire A'],
    ['own-ancestor log/birds.csv:2 A is its own ancestor: A ← B ← A'],
  ],
  [
    'its own parent, told once',
    ['A sire A born 2027-03-27'],
    ['own-ancestor log/birds.csv:2 A is its own ancestor: A ← A'],
  ],
  [
    'a loop that is not of the first bird',
    ['Z sire A', 'A sire B', 'B dam C', 'C sire A'],
    ['own-ancestor log/birds.csv:3 A is its own ancestor: A ← B ← C ← A'],
  ],
])('%s', (_, birds, expected) => {
  expect(told(birds)).toEqual(expected);
});

// The youngest age of a parent stands in seeds/breeding.yaml: seventy days.
test.each([
  ['2027-03-01', '2027-05-10', null],
  ['2027-03-01', '2027-05-09', '69 days old then'],
  ['2027-03-01', '2027-03-02', '1 day old then'],
  ['2027-03-01', '2027-03-01', 'born the same day'],
  ['2027-03-01', '2027-02-28', 'born only on 2027-03-01'],
  ['', '2027-02-28', null],
  ['2027-03-01', '', null],
])('a father born on %j, its chick on %j: %s', (father, chick, age) => {
  const born = (on: string) => (on === '' ? 'on 2027-05-20' : `born ${on} on 2027-05-20`);
  expect(told([`Old ${born(father)}`, `A sire Old ${born(chick)}`])).toEqual(
    age === null
      ? []
      : [`parent-too-young log/birds.csv:3 A, born ${chick}: its sire Old was ${age}`],
  );
});

test.each<[string, string, string, readonly string[]]>([
  [
    '2027-03-26',
    'A',
    'mass',
    ['score-before-birth log/scores.csv:2 A was scored on 2027-03-26 and hatched on 2027-03-27'],
  ],
  ['2027-03-27', 'A', 'mass', []],
  ['2027-03-28', 'A', 'mass', []],
  ['2027-01-01', 'Elm', 'mass', []],
  [
    '2027-03-28',
    'A',
    'mas',
    ['unknown-trait log/scores.csv:2 trait: expected a trait of season.yaml, found "mas"'],
  ],
  [
    '2027-03-28',
    'B',
    'mass',
    ['unknown-bird log/scores.csv:2 bird: expected a bird of birds.csv, found "B"'],
  ],
])('scored on %s: %s for %s', (on, of, trait, expected) => {
  // Where there are earlier seasons a bird may be of one of them.
  const rows = [score(on, of, trait)];
  expect(told(['A born 2027-03-27', 'Elm'], rows, 'previous: [../2026]\n')).toEqual(expected);
});

test('hints name what is near, or what to add; a wrong trait is but a warning', () => {
  const [near, far, bad] = faultsOf(
    ['Oak', 'A sire Oaj', 'B sire Willow'].map(bird).concat([score('2027-03-28', 'A', 'mas')]),
  );
  expect([bad!.hint, bad!.severity]).toEqual(['did you mean mass?', 'warning']);
  expect([near!.hint, near!.severity]).toEqual(['did you mean Oak?', 'error']);
  expect(far!.hint).toBe('known: Oak, A, B');
  expect(faultsOf([bird('A sire Oaj')], '')[0]!.hint).toBe('known: A');
  expect(faultsOf([bird(old), bird('A dam Old')])[0]!.hint).toBe(
    'Old is entered in log/birds.csv:2',
  );
  expect(faultsOf([score('2027-03-28', 'A')], 'previous: [../2026]\n')[0]!.hint).toBe(
    'traybook add bird A …',
  );
});

/** Pens with sires, joined on the first of February but where they say otherwise. */
const pens = (...keys: readonly string[]) =>
  `pens:\n${keys.map((one, index) => `  ${['north', 'south', 'east'][index]}: {line: dorking, hens: 4, males: 1, ${one.includes('joined') ? '' : 'joined: 2027-02-01, '}${one}}\n`).join('')}`;
test.each<[string, string, readonly string[]]>([
  ['names that are known', pens('sires: [Old], dams: [Hen]'), []],
  [
    'a name that is not',
    pens('sires: [Old], dams: [Hen, Nobody]'),
    [
      'unknown-bird season.yaml:9 pens › north › dams: expected a bird of birds.csv, found "Nobody"',
    ],
  ],
  [
    'a hen as a sire',
    pens('sires: [Hen]'),
    ['wrong-sex season.yaml:9 pens › north › sires: expected a male, found Hen, a female'],
  ],
  ['gone, and known', 'gone: [Old]\n', []],
  [
    'gone, and not known',
    'gone: [Old, Od]\n',
    ['unknown-bird season.yaml:9 gone: expected a bird of birds.csv, found "Od"'],
  ],
  [
    'in two pens',
    pens('sires: [Old]', 'sires: [Old]'),
    ['bird-in-two-pens season.yaml:10 Old is in north and south at once'],
  ],
  [
    'in three pens, told once',
    pens('sires: [Old]', 'sires: [Old]', 'sires: [Old]'),
    ['bird-in-two-pens season.yaml:10 Old is in north and south at once'],
  ],
  [
    'in the second and third',
    pens(
      'sires: [Old], parted: 2027-02-02',
      'sires: [Old], joined: 2027-02-02',
      'sires: [Old], joined: 2027-02-09',
    ),
    ['bird-in-two-pens season.yaml:11 Old is in south and east at once'],
  ],
  [
    'twice in one pen',
    pens('sires: [Old, Old]'),
    ['bird-in-two-pens season.yaml:9 Old is named twice in north'],
  ],
  [
    'parted a day after the other is joined',
    pens('sires: [Old], parted: 2027-03-02', 'sires: [Old], joined: 2027-03-01'),
    ['bird-in-two-pens season.yaml:10 Old is in north and south at once'],
  ],
  [
    'parted on the day the other is joined',
    pens('sires: [Old], parted: 2027-03-01', 'sires: [Old], joined: 2027-03-01'),
    [],
  ],
  [
    'the later pen written first',
    pens('sires: [Old], joined: 2027-03-01', 'sires: [Old], parted: 2027-03-01'),
    [],
  ],
])('pens: %s', (_, more, expected) => {
  expect(told([old, hen], [], more)).toEqual(expected);
});

test.each<[string, readonly string[], readonly string[], string?]>([
  [
    'a band twice',
    ['A band 7', 'B band 7'],
    ['log/birds.csv:3 B: A wears 7 already (log/birds.csv:2)'],
  ],
  [
    'three of a band',
    ['A band 7', 'B band 7', 'C band 7'],
    [
      'log/birds.csv:3 B: A wears 7 already (log/birds.csv:2)',
      'log/birds.csv:4 C: A wears 7 already (log/birds.csv:2)',
    ],
  ],
  ['a band of one that is gone', ['A band 7', 'B band 7'], [], 'gone: [A]\n'],
  ['a band of one that came before one that is gone', ['B band 7', 'A band 7'], [], 'gone: [A]\n'],
  [
    'the first entered keeps the band, whatever day it was of',
    ['A band 7 on 2027-02-01', 'B band 7 on 2027-01-01'],
    ['log/birds.csv:3 B: A wears 7 already (log/birds.csv:2)'],
  ],
  ['the same bird of a pen again', ['A set D1 pen south', 'A set D1 pen south'], []],
  ['no band, two names', ['A', 'B'], []],
  ['the same bird again', ['A band 7 set D1', 'A band 7 set D1'], []],
  [
    'the same name of another hatch',
    ['A set D1', 'A set D2'],
    ['log/birds.csv:3 A: A of D1 wears that name already (log/birds.csv:2)'],
  ],
  [
    'the same name of another pen',
    ['A set D1 pen north', 'A set D1 pen south'],
    ['log/birds.csv:3 A: A of D1 wears that name already (log/birds.csv:2)'],
  ],
  ['the same bird, whose pen is filled in', ['A set D1', 'A set D1 pen south'], []],
  ['the same bird, whose pen is left out', ['A set D1 pen south', 'A set D1'], []],
  [
    'a band that is the name of another bird',
    ['7', 'A band 7'],
    ['log/birds.csv:3 A: 7 wears 7 already (log/birds.csv:2)'],
  ],
])('bands: %s', (_, birds, expected, more = '') => {
  expect(told(birds, [], more).filter((one) => one.startsWith('band-worn'))).toEqual(
    expected.map((one) => `band-worn ${one}`),
  );
});

test.each([
  ['of one hatch', 'D1', 'punch 3', ['1: 0 of D1 wears punch 3 already (log/birds.csv:2)']],
  ['of two hatches', 'D2', 'punch 3', []],
  ['of two hatches, on a ring', 'D2', '3', ['1: 0 of D1 wears 3 already (log/birds.csv:2)']],
])('one mark on two birds %s', (_, set, band, expected) => {
  const rows: Written[] = ['D1', set].map((one, at) => [
    'bird',
    '2027-01-01',
    { bird: `${at}`, line: 'dorking', band, set: one },
  ]);
  expect(faultsOf(rows).map((one) => one.message)).toEqual(expected);
});

test('of rows not yet in their file, those written go first, then the bands in order', () => {
  const season = seasonOf(
    yaml(),
    ['A band 7', 'B10 band 7', 'B9 band 7'].map((one) => bird(one)),
  );
  const [a, ...others] = season.rows.bird;
  const at = { file: 'log/birds.csv', line: Number.POSITIVE_INFINITY, column: 1 };
  const rows = [...others.map((row) => ({ ...row, recordedAt: a!.recordedAt, at })), a!];
  const flock = flockOf([{ ...season, rows: { ...season.rows, bird: rows } }]);
  expect(birdFaults(flock, true).map((one) => one.message)).toEqual([
    'B9: A wears 7 already (log/birds.csv:2)',
    'B10: A wears 7 already (log/birds.csv:2)',
  ]);
  const unwritten = { ...season.rows, bird: rows.slice(0, 2) };
  expect(birdFaults(flockOf([{ ...season, rows: unwritten }]), true)[0]!.message).toBe(
    'B10: B9 wears 7 already',
  );
});

/** Three eggs of one pen set, or of two; of each pen two chicks hatched. */
const hatched = (two: boolean): Written[] => [
  ['eggs', '2027-02-20', { pen: 'north', kept: 30 }],
  ['eggs', '2027-02-20', { pen: 'south', kept: 30 }],
  ['set', '2027-02-21', { set: 'D1', pen: 'north', setter: 'cabinet', tray: 1, eggs: 3 }],
  ...(two
    ? ([
        ['set', '2027-02-21', { set: 'D1', pen: 'south', setter: 'cabinet', tray: 1, eggs: 3 }],
      ] as const)
    : []),
  ['transfer', '2027-03-11', { set: 'D1', pen: 'north', hatcher: 'lower', moved: 3 }],
  ...(two
    ? ([
        ['transfer', '2027-03-11', { set: 'D1', pen: 'south', hatcher: 'lower', moved: 3 }],
      ] as const)
    : []),
  ['hatch', '2027-03-14T08:00', { set: 'D1', pen: 'north', hatched: 2 }],
  ...(two
    ? ([['hatch', '2027-03-14T08:00', { set: 'D1', pen: 'south', hatched: 2 }]] as const)
    : []),
];
const told3 = 'D1 north: 3 birds entered, and 2 chicks hatched';
test.each<[string, boolean, readonly string[], readonly string[], string?]>([
  ['as many as hatched', false, ['A set D1', 'B set D1'], []],
  ['one more', false, ['A set D1', 'B set D1', 'C set D1'], [told3]],
  ['one of them again', false, ['A set D1', 'B set D1', 'A set D1'], []],
  ['one more, with its pen', false, ['A set D1 pen north', 'B set D1', 'C set D1'], [told3]],
  ['of a pen the set has not', false, ['A set D1 pen south', 'B set D1', 'C set D1'], [told3]],
  [
    'two of each pen',
    true,
    ['A set D1 pen north', 'B set D1 pen north', 'C set D1 pen south', 'D set D1 pen south'],
    [],
  ],
  [
    'three of one',
    true,
    ['A set D1 pen south', 'B set D1 pen south', 'C set D1 pen south'],
    ['D1 south: 3 birds entered, and 2 chicks hatched'],
  ],
  [
    'of two pens and nobody says which',
    true,
    ['A set D1', 'B set D1', 'C set D1', 'D set D1', 'E set D1'],
    [],
  ],
  ['of no set', false, ['A', 'B', 'C'], []],
  ['of a set of an earlier season', false, ['A set E9', 'B set E9', 'C set E9'], []],
  [
    'born on the day of setting',
    false,
    ['A', 'B', 'C'].map((one) => `${one} set D1 born 2027-02-21`),
    [told3],
  ],
  [
    'born before it: of an earlier set of that name',
    false,
    ['A', 'B', 'C'].map((one) => `${one} set D1 born 2027-02-20`),
    [],
  ],
  [
    'it may be of an earlier season, whose day nobody wrote',
    false,
    ['A set D1', 'B set D1', 'C set D1'],
    [],
    'previous: [../2026]\n',
  ],
])('birds entered of a set: %s', (_, two, birds, expected, more = '') => {
  const found = faultsOf([...hatched(two), ...birds.map(bird)], more);
  expect(found.map((one) => one.message)).toEqual(expected);
  for (const one of found)
    expect([one.code, one.at.line, one.set]).toEqual(['out-of-balance', birds.length + 1, 'D1']);
});

test('of the birds of earlier seasons their own books tell', () => {
  const before = seasonOf(yaml(), [bird('A dam Old'), bird(old)]);
  const now = seasonOf(yaml('previous: [../2026]\n'), [bird('B dam Old')]);
  expect(birdFaults(flockOf([before, now]), true).map((one) => one.message)).toEqual([
    'dam: expected a female, found Old, a male',
  ]);
});

test('where earlier seasons are not read, an unknown name may stand in one of them', () => {
  const checked = (more: string) =>
    birdsInOrder({
      season: seasonOf(yaml(more), [bird('A sire Nobody')]),
      now: nowAt('2027-04-01'),
    });
  expect(checked('')).toHaveLength(1);
  expect(checked('previous: [../2026]\n')).toEqual([]);
});
