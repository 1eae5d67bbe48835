import { expect, test } from 'vitest';
import { parseOn } from '../text/day.ts';
import { effectiveRows } from './effective.ts';
import type { Row } from './record.ts';

const row = (entry: string, recorded: string, amends: string | null, isVoid = false): Row => ({
  entry,
  recorded,
  recordedAt: Date.parse(recorded),
  on: parseOn('2027-03-06')!,
  values: {},
  by: '',
  note: '',
  amends,
  isVoid,
  at: { file: 'log/eggs.csv', line: 2, column: 1 },
});
const NINE = '2027-03-06T09:00:00Z';
const TEN = '2027-03-06T10:00:00Z';

test('an amendment of an amendment stands though both were written in one second', () => {
  const rows = [row('zz', NINE, null), row('yy', NINE, 'zz'), row('aa', NINE, 'yy')];
  for (const order of [rows, [...rows].reverse()]) {
    const { rows: standing, versions } = effectiveRows(order);
    expect(standing.map(({ entry }) => entry)).toEqual(['aa']);
    expect(
      versions()
        .get('zz')!
        .map(({ entry }) => entry),
    ).toEqual(['zz', 'yy', 'aa']);
  }
});

test('a clock set back does not bring an amended version to life again', () => {
  const { rows } = effectiveRows([
    row('a', TEN, null),
    row('b', TEN, 'a'),
    row('c', NINE, 'b', true),
  ]);
  expect(rows).toEqual([]);
});

test('of two amendments of one row the last recorded stands, and both are named', () => {
  const { rows, faults } = effectiveRows([
    row('a', NINE, null),
    row('b', TEN, 'a'),
    row('c', NINE, 'a'),
  ]);
  expect(rows.map(({ entry }) => entry)).toEqual(['b']);
  expect(faults).toHaveLength(1);
  expect(faults[0]).toMatchObject({ code: 'amended-twice' });
  expect(faults[0]!.message).toMatch(/b and c.*b stands/);
});

test('amendments in a circle are told, not followed for ever', () => {
  const { rows, faults } = effectiveRows([row('a', NINE, 'b'), row('b', NINE, 'a')]);
  expect(rows).toEqual([]);
  expect(faults.map(({ code }) => code)).toEqual(['amends-unknown', 'amends-unknown']);
});
