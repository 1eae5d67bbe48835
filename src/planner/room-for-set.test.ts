import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf } from '../../tests/support/season.ts';
import { occupancyOf } from '../facts/occupancy.ts';
import { hasRoom } from './room-for-set.ts';

const now = nowAt('2027-02-20');

function asks(yaml: string, on: string, eggs: number, line = 'sussex'): boolean {
  const season = seasonOf(yaml);
  return hasRoom(season, occupancyOf(season, now), season.lines.get(line)!, day(on), eggs);
}
const planned = (...lines: string[]) =>
  `${hill}plan:\n${lines.map((line) => `  - ${line}\n`).join('')}`;
const set = (name: string, on: string, trays: string, pen = 'orchard') =>
  `{set: ${name}, on: ${on}, setter: cabinet, trays: [${trays}], shares: {${pen}: 20}, hatcher: lower}`;

describe('room for one more set', () => {
  test('an empty cabinet takes what its trays and the hatcher hold', () => {
    expect(asks(hill, '2027-03-06', 60)).toBe(true);
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
  test('no date of it falls on a day off', () => {
    const off = (days: string) => `${hill}days_off: {${days}}\n`;
    expect(asks(off('set: [sat]'), '2027-03-06', 20)).toBe(false);
    expect(asks(off('hatch: [sat]'), '2027-03-06', 20)).toBe(false);
    expect(asks(off('transfer: [wed]'), '2027-03-06', 20)).toBe(false);
    expect(asks(off('transfer: [thu]'), '2027-03-06', 20)).toBe(true);
  });
});
