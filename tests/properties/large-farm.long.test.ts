// Farms with many unlike machines, planned calendar by calendar as very large ones are: their plans are
// as sound as any. By hand over more of them: LARGE_FARM_RUNS=300 [LARGE_FARM_SEED=n] [LARGE_FARM_WAYS=3500]
// npx vitest run tests/properties/large-farm.test.ts; of 3500 ways a plan takes up to minutes.
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { planSeason } from '../../src/planner/plan.ts';
import { seasonKeeping } from '../../src/planner/problem.ts';
import { largeCase, largeFarms, scattered } from '../support/large-farms.ts';
import { built, nowAt } from '../support/season.ts';
import { expectSound } from '../support/sound-plan.ts';

const RUNS = Number(process.env.LARGE_FARM_RUNS ?? 12);
const SEED = Number(process.env.LARGE_FARM_SEED ?? 20_270_202);
const WAYS = Number(process.env.LARGE_FARM_WAYS ?? 250);

test('a plan made calendar by calendar breaks no rule of check', async () => {
  await fc.assert(
    fc.asyncProperty(largeFarms({ min: 0.7 * WAYS, max: 1.3 * WAYS }), async (one) => {
      const farmCase = largeCase(one);
      const { yaml, rows, today } = farmCase;
      const { season, faults } = built(yaml([], true), rows);
      expect(faults).toEqual([]);
      const now = nowAt(today);
      const rates = farmRates(season, [], today);
      const { replan, store } = one;
      const options = { replan };
      const plan = await planSeason(season, now, rates, scattered(rates), options);
      expectSound(farmCase, plan, now, { replan, store });

      // Goals are met as the outlook of these very lines says.
      const base = seasonKeeping(season, (line) => !(replan && line.on >= today));
      const shares = plan.lines.flatMap((line) =>
        Object.entries(line.shares).map(([pen, eggs]) => ({
          set: line.set,
          pen: season.pens.get(pen)!,
          on: line.on,
          eggs,
        })),
      );
      const all = plan.claims.map((_, i) => i);
      const chances = scattered(rates)(base)(shares, all).map(({ probability }) => probability);
      expect(plan.claims.map(({ probability }) => probability)).toEqual(chances);
      expect(plan.status === 'infeasible').toBe(plan.claims.some(({ met }) => !met));
    }),
    { numRuns: RUNS, seed: SEED, endOnFailure: true },
  );
}, 36_000_000);
