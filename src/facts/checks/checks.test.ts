import { expect, test } from 'vitest';
import { codesOf, hill, type Written } from '../../../tests/support/season.ts';

const plan = (...lines: string[]) =>
  `${hill}plan:\n${lines.map((line) => `  - ${line}\n`).join('')}`;
const eggs: Written[] = [
  ['eggs', '2027-03-03', { pen: 'orchard', kept: 40, hens: 40 }],
  ['eggs', '2027-03-05', { pen: 'pond', kept: 40, hens: 40 }],
];
const put = (set: string, tray: number, count: number, on = '2027-03-06'): Written => [
  'set',
  on,
  { set, pen: 'orchard', tray, eggs: count },
];
const finished: Written[] = [
  ...eggs,
  put('A1', 1, 20),
  ['candling', '2027-03-13', { set: 'A1', clear: 2 }],
  ['transfer', '2027-03-24', { set: 'A1', moved: 18 }],
  ['hatch', '2027-03-27', { set: 'A1', hatched: 16, unpipped: 2, final: 'yes' }],
];

test('a season in order has no conflict', () => {
  expect(codesOf(hill, finished, '2027-04-01')).toEqual([]);
});

test('more hens that sit or moult than are there, or that went', () => {
  const change = (what: string, birds: number, on = '2027-03-03'): Written => [
    'pen-change',
    on,
    { pen: 'orchard', change: what, birds, sex: 'female' },
  ];
  const codes = (...changes: Written[]) => codesOf(hill, changes, '2027-03-09');
  expect(codes(change('broody', 9), change('laying', 9, '2027-03-04'))).toEqual([]);
  expect(codes(change('moulting', 10))).toEqual(['out-of-balance']);
  expect(codes(change('died', 10))).toContain('out-of-balance');
});

type Case = [code: string, yaml: string, written: Written[], now: string];
test.each<Case>([
  ['tray-taken', hill, [...eggs, put('A1', 1, 20), put('A2', 1, 10, '2027-03-08')], '2027-03-09'],
  [
    'tray-overfull',
    hill.replace('chicken: 40', 'chicken: 19'),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  [
    'hatcher-overfull',
    hill.replace('chicken: 60', 'chicken: 19'),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  [
    'hatcher-taken',
    plan(
      '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 9}}',
      '{set: A2, on: 2027-03-06, trays: [2], shares: {yard: 9}}',
    ),
    [],
    '2027-03-01',
  ],
  [
    'hatcher-not-clean',
    plan(
      '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 9}}',
      '{set: A2, on: 2027-03-10, trays: [2], shares: {yard: 9}}',
    ),
    [],
    '2027-03-01',
  ],
  [
    'mixed-stage',
    plan(
      '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 9}}',
      '{set: A2, on: 2027-03-08, trays: [2], shares: {yard: 9}}',
    ).replace('clean_days: 1', 'one_set_at_a_time: false'),
    [],
    '2027-03-01',
  ],
  ['eggs-too-old', hill, [...eggs, put('A1', 1, 20, '2027-03-12')], '2027-03-13'],
  [
    'eggs-not-there',
    hill,
    [...eggs, put('A1', 1, 40), put('A2', 2, 1, '2027-03-07')],
    '2027-03-08',
  ],
  [
    'pen-not-ready',
    hill.replace(
      'orchard: {line: sussex, hens: 9, males: 1, joined: 2027-01-30}',
      'orchard: {line: sussex, hens: 9, males: 1, joined: 2027-03-01}',
    ),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  [
    'pen-not-pure',
    hill.replace('hens: 9, males: 1', 'hens: 9, males: 1, males_changed: [2027-02-20]'),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  ['too-few-males', hill.replace('hens: 9', 'hens: 30'), [], '2027-03-09'],
  [
    'day-off',
    plan('{set: A1, on: 2027-03-07, trays: [1], shares: {orchard: 9}}').concat(
      'days_off: {set: [sun]}\n',
    ),
    [],
    '2027-03-01',
  ],
  [
    'out-of-balance',
    hill,
    [...finished.slice(0, -1), ['hatch', '2027-03-27', { set: 'A1', hatched: 16, final: 'yes' }]],
    '2027-04-01',
  ],
  [
    'order-of-events',
    hill,
    [...eggs, put('A1', 1, 20), ['candling', '2027-03-05', { set: 'A1', clear: 1 }]],
    '2027-03-09',
  ],
])('%s', (code, yaml, written, now) => {
  expect(codesOf(yaml, written, now)).toContain(code);
});

// The same seasons one step inside each limit.
test.each<Case>([
  ['tray-taken', hill, [...eggs, put('A1', 1, 20), put('A2', 2, 10, '2027-03-08')], '2027-03-09'],
  [
    'tray-overfull',
    hill.replace('chicken: 40', 'chicken: 20'),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  [
    'hatcher-overfull',
    hill.replace('chicken: 60', 'chicken: 20'),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  ['eggs-too-old', hill, [...eggs, put('A1', 1, 20, '2027-03-11')], '2027-03-13'],
  [
    'eggs-not-there',
    hill,
    [...eggs, put('A1', 1, 39), put('A2', 2, 1, '2027-03-07')],
    '2027-03-08',
  ],
  [
    'pen-not-ready',
    hill.replace(
      'orchard: {line: sussex, hens: 9, males: 1, joined: 2027-01-30}',
      'orchard: {line: sussex, hens: 9, males: 1, joined: 2027-02-24}',
    ),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  [
    'pen-not-pure',
    hill.replace('hens: 9, males: 1', 'hens: 9, males: 1, males_changed: [2027-02-10]'),
    [...eggs, put('A1', 1, 20)],
    '2027-03-09',
  ],
  ['too-few-males', hill.replace('hens: 9', 'hens: 10'), [], '2027-03-09'],
])('no %s within the limit', (code, yaml, written, now) => {
  expect(codesOf(yaml, written, now)).not.toContain(code);
});
