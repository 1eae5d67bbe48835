// Days on which work is not done, machines are closed and eggs are not set: the day before, on, after.
// Chickens are moved on day 18 and hatch on day 21 (seeds/species.yaml).
import { describe, expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { reasonsAgainst } from './feasible.ts';

const told = (code: string, yaml: string, today: string, rows: readonly Written[] = []) =>
  reasonsAgainst(seasonOf(yaml, rows), nowAt(today), null)
    .filter((one) => one.code === code)
    .map((one) => one.message);
const planned = `${hill}plan:\n  - {set: A1, on: 2027-03-06, setter: cabinet, trays: [1], shares: {orchard: 20}}\n`;
const rows: Written[] = [['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }]];
const moved: Written[] = [...rows, ['transfer', '2027-03-24', { set: 'A1', moved: 18 }]];
const closed: Written[] = [
  ...moved,
  ['hatch', '2027-03-27', { set: 'A1', hatched: 16, unpipped: 2, final: 'yes' }],
];
const none: Written[] = [...rows, ['transfer', '2027-03-24', { set: 'A1', moved: 0, quit: 20 }]];

describe('a day off', () => {
  const off = (work: string, date: string, yaml = hill) =>
    `${yaml}days_off: {${work}: [${date}]}\n`;
  const [wednesday, saturday] = ['wed', 'sat'];

  test('of a planned set: its setting, transfer and hatch, each by its own list', () => {
    expect(told('day-off', off('set', saturday, planned), '2027-03-01')).toHaveLength(1);
    expect(told('day-off', off('transfer', wednesday, planned), '2027-03-01')).toHaveLength(1);
    expect(told('day-off', off('hatch', saturday, planned), '2027-03-01')).toHaveLength(1);
    expect(told('day-off', off('set', wednesday, planned), '2027-03-01')).toEqual([]);
  });
  test.each([
    ['the day before', '2027-03-23', 1],
    ['the day itself', '2027-03-24', 1],
    ['the day after: it was done', '2027-03-25', 0],
  ] as const)('the transfer of a set that is in, on %s', (_, today, times) => {
    expect(told('day-off', off('transfer', wednesday), today, rows)).toHaveLength(times);
  });
  test('is no matter once the eggs are moved, the set is closed or nothing is left alive', () => {
    expect(told('day-off', off('transfer', wednesday), '2027-03-24', moved)).toEqual([]);
    expect(told('day-off', off('hatch', saturday), '2027-03-27', moved)).toHaveLength(1);
    expect(told('day-off', off('hatch', saturday), '2027-03-27', closed)).toEqual([]);
    expect(told('day-off', off('hatch', saturday), '2027-03-27', none)).toEqual([]);
  });
});

describe('a closed machine', () => {
  const shut = (from: string, to: string, why = '') =>
    planned.replace(
      'cabinet: {',
      `cabinet: {closed: [{from: ${from}, to: ${to}${why === '' ? '' : `, why: ${why}`}}], `,
    );

  test.each([
    ['it opens again on the day of setting', '2027-03-01', '2027-03-05', 0],
    ['its last closed day is the day of setting', '2027-03-01', '2027-03-06', 1],
    ['it closes on the last day in the tray', '2027-03-23', '2027-03-30', 1],
    ['it closes on the day they are moved', '2027-03-24', '2027-03-30', 0],
  ] as const)('%s', (_, from, to, times) => {
    expect(told('machine-closed', shut(from, to), '2027-03-01')).toHaveLength(times);
  });
  test('what is past was done', () => {
    const at = (today: string) =>
      told('machine-closed', shut('2027-03-08', '2027-03-10').split('plan:')[0]!, today, rows);
    expect([at('2027-03-10').length, at('2027-03-11').length]).toEqual([1, 0]);
  });
  test('is told with its days, and with why where that is written', () => {
    expect(told('machine-closed', shut('2027-03-08', '2027-03-10'), '2027-03-01')).toEqual([
      'cabinet: closed from 2027-03-08 to 2027-03-10, and A1 is there from 2027-03-06 to 2027-03-23',
    ]);
    expect(
      told('machine-closed', shut('2027-03-08', '2027-03-10', 'repair'), '2027-03-01'),
    ).toEqual([
      'cabinet: closed from 2027-03-08 to 2027-03-10 (repair), and A1 is there from 2027-03-06 to 2027-03-23',
    ]);
  });
});

describe('the season of setting', () => {
  const within = (from: string, to: string) => `${planned}setting: {from: ${from}, to: ${to}}\n`;

  test.each([
    ['begins the day after', '2027-03-07', '2027-05-31', ['eggs are set from 2027-03-07']],
    ['begins that day', '2027-03-06', '2027-05-31', []],
    ['ends that day', '2027-02-01', '2027-03-06', []],
    ['ends the day before', '2027-02-01', '2027-03-05', ['eggs are set until 2027-03-05']],
  ] as const)('%s', (_, from, to, words) => {
    expect(told('out-of-season', within(from, to), '2027-03-01')).toEqual(
      words.map((one) => `A1: planned for 2027-03-06; ${one}`),
    );
  });
  test('a line of the plan is asked on its day, and no more after it', () => {
    const late = within('2027-03-07', '2027-05-31');
    expect(told('out-of-season', late, '2027-03-06')).toHaveLength(1);
    expect(told('out-of-season', late, '2027-03-07')).toEqual([]);
  });
});
