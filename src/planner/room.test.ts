import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf } from '../../tests/support/season.ts';
import { liveAmong, mostForRoom } from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { daysBetween } from '../text/day.ts';
import { problemOf } from './problem.ts';
import { hasRoom, roomFor } from './room.ts';

const now = nowAt('2027-02-20');

const goals =
  'goals: [{line: sussex, want: chicks, count: 9, by: 2027-06-01}, {line: harlequin, want: chicks, count: 9, by: 2027-06-01}]\n';

function asks(yaml: string, on: string, eggs: number, line = 'sussex'): boolean {
  const season = seasonOf(`${yaml}${goals}`);
  const p = problemOf(season, now, farmRates(season, [], now.day));
  const pool = p.pools.findIndex(({ pen }) => pen.line.name === line);
  const room = roomFor(p, p.pools[pool]!.calendar, []);
  return hasRoom(p, room, pool, daysBetween(now.day, day(on)), eggs);
}
const planned = (...lines: string[]) =>
  `${hill}plan:\n${lines.map((line) => `  - ${line}\n`).join('')}`;
const set = (name: string, on: string, trays: string, pen = 'orchard') =>
  `{set: ${name}, on: ${on}, setter: cabinet, trays: [${trays}], shares: {${pen}: 20}, hatcher: lower}`;

test('a hatcher takes as many eggs as it has places, however many of them live', () => {
  const good = { mean: 0.95, sd: 0.03 };
  expect([59, 60, 61].map((holds) => mostForRoom(good, holds))).toEqual([59, 60, 61]);
  // Of eggs that live less often more are set, by the law of live eggs: 0.8 n + 1.6449 √(0.16 n) ≤ 60 up to 68.
  expect(mostForRoom({ mean: 0.8, sd: 0 }, 60)).toBe(68);
  const beside = (eggs: number) => mostForRoom(good, 60, [liveAmong(eggs, good, 60)]);
  expect([0, 1, 30, 59, 60].map(beside)).toEqual([60, 59, 30, 1, 0]);
});

describe('room for one more set', () => {
  test('an empty cabinet takes what its trays and the hatcher hold', () => {
    expect(asks(hill, '2027-03-06', 57)).toBe(true);
    expect(asks(hill, '2027-03-06', 121)).toBe(false);
    expect(asks(hill, '2027-03-06', 119)).toBe(false);
  });
  test('trays that lie full until transfer are not there', () => {
    const full = planned(set('A1', '2027-03-01', '1, 2, 3'));
    // Moved on day 18: a tray emptied in the morning may be filled that day, and the hatcher is free again.
    expect(asks(full, '2027-03-18', 20)).toBe(false);
    expect(asks(full, '2027-03-19', 20)).toBe(true);
  });
  test('a hatcher holds one set at a time and is cleaned before the next', () => {
    const one = planned(set('A1', '2027-03-06', '1'));
    expect(asks(one, '2027-03-06', 20)).toBe(false);
    expect(asks(one, '2027-03-10', 20)).toBe(false);
    expect(asks(one, '2027-03-13', 20)).toBe(true);
    // A duck's hatch a week later meets a hen's.
    expect(asks(one, '2027-02-27', 20, 'harlequin')).toBe(false);
    expect(asks(one, '2027-03-06', 20, 'harlequin')).toBe(true);
  });
  test('sets that hatch on one day may lie together where the keeper says so', () => {
    const shared = planned(set('A1', '2027-03-06', '1')).replace(
      'clean_days: 1',
      'clean_days: 1, one_set_at_a_time: false',
    );
    expect(asks(shared, '2027-03-06', 20)).toBe(true);
    expect(asks(shared, '2027-03-06', 78)).toBe(false);
    expect(asks(shared, '2027-03-07', 20)).toBe(false);
  });
  test('nothing is set out of season, and nothing lies in a machine that is closed', () => {
    const until = (to: string) => `${hill}setting: {to: ${to}}\n`;
    expect(asks(until('2027-03-05'), '2027-03-06', 20)).toBe(false);
    expect(asks(until('2027-03-06'), '2027-03-06', 20)).toBe(true);
    // Moved on 24 March, open for the last time on the 28th.
    const closed = (from: string) =>
      hill.replace('clean_days: 1', `clean_days: 1, closed: [{from: ${from}, to: 2027-04-02}]`);
    expect(asks(closed('2027-03-20'), '2027-03-06', 20)).toBe(false);
    expect(asks(closed('2027-04-01'), '2027-03-06', 20)).toBe(true);
  });
  test('no date of it falls on a day off', () => {
    const off = (days: string) => `${hill}days_off: {${days}}\n`;
    expect(asks(off('set: [sat]'), '2027-03-06', 20)).toBe(false);
    expect(asks(off('hatch: [sat]'), '2027-03-06', 20)).toBe(false);
    expect(asks(off('transfer: [wed]'), '2027-03-06', 20)).toBe(false);
    expect(asks(off('transfer: [thu]'), '2027-03-06', 20)).toBe(true);
  });
});
