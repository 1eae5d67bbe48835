import fc from 'fast-check';
import { expect, test } from 'vitest';
import { rowsOf, type Written } from '../../tests/support/season.ts';
import { effectiveRows } from './effective.ts';

const first: Written = ['candling', '2027-03-13', { set: 'A1', clear: 2 }];
const amend = (entry: number, clear: number, more = {}): Written => [
  'candling',
  '2027-03-13',
  { set: 'A1', clear, amends: String(entry).padStart(10, '0'), ...more },
];
const clears = (written: readonly Written[]) =>
  effectiveRows(rowsOf('candling', written)).rows.map((row) => row.values.clear);

test('an amendment replaces its row whole, and an amendment of it that', () => {
  expect(clears([first, amend(0, 3)])).toEqual([3]);
  expect(clears([first, amend(0, 3), amend(1, 4)])).toEqual([4]);
  expect(effectiveRows(rowsOf('candling', [first, amend(0, 3), amend(1, 4)])).faults).toEqual([]);
});

test('a void row takes the whole chain back', () => {
  expect(clears([first, amend(0, 3), amend(1, 3, { state: 'void' })])).toEqual([]);
});

test('two amendments of one entry: the last recorded stands, and both are named', () => {
  const { rows, faults } = effectiveRows(rowsOf('candling', [first, amend(0, 3), amend(0, 5)]));
  expect(rows.map((row) => row.values.clear)).toEqual([5]);
  expect(faults.map((one) => [one.code, one.severity])).toEqual([['amended-twice', 'warning']]);
  expect(faults[0]!.message).toContain('0000000001 and 0000000002');
});

test('an amendment of nothing, or of itself, is told and counts for nothing', () => {
  for (const written of [
    [first, amend(7, 3)],
    [first, amend(1, 3)],
  ]) {
    const { rows, faults } = effectiveRows(rowsOf('candling', written));
    expect(faults.map((one) => one.code)).toEqual(['amends-unknown']);
    expect(rows.map((row) => row.values.clear)).toEqual([2]);
  }
});

test('a row doubled by a merge is told and counted once', () => {
  const [row] = rowsOf('candling', [first]);
  const { rows, faults } = effectiveRows([row!, row!]);
  expect(rows).toHaveLength(1);
  expect(faults.map((one) => one.code)).toEqual(['entry-repeated']);
});

test('the order of the rows in the file changes nothing', () => {
  const rows = rowsOf('candling', [
    first,
    amend(0, 3),
    ['candling', '2027-03-20', { set: 'A1', clear: 1 }],
    amend(1, 4),
    amend(0, 6),
    ['candling', '2027-03-13', { set: 'B1', quit: 1 }],
    amend(2, 1, { state: 'void' }),
  ]);
  const standing = effectiveRows(rows).rows;
  fc.assert(
    fc.property(fc.shuffledSubarray([...rows], { minLength: rows.length }), (shuffled) => {
      expect(effectiveRows(shuffled).rows).toEqual(standing);
    }),
    { numRuns: 50 },
  );
});
