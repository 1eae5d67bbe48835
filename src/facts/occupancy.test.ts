// Who is in which tray and hatcher, and until when: chickens are moved on day 18, hatch on day 21 and
// are out a day later; what is late holds its place until today.
import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import type { Expected } from './expected.ts';
import { occupancyOf } from './occupancy.ts';

const set = (name: string, on: string, more = {}): Written => [
  'set',
  on,
  { set: name, pen: 'orchard', tray: 1, eggs: 9, ...more },
];
const moved = (name: string, on: string, count: number, more = {}): Written => [
  'transfer',
  on,
  { set: name, moved: count, ...more },
];
const two = hill.replace('hatchers:', 'hatchers:\n  upper: {holds: {chicken: 60}, clean_days: 2}');
const planOf = (yaml: string, ...lines: string[]) =>
  `${yaml}plan:\n${lines.map((one) => `  - {${one}}\n`).join('')}`;
const told = (
  rows: readonly Written[],
  now: string,
  file = hill,
  expected: Expected | null = null,
) => {
  const { trays, hatchers } = occupancyOf(seasonOf(file, rows), nowAt(now), expected);
  return {
    trays: trays.map((one) => [one.set, one.tray, one.from, one.to, one.eggs, one.state]),
    hatchers: hatchers.map((one) => [
      one.set,
      one.hatcher,
      one.from,
      one.emptyOn,
      one.to,
      one.eggs,
      one.state,
    ]),
  };
};

test('the shares of a set in one tray lie there as one, each tray by itself', () => {
  const rows = [
    set('A1', '2027-03-06'),
    set('A1', '2027-03-06', { pen: 'yard', eggs: 5 }),
    set('A1', '2027-03-06', { pen: 'yard', tray: 2, eggs: 4 }),
    set('A2', '2027-03-06', { tray: '' }),
  ];
  expect(told(rows, '2027-03-07').trays).toEqual([
    ['A1', 1, '2027-03-06', '2027-03-24', 14, 'actual'],
    ['A1', 2, '2027-03-06', '2027-03-24', 4, 'actual'],
  ]);
});

test('a share that was dead, or finished without a transfer, goes into no hatcher', () => {
  const dead: Written = ['candling', '2027-03-14', { set: 'A1', clear: 9 }];
  expect(told([set('A1', '2027-03-06'), dead], '2027-03-20')).toEqual({
    trays: [['A1', 1, '2027-03-06', '2027-03-14', 9, 'actual']],
    hatchers: [],
  });
  const closed: Written = [
    'hatch',
    '2027-03-28',
    { set: 'A1', hatched: 5, unpipped: 4, final: 'yes' },
  ];
  expect(told([set('A1', '2027-03-06'), closed], '2027-03-29')).toEqual({
    trays: [['A1', 1, '2027-03-06', '2027-03-28', 9, 'actual']],
    hatchers: [],
  });
});

test('the shares of a set in one hatcher are there as one, from the first to the last', () => {
  const rows = [
    set('A1', '2027-03-06'),
    set('A1', '2027-03-06', { pen: 'yard', tray: 2, eggs: 5 }),
    moved('A1', '2027-03-23', 8, { pen: 'orchard' }),
  ];
  expect(told(rows, '2027-03-23').hatchers).toEqual([
    ['A1', 'lower', '2027-03-23', '2027-03-28', '2027-03-29', 13, 'actual'],
  ]);
  // The hatcher is empty when the last of them is out.
  const out = (pen: string, on: string): Written => [
    'hatch',
    on,
    { set: 'A1', pen, hatched: 5, final: 'yes' },
  ];
  const all = [
    ...rows,
    moved('A1', '2027-03-24', 5, { pen: 'yard' }),
    out('orchard', '2027-03-26'),
    out('yard', '2027-03-27'),
  ];
  expect(told(all, '2027-03-29').hatchers.map(([, , from, emptyOn]) => [from, emptyOn])).toEqual([
    ['2027-03-23', '2027-03-27'],
  ]);
  const expected: Expected = {
    eggsADay: () => 0,
    liveEggs: (_, pen) => ({ mean: pen === 'yard' ? 4 : 99, variance: 2 }),
    chicks: () => [],
  };
  const span = occupancyOf(seasonOf(hill, rows), nowAt('2027-03-23'), expected).hatchers[0]!;
  // What was moved is sure; of the rest the expected count and its variance.
  expect([span.eggs, span.variance]).toEqual([12, 2]);
  const both = occupancyOf(seasonOf(hill, rows.slice(0, 2)), nowAt('2027-03-23'), expected)
    .hatchers[0]!;
  expect([both.eggs, both.variance]).toEqual([103, 4]);
});

test('the eggs of a plan are shared out over its trays', () => {
  const plan = planOf(
    hill,
    'set: A1, on: 2027-03-06, trays: [1, 2, 3], shares: {orchard: 6, yard: 5}',
  );
  expect(told([], '2027-03-01', plan).trays.map(([, tray, , , eggs]) => [tray, eggs])).toEqual([
    [1, 4],
    [2, 4],
    [3, 3],
  ]);
});

test('a share not yet moved goes where the others of its set went, where the plan says, or to the only one', () => {
  const share = [
    set('A1', '2027-03-06'),
    set('A1', '2027-03-06', { pen: 'yard', tray: 2, eggs: 5 }),
  ];
  const where = (rows: readonly Written[], file: string, now = '2027-03-24') =>
    told(rows, now, file).hatchers.map(([name, hatcher]) => [name, hatcher]);
  const first = moved('A1', '2027-03-24', 9, { pen: 'orchard', hatcher: 'lower' });
  expect(where([...share, first], two)).toEqual([['A1', 'lower']]);
  const finished: Written = [
    'hatch',
    '2027-03-27',
    { set: 'A1', pen: 'orchard', hatched: 9, final: 'yes' },
  ];
  const plan = (hatcher: string) =>
    planOf(two, `set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 9}, hatcher: ${hatcher}`);
  expect(where(share, plan('lower'))).toEqual([['A1', 'lower']]);
  expect(where(share, plan('upper'))).toEqual([['A1', 'upper']]);
  expect(where([...share, first, finished], plan('upper'), '2027-03-28')).toEqual([
    ['A1', 'lower'],
    ['A1', 'upper'],
  ]);
  expect(where(share, hill)).toEqual([['A1', 'lower']]);
});

test('of two hatchers a set takes the first that holds its kind and is free, in the order of their days', () => {
  const line = (name: string, on: string, pen = 'orchard', more = '') =>
    `set: ${name}, on: ${on}, trays: [1], shares: {${pen}: 9}${more}`;
  const where = (...lines: string[]) =>
    told([], '2027-03-01', planOf(two, ...lines)).hatchers.map(([name, hatcher, from]) => [
      name,
      hatcher,
      from,
    ]);
  expect(where(line('A1', '2027-03-06'), line('B1', '2027-03-07'))).toEqual([
    ['A1', 'upper', '2027-03-24'],
    ['B1', 'lower', '2027-03-25'],
  ]);
  expect(where(line('B1', '2027-03-07'), line('A1', '2027-03-06'))).toEqual([
    ['A1', 'upper', '2027-03-24'],
    ['B1', 'lower', '2027-03-25'],
  ]);
  expect(where(line('B1', '2027-03-06'), line('A1', '2027-03-06'))).toEqual([
    ['A1', 'upper', '2027-03-24'],
    ['B1', 'lower', '2027-03-24'],
  ]);
  // The upper one holds no ducks; it is free again two days of cleaning after its chicks are out.
  expect(where(line('D1', '2027-03-06', 'pond')).map(([, hatcher]) => hatcher)).toEqual(['lower']);
  expect(where(line('A1', '2027-03-06'), line('B1', '2027-03-12')).map(([, one]) => one)).toEqual([
    'upper',
    'upper',
  ]);
  expect(where(line('A1', '2027-03-06'), line('B1', '2027-03-11')).map(([, one]) => one)).toEqual([
    'upper',
    'lower',
  ]);
  // Who names a hatcher has it, whoever comes first.
  expect(
    where(line('A1', '2027-03-06'), line('B1', '2027-03-07', 'orchard', ', hatcher: upper')),
  ).toEqual([
    ['A1', 'lower', '2027-03-24'],
    ['B1', 'upper', '2027-03-25'],
  ]);
  // Where none is free, the first that holds it; where none holds it, the first.
  const full = [line('A1', '2027-03-06'), line('B1', '2027-03-06'), line('C1', '2027-03-06')];
  expect(where(...full).map(([, one]) => one)).toEqual(['upper', 'lower', 'upper']);
  const none = two.replace('holds: {chicken: 60, duck: 40}', 'holds: {chicken: 60}');
  const ducks = told([], '2027-03-01', planOf(none, line('D1', '2027-03-06', 'pond')));
  expect(ducks.hatchers.map(([, one]) => one)).toEqual(['upper']);
});

test('spans stand in the order of their days and names, recorded and planned', () => {
  const plan = planOf(hill, 'set: B1, on: 2027-02-27, trays: [2], shares: {orchard: 9}');
  const rows = [
    set('C1', '2027-02-20'),
    moved('C1', '2027-03-10', 9),
    set('A1', '2027-02-20', { tray: 3 }),
    moved('A1', '2027-03-10', 9),
  ];
  expect(told(rows, '2027-02-25', plan).hatchers.map(([name, , from]) => [name, from])).toEqual([
    ['A1', '2027-03-10'],
    ['C1', '2027-03-10'],
    ['B1', '2027-03-17'],
  ]);
});
