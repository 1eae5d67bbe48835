import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import type { Season } from '../season/model.ts';
import { conflictsOf } from './checks/index.ts';
import { occupancyOf } from './occupancy.ts';
import { tasksOf } from './tasks/tasks.ts';

const now = nowAt('2027-03-01');
const planOf = (...lines: string[]) =>
  `${hill}plan:\n${lines.map((line) => `  - ${line}\n`).join('')}`;
const spans = (season: Season) => {
  const { trays, hatchers } = occupancyOf(season, now);
  return {
    trays: trays.map((one) => [one.set, one.tray, one.from, one.to]),
    hatchers: hatchers.map((one) => [one.set, one.hatcher, one.from, one.emptyOn, one.to]),
  };
};
const conflicts = (yaml: string) => conflictsOf(seasonOf(yaml), now).map((one) => one.code);

// Common practice, no source: three trays in weekly rotation over one still hatcher give a hatch a
// week. Set on Saturdays, moved on Wednesdays, hatched on Saturdays, taken off and cleaned by Sunday.
const weekly = planOf(
  '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}}',
  '{set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 30}}',
  '{set: A3, on: 2027-03-20, trays: [3], shares: {orchard: 30}}',
  '{set: A4, on: 2027-03-27, trays: [1], shares: {orchard: 30}}',
);

test('three trays in weekly rotation over one hatcher', () => {
  expect(spans(seasonOf(weekly))).toEqual({
    trays: [
      ['A1', 1, '2027-03-06', '2027-03-24'],
      ['A2', 2, '2027-03-13', '2027-03-31'],
      ['A3', 3, '2027-03-20', '2027-04-07'],
      ['A4', 1, '2027-03-27', '2027-04-14'],
    ],
    hatchers: [
      ['A1', 'lower', '2027-03-24', '2027-03-28', '2027-03-29'],
      ['A2', 'lower', '2027-03-31', '2027-04-04', '2027-04-05'],
      ['A3', 'lower', '2027-04-07', '2027-04-11', '2027-04-12'],
      ['A4', 'lower', '2027-04-14', '2027-04-18', '2027-04-19'],
    ],
  });
  expect(conflicts(weekly)).toEqual([]);
});

test('a tray emptied in the morning may be filled that day, and not the day before', () => {
  const refill = (day: string) =>
    planOf(
      '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}}',
      `{set: A2, on: ${day}, trays: [1], shares: {orchard: 30}}`,
    );
  expect(conflicts(refill('2027-03-24'))).toEqual([]);
  expect(conflicts(refill('2027-03-23'))).toEqual(['tray-taken']);
});

test('a rhythm of six or five days fits, of four meets the cleaning, of three the chicks', () => {
  const rhythm = (day: string) =>
    planOf(
      '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}}',
      `{set: A2, on: ${day}, trays: [2], shares: {orchard: 30}}`,
    );
  expect(conflicts(rhythm('2027-03-12'))).toEqual([]);
  expect(conflicts(rhythm('2027-03-11'))).toEqual([]);
  expect(conflicts(rhythm('2027-03-10'))).toEqual(['hatcher-not-clean']);
  expect(conflicts(rhythm('2027-03-09'))).toEqual(['hatcher-taken', 'mixed-stage']);
});

test('two species at once: 21 and 28 days set on one weekday share the hatcher days', () => {
  const both = planOf(
    '{set: D1, on: 2027-03-06, trays: [1], shares: {pond: 20}}',
    '{set: A1, on: 2027-03-13, trays: [2], shares: {orchard: 30}}',
  );
  const { hatchers } = spans(seasonOf(both));
  expect(hatchers.map(([set, , from]) => [set, from])).toEqual([
    ['A1', '2027-03-31'],
    ['D1', '2027-03-31'],
  ]);
  expect(conflicts(both)).toContain('hatcher-taken');
  const two = both
    .replace('hatchers:', 'hatchers:\n  upper: {holds: {duck: 40}}')
    .replace('{pond: 20}', '{pond: 20}, hatcher: upper')
    .replace('{orchard: 30}', '{orchard: 30}, hatcher: lower');
  expect(conflicts(two)).toEqual([]);
});

test('a set that names no hatcher takes the first that holds its kind and is free', () => {
  const two = planOf(
    '{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}}',
    '{set: A2, on: 2027-03-07, trays: [2], shares: {orchard: 30}}',
  ).replace(
    'hatchers:',
    'hatchers:\n  ducks: {holds: {duck: 40}}\n  upper: {holds: {chicken: 60}}',
  );
  expect(spans(seasonOf(two)).hatchers.map(([set, hatcher]) => [set, hatcher])).toEqual([
    ['A1', 'upper'],
    ['A2', 'lower'],
  ]);
});

test('single stage: without a hatcher the eggs stay in their tray until the last opening', () => {
  const single = planOf('{set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}}').replace(
    /hatchers:\n.*\n/,
    '',
  );
  expect(spans(seasonOf(single))).toEqual({
    trays: [['A1', 1, '2027-03-06', '2027-03-28']],
    hatchers: [],
  });
});

test('what is recorded counts as it was, and what is late holds its place until today', () => {
  const rows: Written[] = [['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 30 }]];
  const late = occupancyOf(seasonOf(hill, rows), nowAt('2027-03-26'));
  expect(late.trays[0]!.to).toBe('2027-03-26');
  const moved = occupancyOf(
    seasonOf(hill, [...rows, ['transfer', '2027-03-23', { set: 'A1', moved: 28 }]]),
    nowAt('2027-03-26'),
  );
  expect(moved.trays[0]!.to).toBe('2027-03-23');
  expect(moved.hatchers[0]).toMatchObject({ from: '2027-03-23', eggs: 28, state: 'actual' });
});

test('a tray is free after the look that left nothing alive in it', () => {
  const dead = occupancyOf(
    seasonOf(hill, [
      ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 3 }],
      ['candling', '2027-03-14', { set: 'A1', clear: 3 }],
    ]),
    nowAt('2027-03-16'),
  );
  expect(dead.trays[0]!.to).toBe('2027-03-14');
  expect(dead.hatchers).toEqual([]);
});

const ids = (written: readonly Written[], day: string, days = 1) =>
  tasksOf(seasonOf(hill, written), nowAt(day), days)
    .filter((one) => !one.daily)
    .map((one) => `${one.state} ${one.id}`);
const laidAndSet: Written[] = [
  ['eggs', '2027-03-05', { pen: 'orchard', kept: 20 }],
  ['set', '2027-03-06T18:00', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
];

test('a task is due, then overdue, until a record or a tick settles it', () => {
  expect(ids(laidAndSet, '2027-03-12')).toEqual([]);
  expect(ids(laidAndSet, '2027-03-12', 3)).toEqual(['coming A1/candle-1']);
  expect(ids(laidAndSet, '2027-03-13')).toEqual(['due A1/candle-1']);
  expect(ids(laidAndSet, '2027-03-20')).toEqual(['overdue A1/candle-1']);
  expect(
    ids([...laidAndSet, ['candling', '2027-03-13', { set: 'A1', clear: 1 }]], '2027-03-20'),
  ).toEqual([]);
  expect(
    ids([...laidAndSet, ['tick', '2027-03-13', { task: 'A1/candle-1' }]], '2027-03-20'),
  ).toEqual([]);
});

test('one day’s work stands in the order it is done', () => {
  const candled: Written[] = [...laidAndSet, ['candling', '2027-03-13', { set: 'A1', clear: 1 }]];
  expect(ids(candled, '2027-03-24')).toEqual(['due A1/transfer', 'due A1/damp-up']);
});

test('chicks off one share end the damping and watching; the other share is still to be opened', () => {
  const rows: Written[] = [
    ...laidAndSet,
    ['eggs', '2027-03-05', { pen: 'yard', kept: 10 }],
    ['set', '2027-03-06T18:00', { set: 'A1', pen: 'yard', tray: 1, eggs: 10 }],
    ['transfer', '2027-03-24', { set: 'A1', pen: 'orchard', moved: 20 }],
    ['transfer', '2027-03-24', { set: 'A1', pen: 'yard', moved: 10 }],
    ['hatch', '2027-03-27', { set: 'A1', pen: 'orchard', hatched: 20, final: 'yes' }],
  ];
  const eggs = (now: string) => ids(rows, now).filter((one) => !one.endsWith('/brood'));
  expect(eggs('2027-03-28')).toEqual(['due A1/hatch']);
  // Sixty hours after noon of the 27th, over a clock change.
  expect(eggs('2027-03-30')).toEqual(['due A1/hatch', 'due A1/last-opening', 'due A1/clean']);
  rows.push(['hatch', '2027-03-28', { set: 'A1', pen: 'yard', hatched: 10, final: 'yes' }]);
  expect(eggs('2027-03-28')).toEqual(['due A1/clean']);
});

test('a look that finds nobody out leaves the hatch and the warm brooder to do, and the watch until its day', () => {
  const rows: Written[] = [
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }],
    ['candling', '2027-03-13', { set: 'A1', clear: 2 }],
    ['transfer', '2027-03-24', { set: 'A1', moved: 18 }],
    ['hatch', '2027-03-26T20:00', { set: 'A1', hatched: 0 }],
  ];
  const yaml = `${hill}brooders:\n  barn: {area: 3, heat: {kind: lamp, watts: 250, count: 2}}\n`;
  const due = (more: Written[], now = '2027-03-27') =>
    tasksOf(seasonOf(yaml, [...rows, ...more]), nowAt(now), 1).map((one) => one.id);
  const watched = ['2027-03-24', '2027-03-25', '2027-03-26', '2027-03-27', '2027-03-28'];
  expect(watched.filter((day) => due([], day).includes('A1/watch'))).toEqual(watched.slice(2, 3));
  for (const task of ['A1/hatch', 'A1/warm']) {
    expect(due([])).toContain(task);
    expect(due([['hatch', '2027-03-27', { set: 'A1', hatched: 9 }]])).not.toContain(task);
  }
});
