import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parseOn } from '../text/day.ts';
import { effectiveRows } from './effective.ts';
import { EntryBook } from './entry-book.ts';
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
const ELEVEN = '2027-03-06T11:00:00Z';

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

test('of two versions of one second the last by entry stands', () => {
  for (const order of ['abc', 'acb', 'cba']) {
    const rows = [row('a', NINE, null), row('b', TEN, 'a'), row('c', TEN, 'a')];
    const { rows: standing } = effectiveRows(
      [...order].map((one) => rows.find((r) => r.entry === one)!),
    );
    expect(standing.map(({ entry }) => entry)).toEqual(['c']);
  }
});

test('a version that amends one by way of a row that cannot be read comes after it', () => {
  const broken = new Map([['x', 'a']]);
  const versions = (rows: readonly Row[]) =>
    effectiveRows(rows, undefined, broken)
      .versions()
      .get('a')!
      .map(({ entry }) => entry);
  const rows = [row('a', TEN, null), row('c', NINE, 'x')];
  expect(versions(rows)).toEqual(['a', 'c']);
  expect(versions([...rows, row('d', ELEVEN, 'c')])).toEqual(['a', 'c', 'd']);
});

test('rows stand in the order of time, whatever the order of the log', () => {
  const rows = [row('a', NINE, null), row('b', TEN, null), row('c', ELEVEN, null, true)];
  for (const more of [[], [row('d', ELEVEN, 'a')]])
    expect(effectiveRows([...more, ...rows].reverse()).rows.map(({ entry }) => entry)).toEqual(
      more.length === 0 ? ['a', 'b'] : ['b', 'd'],
    );
});

test('an entry that stands in another log is told, and both rows count', () => {
  const entries = new EntryBook();
  const here = row('a', NINE, null);
  const there = { ...here, at: { file: 'log/sets.csv', line: 7, column: 1 } };
  expect(effectiveRows([there], entries).faults).toEqual([]);
  const { rows, faults } = effectiveRows([here, row('b', NINE, null)], entries);
  expect(rows.map(({ entry }) => entry)).toEqual(['a', 'b']);
  expect(faults.map(({ code, message, at }) => [code, message, at.file])).toEqual([
    ['entry-repeated', 'entry: a stands already in log/sets.csv:7', 'log/eggs.csv'],
  ]);
  expect(effectiveRows([here, here]).faults[0]!.message).toBe('entry: a stands already at line 2');
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

/** What stands, and the versions of each row, by following every row to its first version. */
function byFollowing(own: readonly Row[], broken: ReadonlyMap<string, string | null>) {
  const find = (entry: string) => own.find((one) => one.entry === entry);
  const rootOf = (row: Row, seen: readonly string[] = []): string | null => {
    let before = row.amends;
    while (before !== null && find(before) === undefined) {
      if (seen.includes(before) || !broken.has(before)) return null;
      seen = [...seen, before];
      before = broken.get(before)!;
    }
    if (before === null) return row.entry;
    return seen.includes(before) ? null : rootOf(find(before)!, [...seen, before]);
  };
  const versions = new Map<string, string[]>();
  for (const row of own) {
    const root = rootOf(row);
    if (root !== null) versions.set(root, [...(versions.get(root) ?? []), row.entry]);
  }
  return versions;
}

test('whatever amends whatever, each row is a version of one, and the last of each stands', () => {
  const entry = fc.constantFrom(...'abcdefgh');
  const written = fc.uniqueArray(
    fc.record({
      entry,
      amends: fc.option(entry, { freq: 3 }),
      recorded: fc.constantFrom(NINE, TEN),
      isVoid: fc.boolean(),
    }),
    { selector: (one) => one.entry, maxLength: 8 },
  );
  const unread = fc.dictionary(fc.constantFrom('i', 'j', 'h'), fc.option(entry));
  fc.assert(
    fc.property(written, unread, (list, unreadable) => {
      const own = list.map((one) => row(one.entry, one.recorded, one.amends, one.isVoid));
      const broken = new Map(
        Object.entries(unreadable).filter(([name]) => !own.some((one) => one.entry === name)),
      );
      const found = effectiveRows(own, undefined, broken);
      const expected = byFollowing(own, broken);
      const versions = [...found.versions()].map(
        ([root, all]) => [root, all.map((one) => one.entry)] as const,
      );
      expect(versions.map(([root, all]) => [root, [...all].sort()])).toEqual(
        [...expected].map(([root, all]) => [root, [...all].sort()]),
      );
      const last = versions.map(([, all]) => own.find((one) => one.entry === all.at(-1))!);
      expect(found.rows.map((one) => one.entry).sort()).toEqual(
        last
          .filter((one) => !one.isVoid)
          .map((one) => one.entry)
          .sort(),
      );
      expect(found.faults.filter((one) => one.code === 'amends-unknown')).toHaveLength(
        own.length - [...expected.values()].flat().length,
      );
    }),
    { numRuns: 500 },
  );
});
