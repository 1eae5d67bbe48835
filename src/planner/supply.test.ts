import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import { firstFertile } from '../facts/laying.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { daysBetween } from '../text/day.ts';
import { layCertainty, layersOf, supplyOf } from './supply.ts';

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

  test('lines that are kept draw the freshest eggs, and say what is missing', () => {
    const found = supply(
      hill + plan('{set: A1, on: 2027-03-01, trays: [1], shares: {orchard: 10}}'),
      [eggs('2027-02-25', 6), eggs('2027-02-27', 6)],
      '2027-03-01',
    );
    expect(found.stored).toEqual([{ age: 4, eggs: 2 }]);
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

describe('eggs that may not be laid', () => {
  const supply = [0, 3, 3, 4, 3, 3, 4];
  const stored = [{ age: 2, eggs: 5 }];

  test('of a pen that is well known are all alike', () => {
    expect(layersOf({ supply, stored }, 0)).toEqual([{ name: '', supply, stored, sure: 1 }]);
    // By the unit normal loss of inventory tables, 0.3989 at 0: E(min(1, F)) = 1 - 0.3989 scatter.
    const [all, ...none] = layersOf({ supply, stored }, 0.04);
    expect(none).toEqual([]);
    expect(all!.sure).toBeCloseTo(1 - 0.3989 * 0.04, 5);
  });

  test('of another lie in two layers, the second to be counted on for less', () => {
    const [sure, hoped] = layersOf({ supply, stored }, 0.2);
    // The loss at 1 is 0.0833: E(min(0.8, F)) = 0.8 - 0.2 x 0.0833, and the rest of 1 - 0.2 x 0.3989.
    expect(sure!.sure).toBeCloseTo((0.8 - 0.2 * 0.0833) / 0.8, 4);
    expect(hoped!.sure).toBeCloseTo((0.2 * (1 - 0.3989 + 0.0833)) / 0.2, 3);
    // Each egg is in one layer; what lies in store is laid.
    expect(supply.map((_, day) => sure!.supply[day]! + hoped!.supply[day]!)).toEqual(supply);
    expect(sure!.stored).toEqual(stored);
    expect(hoped!.stored).toEqual([]);
    let laid = 0;
    let counted = 0;
    supply.forEach((eggs, day) => {
      laid += eggs;
      counted += sure!.supply[day]!;
      expect(Number.isInteger(sure!.supply[day])).toBe(true);
      expect(Math.abs(counted - 0.8 * laid)).toBeLessThanOrEqual(0.5);
    });
  });

  test('of a pen of which little is known are still counted on for something', () => {
    for (const scatter of [0.06, 0.3, 0.5]) {
      const [sure, hoped] = layersOf({ supply, stored }, scatter);
      expect(sure!.sure).toBeLessThanOrEqual(1);
      expect(hoped!.sure).toBeLessThan(sure!.sure);
      expect(hoped!.sure).toBeGreaterThan(0);
      expect(sure!.supply.every((eggs) => eggs >= 0)).toBe(true);
    }
  });

  test('are the fewer the more is known of the pen', () => {
    const of = (written: readonly Written[]) => {
      const season = seasonOf(hill, written);
      return layCertainty(farmRates(season, [], day('2027-04-01')), season.pens.get('orchard')!);
    };
    const days = Array.from({ length: 28 }, (_, i) => `2027-03-${String(i + 1).padStart(2, '0')}`);
    expect(of(days.map((on) => eggs(on, 8)))).toBeLessThan(of([]) / 2);
    // Beta(4, 4) of lay alone has a deviation of a third of its mean: sqrt(1 / 36) / 0.5.
    expect(of([])).toBeGreaterThan(1 / 3);
  });
});
