// The seasons of `npm run bench:plan` by what their plans come to and the programs they took: a change of the
// planner's search that alters them is noticed here, and then wants a run of the bench.
import { expect, test } from 'vitest';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { Effort } from '../../src/planner/effort.ts';
import { waysOutOf } from '../../src/planner/limits.ts';
import { simulatedOutlook, USUAL_DRAWS } from '../../src/planner/outlook.ts';
import { planSeason } from '../../src/planner/plan.ts';
import type { Season } from '../../src/season/model.ts';
import { benchSeasons } from '../bench/planner-seasons.ts';
import { nowAt, seasonOf } from '../support/season.ts';

async function planned(name: string, change: (yaml: string) => string = (yaml) => yaml) {
  const bench = benchSeasons.find((one) => one.name === name)!;
  const season = seasonOf(change(bench.yaml));
  const now = nowAt(bench.now);
  const rates = farmRates(season, [], now.day);
  const outlookOf = (base: Season) => simulatedOutlook(base, now.day, rates, USUAL_DRAWS, 1);
  const effort = new Effort();
  const plan = await planSeason(season, now, rates, outlookOf, { replan: false, effort });
  const asking = { season, now, rates, outlookOf, options: { replan: false } };
  const { status, fewest, lines } = plan;
  return {
    found: { status, sets: lines.length, fewest, solves: effort.solves },
    ways: () => waysOutOf(asking, plan, effort),
  };
}

test('small', async () => {
  const { found } = await planned('small');
  expect(found).toEqual({ status: 'optimal', sets: 9, fewest: 9, solves: 96 });
});

test('middle', async () => {
  const { found } = await planned('middle');
  expect(found).toEqual({ status: 'bounded', sets: 19, fewest: 18, solves: 254 });
});

test('small, twice as many birds', async () => {
  const { found, ways } = await planned('small', (yaml) => yaml.replace('count: 70', 'count: 140'));
  expect(found).toEqual({ status: 'infeasible', sets: 16, fewest: 16, solves: 68 });
  const { limits, instead, untried } = await ways();
  expect(limits.map(({ change, least }) => [change, least])).toEqual([
    ['57 days more: by 2028-01-07', false],
  ]);
  expect(instead).toEqual([{ claim: 0, count: 94, most: true }]);
  expect(untried).toEqual([]);
});
