import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { daysBetween } from '../../text/day.ts';
import { firstFertile } from '../checks/pens.ts';
import { farmRates } from './rates.ts';
import { eggsADay, supplyOf } from './supply.ts';

const plan = (...lines: string[]) => `plan:\n${lines.map((line) => `  - ${line}\n`).join('')}`;
const eggs = (on: string, kept: number): Written => ['eggs', on, { pen: 'orchard', laid: 9, kept }];

function supply(yaml: string, written: readonly Written[], today: string, days = 30, maxAge = 8) {
  const season = seasonOf(yaml, written);
  const rates = farmRates(season, [], day(today));
  const pen = season.pens.get('orchard')!;
  const span = { first: day(today), days, maxAge };
  return { ...supplyOf(season, nowAt(today), rates, pen, span), rate: eggsADay(rates, pen) };
}

describe('hatching eggs of a pen', () => {
  test('come in whole numbers, and never more by any day than are expected', () => {
    const found = supply(hill, [], '2027-03-01');
    let sum = 0;
    found.supply.forEach((n, d) => {
      expect(Number.isInteger(n)).toBe(true);
      sum += n;
      // Today's are counted once they are written down.
      expect(sum).toBeLessThanOrEqual(d * found.rate + 1e-6);
      expect(sum).toBeGreaterThan(d * found.rate - 1);
    });
  });

  test('none before the pen is surely fertile', () => {
    const found = supply(hill, [], '2027-01-30');
    const first = found.supply.findIndex((n) => n > 0);
    const pen = seasonOf(hill).pens.get('orchard')!;
    const ready = daysBetween(day('2027-01-30'), firstFertile(pen));
    expect(ready).toBeGreaterThan(0);
    expect(first).toBeGreaterThanOrEqual(ready);
    expect(first).toBeLessThanOrEqual(ready + 1);
    expect(found.stored).toEqual([]);
  });

  test('what lies in store counts as it was written down, while it is young enough', () => {
    const found = supply(
      hill,
      [eggs('2027-02-19', 5), eggs('2027-02-21', 6), eggs('2027-02-28', 7)],
      '2027-03-01',
    );
    expect(found.stored).toEqual([
      { age: 8, eggs: 6 },
      { age: 1, eggs: 7 },
    ]);
  });

  test('lines that are kept draw the oldest eggs first, and say what is missing', () => {
    const found = supply(
      hill + plan('{set: A1, on: 2027-03-01, trays: [1], shares: {orchard: 10}}'),
      [eggs('2027-02-25', 6), eggs('2027-02-27', 6)],
      '2027-03-01',
    );
    expect(found.stored).toEqual([{ age: 2, eggs: 2 }]);
    expect(found.drawn.get('A1')).toEqual([4, 2]);
    expect(found.missing).toEqual([]);
    const short = supply(
      hill + plan('{set: A1, on: 2027-03-01, trays: [1], shares: {orchard: 20}}'),
      [eggs('2027-02-27', 6)],
      '2027-03-01',
    );
    expect(short.missing).toEqual([{ set: 'A1', eggs: 14 }]);
    expect(short.stored).toEqual([]);
  });
});
