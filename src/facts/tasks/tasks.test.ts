// The order of a morning, and what a task is to it: the day before its window, in it, and past it.
import { expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { tasksOf } from './tasks.ts';

const set = (name: string, on: string, tray = 1, eggs = 9): Written => [
  'set',
  on,
  { set: name, pen: 'orchard', tray, eggs },
];
const told = (rows: readonly Written[], now: string, days = 1, file = hill) =>
  tasksOf(seasonOf(file, rows), nowAt(now), days).map(
    (one) => [one.id, one.class, one.state] as const,
  );
const of = (id: string, ...args: Parameters<typeof told>) =>
  told(...args)
    .find(([one]) => one === id)
    ?.slice(1);

test('a task is coming, can wait, must be today, is overdue, and after a fortnight is routine', () => {
  const at = (now: string) => of('A1/candle-1', [set('A1', '2027-03-06')], now, 3);
  // Candled from the 13th to the 16th.
  expect(at('2027-03-10')).toBeUndefined();
  expect(at('2027-03-11')).toEqual(['coming', 'coming']);
  expect(at('2027-03-12')).toEqual(['coming', 'coming']);
  expect(at('2027-03-13')).toEqual(['can', 'due']);
  expect(at('2027-03-15')).toEqual(['can', 'due']);
  expect(at('2027-03-16')).toEqual(['must', 'due']);
  expect(at('2027-03-17')).toEqual(['must', 'overdue']);
  const closed: Written[] = [
    set('A1', '2027-03-06'),
    ['transfer', '2027-03-24', { set: 'A1', moved: 9 }],
    ['hatch', '2027-03-27', { set: 'A1', hatched: 9, final: 'yes' }],
  ];
  const clean = (now: string) => of('A1/clean', closed, now);
  expect(clean('2027-03-28')).toEqual(['must', 'overdue']);
  expect(clean('2027-04-10')).toEqual(['must', 'overdue']);
  expect(clean('2027-04-11')).toEqual(['routine', 'overdue']);
});

test('of one class what is due sooner goes first; what is to come, by its first day', () => {
  const rows = [set('A1', '2027-03-07', 1), set('A2', '2027-03-06', 2), set('A3', '2027-03-08', 3)];
  const order = (now: string, days: number) =>
    told(rows, now, days).flatMap(([id, is]) => (id.includes('candle') ? [`${id} ${is}`] : []));
  expect(order('2027-03-10', 9)).toEqual(['A2', 'A1', 'A3'].map((one) => `${one}/candle-1 coming`));
  expect(order('2027-03-15', 1)).toEqual(['A2', 'A1', 'A3'].map((one) => `${one}/candle-1 can`));
  expect(tasksOf(seasonOf(hill, rows), nowAt('2027-03-15'), 1).every(({ daily }) => !daily)).toBe(
    false,
  );
  expect(
    tasksOf(seasonOf(hill, rows), nowAt('2027-03-15'), 1).filter(
      ({ kind, daily }) => kind === 'candle' && daily,
    ),
  ).toEqual([]);
});

test('what comes back every day is routine, live birds and eggs that move are of their own class', () => {
  const rows = brood('A', 'orchard', '2027-03-01', 20, 'hoop');
  const classes = (now: string, more: readonly Written[] = []) =>
    new Map(told([...rows, ...more], now, 1, brooded).map(([id, is]) => [id, is]));
  expect(classes('2027-03-08').get('hoop/heat/2027-03-08')).toBe('live');
  expect(classes('2027-03-08').get('A/2027-03-08/water')).toBe('routine');
  const hot: Written = ['weather', '2027-03-08', { low: 15, high: 30 }];
  expect(classes('2027-03-08', [hot]).get('hoop/2027-03-08/shade')).toBe('live');
  const waiting = rows.filter(([name]) => name !== 'group');
  expect(of('SA/brood', waiting, '2027-03-02', 1, brooded)).toEqual(['live', 'due']);
  const eggs = (now: string) =>
    told(
      [set('A1', '2027-03-06'), ['transfer', '2027-03-24', { set: 'A1', moved: 9 }]],
      now,
    ).filter(([, is]) => is === 'eggs');
  expect(eggs('2027-03-27').map(([id]) => id)).toEqual(['A1/hatch', 'A1/damp-up']);
  expect(eggs('2027-03-28').map(([id]) => id)).toEqual([
    'A1/hatch',
    'A1/last-opening',
    'A1/damp-up',
  ]);
});

test('live birds first, then eggs, then what must be, what can wait, the round, what is coming', () => {
  const rows: Written[] = [
    ...brood('A', 'orchard', '2027-03-01', 20),
    set('B1', '2027-02-18', 2),
    set('C1', '2027-02-26', 3),
    set('D1', '2027-03-01', 4),
    set('E1', '2027-03-03', 5),
  ];
  const order = told(rows, '2027-03-08', 4, brooded);
  const classes = order.map(([, is]) => is);
  const ranks = ['live', 'eggs', 'must', 'can', 'routine', 'coming'];
  expect([...new Set(classes)]).toEqual(ranks);
  expect(classes).toEqual([...classes].sort((a, b) => ranks.indexOf(a) - ranks.indexOf(b)));
  const ids = order.map(([id]) => id);
  // C1 must be candled by today, D1 can be until three days from now.
  expect(ids).toEqual(
    expect.arrayContaining(['barn/heat/2027-03-08', 'B1/transfer', 'C1/candle-1', 'D1/candle-1']),
  );
  const coming = order.filter(([, is]) => is === 'coming').map(([id]) => id);
  expect(coming.indexOf('E1/candle-1')).toBeGreaterThanOrEqual(0);
});

test('within a class what was to be done first stands first, and of one day in the order of the work', () => {
  const two: Written[] = [set('B1', '2027-03-04', 2), set('A1', '2027-03-06')];
  const ids = (now: string, days: number, rows = two) =>
    told(rows, now, days)
      .map(([id]) => id)
      .filter((id) => id.startsWith('A1') || id.startsWith('B1'));
  expect(ids('2027-03-10', 4)).toEqual(['B1/candle-1', 'A1/candle-1']);
  expect(ids('2027-03-10', 4, [two[1]!, two[0]!])).toEqual(['B1/candle-1', 'A1/candle-1']);
  expect(ids('2027-03-18', 1, [two[1]!, two[0]!])).toEqual(['B1/candle-1', 'A1/candle-1']);
  const candled: Written[] = [
    ...two,
    ['candling', '2027-03-13', { set: 'A1', clear: 1 }],
    ['candling', '2027-03-13', { set: 'B1', clear: 1 }],
  ];
  expect(ids('2027-03-24', 1, candled)).toEqual([
    'B1/warm',
    'B1/transfer',
    'A1/transfer',
    'B1/damp-up',
    'A1/damp-up',
    'B1/watch',
  ]);
});

test('a tick settles a task on whatever day, and nothing else does by its name alone', () => {
  const rows = [set('A1', '2027-03-06')];
  const tick = (task: string): Written => ['tick', '2027-03-13', { task }];
  expect(of('A1/candle-1', [...rows, tick('A1/candle-1')], '2027-03-14')).toBeUndefined();
  expect(of('A1/candle-1', [...rows, tick('A1/candle')], '2027-03-14')).toBeDefined();
});
