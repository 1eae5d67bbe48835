import { describe, expect, test } from 'vitest';
import { firstFertile } from '../../src/facts/laying.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { Worlds } from '../../src/judge/rates/worlds.ts';
import { addDays } from '../../src/text/day.ts';
import { kinds } from './calibrate.ts';
import { begun } from './season.ts';
import { right } from './truth.ts';

const kindOf = (name: string) => kinds.find((kind) => kind.name === name)!;

describe('eggs of a farm that was drawn', () => {
  test('are there from the day on which its season file lets them be set', () => {
    for (const name of ['three pens, in mid-season', 'two kinds, one short season']) {
      const { season, previous } = begun(kindOf(name), right, 3);
      for (const one of [season, ...previous].filter(({ rows }) => rows.eggs.length > 0))
        for (const pen of one.pens.values()) {
          const days = one.rows.eggs.filter((row) => row.values.pen === pen.name);
          expect(days[0]!.on.day).toBe(firstFertile(pen));
        }
    }
  });

  test('are as many as the plan foresees, for the earliest sets too', () => {
    const FARMS = 80;
    const DRAWS = 200;
    const days = [10, 14, 21];
    const kind = kindOf('one pen, no records');
    const places = Array.from({ length: FARMS }, (_, i) => {
      const { truth, season, previous, today } = begun(kind, right, 100 + i);
      const worlds = new Worlds(season, today, farmRates(season, previous, today), DRAWS, i + 1);
      const laying = worlds.layingOf(season.pens.get('north')!, addDays(today, days.at(-1)!));
      return days.map((day) => {
        const until = addDays(today, day);
        const eggs = truth
          .rows(addDays(until, 1))
          .reduce((sum, [log, , row]) => sum + (log === 'eggs' ? Number(row.kept) : 0), 0);
        const below = laying
          .until(until)
          .reduce((sum, some) => sum + (some < eggs ? 1 : some === eggs ? 0.5 : 0), 0);
        return below / DRAWS;
      });
    });
    days.forEach((day, d) => {
      const mean = places.reduce((sum, place) => sum + place[d]!, 0) / FARMS;
      // Even from 0 to 1 if foreseen rightly: luck alone is so far off less than once in a thousand.
      expect(Math.abs(mean - 0.5), `day ${day}: ${mean}`).toBeLessThan(
        3.5 * Math.sqrt(1 / 12 / FARMS),
      );
    });
  });
});
