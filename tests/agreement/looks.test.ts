// How many eggs were looked at, and what that tells of fertility: the summary, its pens, the review, the
// rates and the export agree; a share that nobody looked at is in none of them.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { looksOf } from '../../src/facts/looks.ts';
import { asRate } from '../../src/judge/model/counted.ts';
import type { RateName } from '../../src/judge/rate-names.ts';
import { evidenceOf } from '../../src/judge/rates/evidence.ts';
import type { Cut } from '../../src/judge/review/groups.ts';
import { fertileOf, outcomesOf } from '../../src/judge/review/outcome.ts';
import { reviewOf } from '../../src/judge/review/review.ts';
import { summaryOf } from '../../src/judge/summary/way.ts';
import { resourcesOf, rowsOf } from '../../src/tables/package.ts';
import { anySeason, anySeasonOf } from './seasons.ts';

test('a rate of the summary is that of the review, interval and all', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season } = anySeasonOf(any);
      const { way, pens, sets, hatch_of_set } = summaryOf(season);
      const { groups } = reviewOf(season);
      const rated = (by: Cut, key: string, rate: RateName) => {
        const share = groups.find((one) => one.by === by && one.key === key)?.rates[rate];
        return share === undefined ? null : asRate(share);
      };
      const year = String(season.values.season);
      expect(hatch_of_set).toEqual(rated('season', year, 'hatch_of_set'));
      expect(way.find((one) => one.stage === 'fertile')).toMatchObject(
        rated('season', year, 'fertile_apparent')!,
      );
      for (const rate of ['fertile_apparent', 'hatch_of_set', 'hatch_of_fertile'] as const)
        for (const pen of pens)
          if (pen.eggs > 0) expect(pen[rate]).toEqual(rated('pen', pen.pen, rate));
      for (const set of sets)
        if (set.state === 'finished')
          expect(set.hatch_of_set).toEqual(rated('set', set.set, 'hatch_of_set'));
    }),
    { numRuns: 25 },
  );
});

test('what took the most eggs is counted of the eggs that hatch of set is counted in', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season } = anySeasonOf(any);
      const { groups, largestLoss } = reviewOf(season);
      const { n = 0, x = 0 } = groups.find((one) => one.by === 'season')!.rates.hatch_of_set ?? {};
      expect(largestLoss?.eggs ?? 0).toBeLessThanOrEqual(n - x + 1e-9);
    }),
    { numRuns: 25 },
  );
});

test('apparent fertility is one figure', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season } = anySeasonOf(any);
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

test('rates learn fertility from the eggs that the review counts as fertile', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season, today } = anySeasonOf(any);
      const sums = (counts: Iterable<{ pen: string; x: number; n: number }>) => {
        const out: Record<string, { x: number; n: number }> = {};
        for (const { pen, x, n } of counts) {
          out[pen] ??= { x: 0, n: 0 };
          out[pen].x += x;
          out[pen].n += n;
        }
        return out;
      };
      const learnt = sums(
        evidenceOf(season, today, false).filter((one) => one.stage === 'fertile'),
      );
      const reviewed = sums(
        outcomesOf(season).flatMap((one) => {
          const part = fertileOf(one);
          return part === null ? [] : [{ pen: one.pen, ...part }];
        }),
      );
      expect(Object.keys(learnt).sort()).toEqual(Object.keys(reviewed).sort());
      for (const [pen, { x, n }] of Object.entries(reviewed)) {
        expect(learnt[pen]!.x).toBeCloseTo(x, 9);
        expect(learnt[pen]!.n).toBeCloseTo(n, 9);
      }
    }),
    { numRuns: 25 },
  );
});
