// Goals that no set can serve: the day before, on and after the last day of setting, and of the goal.
import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { goalFaults } from './goals.ts';

// 21 days from 10 March is 31 March; a day more, when chicks are counted, is 1 April.
const GOAL = 'line: sussex, want: chicks, count: 10, by: 2027-04-01';
const file = (goal: string, yaml = hill, plan = '') =>
  `${yaml}goals:\n  - {${goal}}\n${plan === '' ? '' : `plan:\n  - {${plan}}\n`}`;
const told = (now: string, yaml = file(GOAL), rows: readonly Written[] = []) =>
  goalFaults({ season: seasonOf(yaml, rows), now: nowAt(now) });
const messages = (...args: Parameters<typeof told>) => told(...args).map((one) => one.message);
const set = (on: string, pen = 'orchard'): Written[] => [
  ['set', on, { set: 'A1', pen, tray: 1, eggs: 9 }],
];

test('eggs can be set for it until its last day, and it is told when that is past', () => {
  expect(messages('2027-03-10')).toEqual([]);
  expect(messages('2027-03-11')).toEqual([
    '10 sussex chicks by 2027-04-01: eggs for it had to be set by 2027-03-10',
  ]);
  expect(messages('2027-04-01')).toHaveLength(1);
  expect(messages('2027-04-02')).toEqual([
    '10 sussex chicks by 2027-04-01: the day is past, and nothing was set for it',
  ]);
  expect(told('2027-04-02')[0]).toMatchObject({ code: 'goal-out-of-reach', at: { line: 17 } });
});

test('a set that may still give the birds serves it, on its last day and not a day later', () => {
  const rows = (on: string, pen?: string) => messages('2027-04-02', file(GOAL), set(on, pen));
  expect(rows('2027-03-10')).toEqual([]);
  expect(rows('2027-03-11')).toHaveLength(1);
  expect(rows('2027-03-10', 'pond')).toHaveLength(1);
  const plan = (on: string, pen = 'orchard') =>
    messages('2027-03-11', file(GOAL, hill, `set: A1, on: ${on}, trays: [1], shares: {${pen}: 9}`));
  expect(plan('2027-03-10')).toEqual([]);
  expect(plan('2027-03-12')).toHaveLength(1);
  expect(plan('2027-03-10', 'pond')).toHaveLength(1);
});

test('its line needs a pen with hens, or bought eggs', () => {
  const empty = hill.replace('hens: 9, males: 1', 'hens: 0, males: 1');
  expect(messages('2027-03-01', file(GOAL, empty))).toEqual([]);
  const none = empty.replace('hens: 8, males: 1', 'hens: 0, males: 1');
  expect(told('2027-03-01', file(GOAL, none))).toMatchObject([
    {
      code: 'pen-without-hens',
      severity: 'error',
      pen: 'orchard',
      message: 'orchard: no hens, and 10 sussex chicks by 2027-04-01 are wanted',
      hint: 'say how many under hens',
    },
  ]);
  // Eggs that are set already may still give them.
  expect(told('2027-03-11', file(GOAL, none), set('2027-03-10'))).toMatchObject([
    { code: 'pen-without-hens', severity: 'warning' },
  ]);
  const bought = none.replace(
    'hens: 0, males: 1, joined: 2027-01-30}',
    'bought: {from: Elm Row, on: 2027-03-01, eggs: 60}}',
  );
  expect(messages('2027-03-01', file(GOAL, bought))).toEqual([]);
  const line = hill.replace('pens:', '  plain: {species: chicken}\npens:');
  expect(told('2027-03-01', file(GOAL.replace('sussex', 'plain'), line))).toMatchObject([
    {
      message: '10 plain chicks by 2027-04-01: no pen holds plain',
      pen: null,
      hint: 'add a pen with line: plain',
    },
  ]);
});
