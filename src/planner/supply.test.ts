import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import { firstFertile } from '../facts/laying.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { daysBetween } from '../text/day.ts';
import { layCertainty, layersOf, lotsOf } from './supply.ts';

const eggs = (on: string, kept: number): Written => ['eggs', on, { pen: 'orchard', laid: 9, kept }];

function supply(yaml: string, written: readonly Written[], today: string, days = 30, maxAge = 8) {
  const season = seasonOf(yaml, written);
  const rates = farmRates(season, [], day(today));
  const pen = season.pens.get('orchard')!;
  const span = { first: day(today), days, maxAge };
  const lots = lotsOf(season, nowAt(today), rates, pen, span);
  return { stored: lots.slice(0, maxAge), laid: lots.slice(maxAge), rate: eggsADay(rates, pen) };
}

describe('hatching eggs of a pen', () => {
  test('come in whole numbers, and never more by any day than are expected', () => {
    const found = supply(hill, [], '2027-03-01');
    let sum = 0;
    found.laid.forEach((n, d) => {
      expect(Number.isInteger(n)).toBe(true);
      sum += n;
      // Today's are counted once they are written down.
      expect(sum).toBeLessThanOrEqual(d * found.rate + 1e-6);
      expect(sum).toBeGreaterThan(d * found.rate - 1);
    });
  });

  test('none before the pen is surely fertile', () => {
    const found = supply(hill, [], '2027-01-30');
    const first = found.laid.findIndex((n) => n > 0);
    const pen = seasonOf(hill).pens.get('orchard')!;
    const ready = daysBetween(day('2027-01-30'), firstFertile(pen));
    expect(ready).toBeGreaterThan(0);
    expect(first).toBeGreaterThanOrEqual(ready);
    expect(first).toBeLessThanOrEqual(ready + 1);
    expect(found.stored.every((n) => n === 0)).toBe(true);
  });

  test('what lies in store counts as it was written down, while it is young enough', () => {
    const found = supply(
      hill,
      [eggs('2027-02-19', 5), eggs('2027-02-21', 6), eggs('2027-02-28', 7)],
      '2027-03-01',
    );
    expect(found.stored).toEqual([6, 0, 0, 0, 0, 0, 0, 7]);
  });
});

describe('eggs that may not be laid', () => {
  // Two days of store, and today.
  const lots = [5, 0, 0, 3, 3, 4, 3, 3, 4];

  test('of a pen that is well known are all alike', () => {
    expect(layersOf(lots, 2, 0)).toEqual([{ lots, mean: 1, sure: 1 }]);
    // By the unit normal loss of inventory tables, 0.3989 at 0: E(min(1, F)) = 1 - 0.3989 scatter.
    const [all, ...none] = layersOf(lots, 2, 0.04);
    expect(none).toEqual([]);
    expect(all!.mean).toBeCloseTo(1 - 0.3989 * 0.04, 5);
  });

  test('of another lie in two layers, the second to be counted on for less', () => {
    const [sure, hoped] = layersOf(lots, 2, 0.2);
    // The loss at 1 is 0.0833: E(min(0.8, F)) = 0.8 - 0.2 x 0.0833, and the rest of 1 - 0.2 x 0.3989.
    expect(sure!.mean).toBeCloseTo((0.8 - 0.2 * 0.0833) / 0.8, 4);
    expect(hoped!.mean).toBeCloseTo((0.2 * (1 - 0.3989 + 0.0833)) / 0.2, 3);
    // Where hens lay 0.8 of what is expected, give or take 0.16, half of the time 0.8 is not reached:
    // E(min(0.8, F)) = 0.8 - 0.16 x 0.3989; up to 1, 1.25 deviations on, 0.0506 of one is lost.
    expect(sure!.sure).toBeCloseTo((0.8 - 0.16 * 0.3989) / 0.8, 4);
    expect(hoped!.sure).toBeCloseTo((0.16 * (0.3989 - 0.0506)) / 0.2, 3);
    // Each egg is in one layer; what lies in store is laid.
    expect(lots.map((_, at) => sure!.lots[at]! + hoped!.lots[at]!)).toEqual(lots);
    expect(hoped!.lots[0]).toBe(0);
    let laid = 0;
    let counted = 0;
    lots.slice(3).forEach((eggs, day) => {
      laid += eggs;
      counted += sure!.lots[day + 3]!;
      expect(Number.isInteger(sure!.lots[day + 3])).toBe(true);
      expect(Math.abs(counted - 0.8 * laid)).toBeLessThanOrEqual(0.5);
    });
  });

  test('of a pen of which little is known are still counted on for something', () => {
    for (const scatter of [0.06, 0.3, 0.5]) {
      const [sure, hoped] = layersOf(lots, 2, scatter);
      expect(sure!.sure).toBeLessThanOrEqual(1);
      expect(hoped!.sure).toBeLessThan(sure!.sure);
      expect(hoped!.sure).toBeGreaterThan(0);
      expect(sure!.lots.every((eggs) => eggs >= 0)).toBe(true);
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
