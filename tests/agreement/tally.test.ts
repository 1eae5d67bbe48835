// What went in, came out, is left and is missing: the fold, the balance check, the summary, the review,
// the export and the costs say the same of every season. The counts are added up here from the rows.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { perChick } from '../../src/costs/unit-costs.ts';
import { balanceFaults } from '../../src/facts/checks/balance.ts';
import { outcomesOf } from '../../src/judge/review/outcome.ts';
import { summaryOf } from '../../src/judge/summary/way.ts';
import type { Row } from '../../src/records/record.ts';
import type { Share } from '../../src/season/model.ts';
import { resourcesOf, rowsOf } from '../../src/tables/package.ts';
import { anySeason, anySeasonOf, sharesOf } from './seasons.ts';

/** The counts of one share, straight from the rows of the logs. */
function counted(rows: readonly Row[], { set, pen }: Share, ...columns: string[]): number {
  return rows
    .filter((row) => row.values.set === set && row.values.pen === pen.name)
    .reduce((sum, row) => sum + columns.reduce((s, key) => s + Number(row.values[key]), 0), 0);
}

test('one share, counted from its rows', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season } = anySeasonOf(any);
      const { candling, transfer, hatch } = season.rows;
      const of = (share: Share) => {
        const looks = (key: string) => counted([...candling, ...transfer], share, key);
        const moved = share.transfers.length === 0 ? null : counted(transfer, share, 'moved');
        const removed = counted(
          [...candling, ...transfer],
          share,
          'clear',
          'quit',
          'cracked',
          'rotten',
        );
        const out = counted(hatch, share, 'hatched', 'dead', 'pipped', 'unpipped');
        return {
          clear: looks('clear'),
          quit: looks('quit'),
          moved,
          sound: counted(hatch, share, 'hatched') - counted(hatch, share, 'weak'),
          missing:
            (moved === null ? 0 : share.eggs - removed - moved) +
            (share.stage === 'finished' && moved !== null ? moved - out : 0),
        };
      };
      const outcomes = outcomesOf(season);
      const exported = rowsOf(resourcesOf(season).find((one) => one.name === 'shares')!);
      const summary = summaryOf(season);
      for (const share of sharesOf(season)) {
        const { tally } = share;
        const rows = of(share);
        expect([tally.clear, tally.quit, tally.moved, tally.sound]).toEqual([
          rows.clear,
          rows.quit,
          rows.moved,
          rows.sound,
        ]);
        const faults = balanceFaults(share);
        const said = faults.map((one) => Number(/: (\d+) (not|too)/.exec(one.message)![1]));
        expect(said.reduce((sum, one) => sum + one, 0)).toBe(rows.missing);
        expect(outcomes.find((one) => one.share === share)!.unaccounted).toBe(rows.missing);
        const own = summary.unaccounted.filter(
          (one) => one.set === share.set && one.pen === share.pen.name,
        );
        expect(own.reduce((sum, one) => sum + one.eggs, 0)).toBe(rows.missing);
        const row = exported.find((one) => one.set === share.set && one.pen === share.pen.name)!;
        expect(row.unaccounted ?? 0).toBe(rows.missing);
        expect([row.moved, row.hatched]).toEqual([tally.moved, tally.hatched]);
      }
    }),
    { numRuns: 25 },
  );
});

test('the season as a whole: nothing is lost between the parts', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season } = anySeasonOf(any);
      const summary = summaryOf(season);
      const { set, ...parts } = summary.whereabouts;
      expect(Object.values(parts).reduce((sum, one) => sum + one, 0)).toBe(set);
      const sound = sharesOf(season).reduce((sum, one) => sum + one.tally.sound, 0);
      expect(perChick(season, 100).over).toBe(sound);
      const bySet = summary.sets.reduce((sum, one) => sum + (one.hatched ?? 0) - one.weak, 0);
      expect(bySet).toBe(sound);
    }),
    { numRuns: 25 },
  );
});
