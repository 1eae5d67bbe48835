// Names of season.yaml that must point at something in it: one that does, and one that does not.
import { expect, test } from 'vitest';
import { hill } from '../../tests/support/season.ts';
import { readSeasonFile } from './read-file.ts';

const faults = (text: string) => readSeasonFile({ path: 'season.yaml', text }).faults;
/** Faults as `code word`, the word being that at which they stand. */
const told = (text: string) =>
  faults(text).map(({ code, at }) => {
    const line = text.split('\n')[at.line - 1]!;
    return `${code} ${/^[^\s,:}\]]*/.exec(line.slice(at.column - 1))![0]}`;
  });
const plan = (line: string, yaml = hill) =>
  `${yaml}plan:\n  - {set: A1, on: 2027-03-06, ${line}}\n`;
const fine = 'trays: [1], shares: {orchard: 9}';
const two = hill.replace('setters:', 'setters:\n  attic: {trays: 2, tray_holds: {chicken: 40}}');
const hen = '  hazel: {broody: true, tray_holds: {chicken: 12}}\n';
const withHen = hill.replace('hatchers:', `${hen}hatchers:`);
const henAlone = hill.replace(/setters:\n.*\n/, `setters:\n${hen}`);

test.each([
  ['a line of a species of the table', hill, []],
  ['a line of no species', hill.replace('species: duck', 'species: ducks'), ['unknown-name ducks']],
  [
    'a pen of no line',
    hill.replace('line: harlequin', 'line: harlequins'),
    ['unknown-name harlequins'],
  ],
  ['a tray for no species', hill.replace('duck: 30', 'ducks: 30'), ['unknown-name ducks']],
  ['a hatcher for no species', hill.replace('duck: 40', 'ducks: 40'), ['unknown-name ducks']],
  ['days of storage by species', hill.replace('max_days: 8', 'max_days: {chicken: 8}'), []],
  [
    'days of storage of no species',
    hill.replace('max_days: 8', 'max_days: {ducks: 8}'),
    ['unknown-name ducks'],
  ],
  [
    'a goal of a line',
    `${hill}goals:\n  - {line: sussex, want: chicks, count: 5, by: 2027-06-01}\n`,
    [],
  ],
  [
    'a goal of no line',
    `${hill}goals:\n  - {line: susex, want: chicks, count: 5, by: 2027-06-01}\n`,
    ['unknown-name susex'],
  ],
  [
    'an order of no line',
    `${hill}orders:\n  - {for: Market, line: susex, want: chicks, count: 5, by: 2027-06-01}\n`,
    ['unknown-name susex'],
  ],
  ['rates of a line', `${hill}rates: {sussex: {fertile: 0.9}}\n`, []],
  ['rates of no line', `${hill}rates: {susex: {fertile: 0.9}}\n`, ['unknown-name susex']],
  ['pens of next season', `${hill}next_pens: {hill: {line: sussex, hens: 3, males: 1}}\n`, []],
  [
    'a pen of next season of no line',
    `${hill}next_pens: {hill: {line: susex, hens: 3, males: 1}}\n`,
    ['unknown-name susex'],
  ],
  [
    'a pen parted on the day it was joined',
    hill.replace('joined: 2027-01-30}', 'joined: 2027-01-30, parted: 2027-01-30}'),
    [],
  ],
  [
    'a pen parted before it was joined',
    hill.replace('joined: 2027-01-30}', 'joined: 2027-01-30, parted: 2027-01-29}'),
    ['bad-value 2027-01-29'],
  ],
  [
    'a hatcher with the name of a setter',
    hill.replace('  lower:', '  cabinet:'),
    ['name-taken cabinet'],
  ],
  [
    'a hen with the name of a brooder',
    `${hill.replace('hatchers:', '  hazel: {broody: true, tray_holds: {chicken: 12}}\nhatchers:')}brooders: {hazel: {area: 1}}\n`,
    ['name-taken hazel'],
  ],
  [
    'a hen with the name of a run',
    `${hill.replace('hatchers:', '  hazel: {broody: true, tray_holds: {chicken: 12}}\nhatchers:')}runs: {hazel: {area: 1}}\n`,
    ['name-taken hazel'],
  ],
  ['a machine with the name of a brooder', `${hill}brooders: {cabinet: {area: 1}}\n`, []],
  ['a kind like a species', `${hill}kinds: {swan: {like: goose}}\n`, []],
  ['a kind like no species', `${hill}kinds: {swan: {like: gose}}\n`, ['unknown-name gose']],
  [
    'a kind with the name of a species',
    `${hill}kinds: {duck: {like: goose}}\n`,
    ['name-taken duck'],
  ],
  [
    'a kind that says too little of itself',
    `${hill}kinds: {swan: {group: waterfowl}}\n`,
    ['missing-key {group'],
  ],
  [
    'a kind with figures of its own',
    `${hill}kinds: {swan: {group: waterfowl, hatch_day: 35, transfer_day: 32, candle_days: [10]}}\n`,
    [],
  ],
  [
    'a line of a kind',
    `${hill.replace('species: duck', 'species: swan')}kinds: {swan: {like: goose}}\n`,
    [],
  ],
  ...['override: {feed: {female: F, male: F}}', 'like: goose, feed: {female: F, male: F}'].flatMap(
    (keys, at) =>
      ['duck', 'ducks'].map((table): [string, string, string[]] => [
        `a feed table ${table} of a ${at === 0 ? 'line' : 'kind'}`,
        (at === 0
          ? hill.replace('species: duck', `species: duck, ${keys}`)
          : `${hill}kinds: {swan: {${keys}}}\n`
        ).replaceAll('F', `{table: ${table}, times: 1}`),
        table === 'duck' ? [] : ['unknown-name ducks', 'unknown-name ducks'],
      ]),
  ),
  ['a planned set', plan(fine), []],
  ['a set of a setter', plan(`setter: cabinet, hatcher: lower, ${fine}`), []],
  ['a set of no setter', plan(`setter: cabinett, ${fine}`), ['unknown-name cabinett']],
  ['a set of no hatcher', plan(`hatcher: lowr, ${fine}`), ['unknown-name lowr']],
  ['a set of no pen', plan('trays: [1], shares: {orchrd: 9}'), ['unknown-name orchrd']],
  ['the last tray', plan('trays: [1, 3], shares: {orchard: 9}'), []],
  ['one tray more', plan('trays: [1, 4], shares: {orchard: 9}'), ['bad-value 4']],
  ['two setters and none named', plan(fine, two), ['missing-key {set']],
  ['a setter that is no name', plan(`setter: 7, ${fine}`, two), ['bad-value 7']],
  ['a plan of what is no set', `${two}plan: [7]\n`, ['bad-value 7']],
  [
    'setters that are none',
    plan(fine, hill.replace(/setters:\n.*\n/, 'setters: 7\n')),
    ['bad-value 7'],
  ],
  ['a machine and a hen, and none named', plan(fine, withHen), []],
  ['a tray of the machine', plan('trays: [3], shares: {orchard: 9}', withHen), []],
  ['a hen alone', plan('trays: [1], shares: {orchard: 9}', henAlone), []],
  ['two setters and one named', plan(`setter: attic, ${fine}`, two), []],
  [
    'a tray of the setter named',
    plan('setter: attic, trays: [3], shares: {orchard: 9}', two),
    ['bad-value 3'],
  ],
  ['two pens of one species', plan('trays: [1], shares: {orchard: 9, yard: 9}'), []],
  [
    'two pens of two species',
    plan('trays: [1], shares: {orchard: 9, pond: 9}'),
    ['wrong-species {orchard'],
  ],
  [
    'two pens, one of a line that is none',
    plan('trays: [1], shares: {orchard: 9, pond: 9}', hill.replace('line: harlequin', 'line: x')),
    ['unknown-name x'],
  ],
  [
    'two sets without a name',
    `${hill}plan:\n${'  - {on: 2027-03-06, trays: [1], shares: {orchard: 9}}\n'.repeat(2)}`,
    ['missing-key {on', 'missing-key {on'],
  ],
  ['a tray in words', plan('trays: ["4"], shares: {orchard: 9}'), ['bad-value "4"']],
  [
    'a set planned twice',
    `${plan(fine)}  - {set: A1, on: 2027-03-13, trays: [2], shares: {orchard: 9}}\n`,
    ['name-taken A1'],
  ],
  [
    'two sets',
    `${plan(fine)}  - {set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 9}}\n`,
    [],
  ],
])('%s', (_, yaml, expected) => {
  expect(told(yaml)).toEqual(expected);
});

test('a name that is none is told with its path, what it should be, and the nearest', () => {
  const [fault] = faults(`${hill}rates: {susex: {fertile: 0.9}}\n`);
  expect(fault!.message).toBe('rates › susex: expected the name of a line, found "susex"');
  expect(fault!.hint).toBe('did you mean sussex?');
  const [goal] = faults(`${hill}goals:\n  - {line: x, want: chicks, count: 5, by: 2027-06-01}\n`);
  expect(goal!.message).toBe('goals › 1 › line: expected the name of a line, found "x"');
  const species = (name: string) =>
    faults(hill.replace('species: duck', `species: ${name}`))[0]!.hint;
  expect(species('swan')).toContain('kinds: {swan: {like: goose}}; of the table: chicken');
  expect(species('duk')).toBe('did you mean duck?');
  const [mixed] = faults(plan('trays: [1], shares: {orchard: 9, pond: 9}'));
  expect([mixed!.message, mixed!.set]).toEqual([
    'plan: the set "A1" mixes chicken and duck; a set is of one species',
    'A1',
  ]);
  // Where nothing is named there is nothing to choose from.
  const bare = plan(`hatcher: lowr, ${fine}`, hill.replace(/hatchers:\n.*\n/, ''));
  expect(faults(bare)[0]!.hint).toBe('no hatcher is named in season.yaml');
});
