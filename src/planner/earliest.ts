/** The plan that is done soonest: the last hatcher emptied as early as can be. */

import { goalsOf } from '../facts/goals.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, Season } from '../season/model.ts';
import { addDays, daysBetween, later } from '../text/day.ts';
import type { Outlook } from './candidate.ts';
import { needOf } from './needs.ts';
import { askedOf, type PlanOptions, type PlanResult, planSeason } from './plan.ts';
import { ofRelaxed } from './relaxed.ts';
import { seasonKeeping, seasonProblem } from './season-problem.ts';

const TRIES = 4;
const DAYS_MORE = 4;

/** Starts from a plan that meets the goals, and looks for the earliest day by which another does. */
export async function earliestFinish(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
  plan: PlanResult,
): Promise<PlanResult> {
  if (plan.status === 'infeasible' || plan.lines.length === 0) return plan;
  const base = seasonKeeping(season, (line) => !(options.replan && line.on >= now.day));
  const asked = askedOf(plan);
  const last = plan.lines.map((line) => line.lastOpening).reduce(later);
  let low = 0;
  let high = daysBetween(now.day, last);
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    const problem = seasonProblem(base, now, rates, goalsOf(base), {
      ...options,
      lastOpeningBy: addDays(now.day, middle),
    });
    const needs = problem.goals.map((goal, i) => needOf(problem, rates, goal, asked[i]!));
    const isMet = await ofRelaxed(problem, needs, (relaxed) => relaxed.couldMeet(needs));
    if (isMet) high = middle;
    else low = middle;
  }
  for (let turn = 0; turn < TRIES; turn++) {
    const lastOpeningBy = addDays(now.day, high + turn * DAYS_MORE);
    if (lastOpeningBy >= last) break;
    const found = await planSeason(season, now, rates, outlookOf, {
      ...options,
      lastOpeningBy,
      finer: false,
    });
    if (found.status !== 'infeasible') return found;
  }
  return plan;
}
