// Farms with many unlike machines, planned calendar by calendar as very large ones are: their plans are
// as sound as any. By hand over more of them: LARGE_FARM_RUNS=300 [LARGE_FARM_SEED=n] [LARGE_FARM_WAYS=3500]
// npx vitest run tests/properties/large-farm.test.ts; of 3500 ways a plan takes up to minutes.
import * as fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { plannedByCalendar } from '../../src/planner/calendar-plans.ts';
import { type Candidate, isMet } from '../../src/planner/candidate.ts';
import { planSeason } from '../../src/planner/plan.ts';
import { seasonKeeping } from '../../src/planner/season-problem.ts';
import { largeCase, largeFarms, scattered } from '../support/large-farms.ts';
import { built, nowAt } from '../support/season.ts';
import { expectSound } from '../support/sound-plan.ts';

const RUNS = Number(process.env.LARGE_FARM_RUNS ?? 12);
const SEED = Number(process.env.LARGE_FARM_SEED ?? 20_270_202);
const WAYS = Number(process.env.LARGE_FARM_WAYS ?? 250);

// A farm that is large enough takes half a minute: here each counts as very large.
vi.mock('../../src/planner/set-search.ts', async (original) => ({
  ...(await original<typeof import('../../src/planner/set-search.ts')>()),
  isVeryLargeFarm: () => true,
}));
vi.mock('../../src/planner/calendar-plans.ts', { spy: true });

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
      const options = { replan, finer: false };
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
      const chances = scattered(rates)(base)(shares).map(({ probability }) => probability);
      expect(plan.goals.map(({ probability }) => probability)).toEqual(chances);
      expect(plan.status === 'infeasible').toBe(plan.goals.some(({ met }) => !met));
    }),
    { numRuns: RUNS, seed: SEED, endOnFailure: true },
  );

  // Most of the usual farms have a plan found calendar by calendar, some of several calendars.
  const found = vi.mocked(plannedByCalendar).mock.settledResults.flatMap(({ type, value }) => {
    expect(type).toBe('fulfilled');
    return (value as Candidate | null) ?? [];
  });
  for (const plan of found) {
    expect(isMet(plan)).toBe(true);
    expect(plan.fewest).toBeLessThanOrEqual(plan.lines.length);
  }
  if (process.env.LARGE_FARM_SEED !== undefined) return;
  expect(found.length).toBeGreaterThan(RUNS / 2);
  const calendars = found.map(({ lines }) => new Set(lines.map(({ species }) => species)).size);
  expect(Math.max(...calendars)).toBeGreaterThan(1);
}, 36_000_000);
