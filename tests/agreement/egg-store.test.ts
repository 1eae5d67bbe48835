// Which eggs a set takes: what is planned for today, what is recorded of it, what check expects and what
// the planner and the simulation draw are the same eggs.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { eggsToCome, plannedDraws, storedEggs } from '../../src/facts/egg-store.ts';
import { reasonsAgainst } from '../../src/facts/feasible/feasible.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { Worlds } from '../../src/judge/rates/worlds.ts';
import { addDays, type Day, numberOfDay } from '../../src/text/day.ts';
import { nowAt, seasonOf, type Written } from '../support/season.ts';
import { anySeason, FIRST, sharesOf, written } from './seasons.ts';

const oneToday = (today: Day, eggs: number) =>
  `plan:\n  - {set: P, on: ${today}, trays: [1], shares: {orchard: ${eggs}}}\n`;
const cases = fc.tuple(
  anySeason.map((any) => ({ ...any, plan: [] })),
  fc.integer({ min: 1, max: 40 }),
);

test('a set planned for today draws what it draws once it is recorded', () => {
  fc.assert(
    fc.property(cases, ([any, eggs]) => {
      const { yaml, rows } = written(any);
      const today = addDays(FIRST, any.now);
      const known = rows.filter(([, on]) => on.slice(0, 10) < today);
      const planned = seasonOf(yaml + oneToday(today, eggs), known);
      const [draw] = plannedDraws(planned, today, () => 0);
      const reasons = reasonsAgainst(planned, nowAt(today), null)
        .filter((one) => one.set === 'P' && one.code === 'eggs-not-there')
        .map((one) => one.held! - one.room!);
      expect(reasons).toEqual(draw!.missing > 0 ? [draw!.missing] : []);
      if (draw!.missing > 0) return;
      const recorded = seasonOf(yaml + oneToday(today, eggs), [
        ...known,
        ['set', `${today}T19:00`, { set: 'P', pen: 'orchard', tray: 1, eggs }],
      ]);
      const share = recorded.sets.get('P')!.shares[0]!;
      expect(share.drawn).toEqual(draw!.drawn);
      expect(share.notKept).toBe(0);
      // What the simulation expects of a set whose eggs lie in store: all of them, of those ages.
      const rates = farmRates(planned, [], today);
      const worlds = new Worlds(planned, today, rates, 20, 1);
      const pen = planned.pens.get('orchard')!;
      const [come] = worlds.eggsThatCome([{ set: 'P', pen, on: today, eggs }]);
      expect(Math.min(...come!.eggs)).toBe(eggs);
    }),
    { numRuns: 25 },
  );
});

test('eggs kept are drawn, sold or left, each once; none is drawn while a fresher one is left', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { yaml, rows } = written(any);
      const season = seasonOf(yaml, rows);
      const total = (all: readonly number[]) => all.reduce((sum, one) => sum + one, 0);
      for (const pen of season.pens.keys()) {
        const shares = sharesOf(season).filter((one) => one.pen.name === pen);
        const lots = season.lots.filter((lot) => lot.pen === pen);
        const drawn = total(shares.flatMap((one) => one.drawn.map((lot) => lot.eggs)));
        const sold = total(
          season.eggsOut
            .filter((one) => one.row.values.pen === pen)
            .map((one) => one.row.values.eggs - one.notKept),
        );
        expect(drawn + sold + total(lots.map((lot) => lot.left))).toBe(
          total(lots.map((lot) => lot.kept)),
        );
        for (const share of shares) {
          const oldest = share.drawn[0];
          if (oldest === undefined) continue;
          const fresher = lots.filter((lot) => lot.laid > oldest.laid && lot.laid <= share.on.day);
          expect(total(fresher.map((lot) => lot.left))).toBe(0);
        }
      }
      const { settable, tooOld } = storedEggs(season, addDays(FIRST, 90));
      expect(total([...settable, ...tooOld].map((lot) => lot.left))).toBe(
        total(season.lots.map((lot) => lot.left)),
      );
    }),
    { numRuns: 25 },
  );
});

test('store and simulation leave out the same hens at rest', () => {
  fc.assert(
    fc.property(anySeason, fc.constantFrom('orchard', 'pond'), (any, name) => {
      const today = addDays(FIRST, any.now);
      const last = addDays(today, 55);
      const seen = [any, { ...any, rests: [] }].map((one) => {
        const { yaml, rows } = written(one);
        // The day's own eggs are the log's: both count from tomorrow on.
        const logged: Written = ['eggs', today, { pen: name, kept: 0 }];
        const season = seasonOf(yaml, [
          ...rows.filter(([, on]) => on.slice(0, 10) < today),
          logged,
        ]);
        const pen = season.pens.get(name)!;
        const store = eggsToCome(season, name, today, last, () => 100 * pen.hens);
        const worlds = new Worlds(season, today, farmRates(season, [], today), 100, 1);
        const sum = (all: readonly { left: number }[]) =>
          all.reduce((eggs, lot) => eggs + lot.left, 0);
        const laid = worlds.layingOf(pen, last).expected(last);
        return [
          sum(store.filter((lot) => lot.laid > numberOfDay(today))),
          sum(laid.filter((lot) => lot.day > today).map(({ eggs }) => ({ left: eggs }))),
        ] as const;
      });
      const [[store, drawn], [whole, all]] = seen as [(typeof seen)[0], (typeof seen)[0]];
      expect(Math.abs(store / whole - drawn / all)).toBeLessThan(0.1);
    }),
    { numRuns: 15 },
  );
});
