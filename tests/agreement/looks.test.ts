// How many eggs were looked at, and what that tells of fertility: the summary, its pens, the review and
// the export agree; a share that nobody looked at is in none of them.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { looksOf } from '../../src/facts/looks.ts';
import { outcomesOf } from '../../src/judge/review/outcome.ts';
import { summaryOf } from '../../src/judge/summary/way.ts';
import { resourcesOf, rowsOf } from '../../src/tables/package.ts';
import { anySeason, anySeasonOf, sharesOf } from './seasons.ts';

/** Eggs looked at and those not clear, of the shares that somebody looked at. */
function pooledLooks(shares: ReturnType<typeof sharesOf>): { eggs: number; apparent: number } {
  const looks = shares.flatMap((share) => looksOf(share) ?? []);
  return {
    eggs: looks.reduce((sum, one) => sum + one.eggs, 0),
    apparent: looks.reduce((sum, one) => sum + one.apparent, 0),
  };
}

test('apparent fertility is one figure', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season } = anySeasonOf(any);
      const shares = sharesOf(season);
      const summary = summaryOf(season);
      const all = pooledLooks(shares);
      const step = summary.way.find((one) => one.stage === 'fertile')!;
      expect([step.count, step.of]).toEqual([all.apparent, all.eggs]);
      for (const pen of summary.pens) {
        const own = pooledLooks(shares.filter((share) => share.pen.name === pen.pen));
        expect([pen.fertile_apparent.count, pen.fertile_apparent.of]).toEqual([
          own.apparent,
          own.eggs,
        ]);
      }
      const exported = rowsOf(resourcesOf(season).find((one) => one.name === 'shares')!);
      for (const outcome of outcomesOf(season)) {
        const looks = looksOf(outcome.share);
        expect(outcome.candled).toBe(looks !== null);
        const rate = outcome.rates.fertile_apparent;
        if (outcome.contradiction === null && looks !== null && looks.eggs > 0)
          expect([rate!.x, rate!.n]).toEqual([looks.apparent, looks.eggs]);
        else expect(rate).toBeNull();
        const row = exported.find((one) => one.set === outcome.set && one.pen === outcome.pen)!;
        expect(row.candled).toBe(looks !== null);
      }
    }),
    { numRuns: 25 },
  );
});
