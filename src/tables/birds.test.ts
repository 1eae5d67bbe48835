import { expect, test } from 'vitest';
import type { BirdSummary } from '../facts/birds/summary.ts';
import type { Day } from '../text/day.ts';
import { birdTable } from './birds.ts';
import { textsOf } from './columns.ts';
import { metric } from './numbers.ts';

const rowsOf = (birds: BirdSummary) => textsOf(birdTable(birds), metric).rows;

const group = (name: string, living: number, pullets: number, cockerels: number) => ({
  group: name,
  lines: ['grey'],
  hatched: '2027-04-03' as Day,
  placed: living,
  living,
  lost: 0,
  left: 0,
  pullets,
  cockerels,
});

test('pullets and cockerels make up the living, also where half a bird is likely', () => {
  const groups = [group('G1', 17, 8.5, 8.5), group('G2', 5, 2.5, 2.5), group('G3', 9, 4, 5)];
  const birds = { groups, placed: 31, living: 31, lost: 0, left: 0 } as unknown as BirdSummary;
  const rows = rowsOf(birds).map((row) => [row[4], row[7], row[8]].map(Number));
  for (const [living, pullets, cockerels] of rows) expect(pullets! + cockerels!).toBe(living);
  expect(rows.at(-1)).toEqual([31, 15, 16]);
});

test('a count that leaves birds out is shown as it was written', () => {
  const groups = [group('G1', 8, 4, 3)];
  const birds = { groups, placed: 8, living: 8, lost: 0, left: 0 } as unknown as BirdSummary;
  expect(rowsOf(birds)[0]!.slice(7)).toEqual(['4', '3']);
});
