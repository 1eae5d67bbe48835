/** Plans of one season that aim at other things, side by side. */
import type { Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, later, weekdays } from '../text/day.ts';
import type { PlanResult } from './plan.ts';
import { everyDays, type Wishes, weeklyOn } from './problem.ts';
import { type Outlook, unsteadiness } from './tried.ts';

export interface Compared {
  name: string;
  plan: PlanResult;
}

/** Makes a plan with such wishes; `quick` ends with the first that meets the goals. */
export type Solve = (
  wishes: Wishes & {
    quick?: boolean;
    outlookOf?: (season: Season) => Outlook & { draws?: number };
  },
) => Promise<PlanResult>;

const SIX = 6;

const eggsOf = ({ sets }: PlanResult): number => sets.reduce((sum, { eggs }) => sum + eggs, 0);

const isMet = ({ status }: PlanResult): boolean => status !== 'infeasible';

/** How near a plan comes to what is asked: the least chance as a part of the one asked, up to 1. */
const nearness = ({ claims }: PlanResult): number =>
  claims.reduce((least, one) => Math.min(least, one.probability / one.claim.confidence), 1);

/** The least by a figure, of the plans that meet what is asked; where none does, the nearest. */
function least(all: readonly PlanResult[], of: (plan: PlanResult) => number): PlanResult {
  const met = all.filter(isMet);
  return met.length > 0
    ? met.reduce((a, b) => (of(b) < of(a) ? b : a))
    : all.reduce((a, b) => (nearness(b) > nearness(a) ? b : a));
}

/** The first plan under each of some wishes; where none of them meets what is asked, the nearest of each. */
async function firstOrNearest(
  solve: Solve,
  wishes: readonly Parameters<Solve>[0][],
): Promise<PlanResult[]> {
  const first: PlanResult[] = [];
  for (const one of wishes) first.push(await solve({ ...one, quick: true }));
  if (first.some(isMet)) return first;
  const nearest: PlanResult[] = [];
  for (const one of wishes) nearest.push(await solve(one));
  return nearest;
}

/** The plans side by side; `today` is the day of the plan. */
export async function comparedPlans(
  season: Season,
  today: Day,
  outlookOf: (season: Season) => Outlook & { draws?: number },
  solve: Solve,
): Promise<Compared[]> {
  const fewest = await solve({});
  const free = weekdays.filter((day) => !season.values.days_off.set.includes(day));
  const weekly = await firstOrNearest(
    solve,
    free.map((day) => ({ rhythm: weeklyOn([day]) })),
  );
  const six = await solve({ rhythm: everyDays(SIX, today) });
  const ample = await solve({ quick: true });
  const earliest = await earliestFinish(fewest, today, solve);
  const [safest] = await firstOrNearest(solve, [
    { outlookOf: (base) => withOneLost(outlookOf(base)) },
  ]);
  const all = [fewest, six, ample, earliest, ...weekly];
  const unsteady = ({ sets }: PlanResult) =>
    unsteadiness(sets.map(({ on }) => ({ day: daysBetween(today, on) })));
  return [
    { name: 'fewest sets', plan: fewest },
    ...(weekly.length === 0
      ? []
      : [{ name: 'weekly', plan: least(weekly, (one) => one.sets.length) }]),
    { name: 'every six days', plan: six },
    { name: 'earliest finish', plan: earliest },
    { name: 'fewest eggs', plan: least(all, eggsOf) },
    { name: 'steadiest work', plan: least(all, (one) => unsteady(one) + one.sets.length / 100) },
    { name: 'safest: one set lost', plan: safest! },
  ];
}

/** The earliest day for the last opening by which the goals are still met, and its plan. */
async function earliestFinish(fewest: PlanResult, today: Day, solve: Solve): Promise<PlanResult> {
  if (!isMet(fewest) || fewest.lines.length === 0) return fewest;
  let high = daysBetween(today, fewest.lines.map(({ lastOpening }) => lastOpening).reduce(later));
  let low = 0;
  let best = fewest;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    const plan = await solve({ lastOpeningBy: addDays(today, middle), quick: true });
    if (!isMet(plan)) low = middle;
    else {
      high = middle;
      best = plan;
    }
  }
  return best;
}

/** The outlook if the new set that matters most is lost, whichever that is. */
function withOneLost(outlook: Outlook & { draws?: number }): Outlook & { draws?: number } {
  const lost: Outlook = (shares, wanted) => {
    const all = outlook(shares, wanted);
    const sets = [...new Set(shares.map(({ set }) => set))];
    return sets
      .map((set) =>
        outlook(
          shares.filter((share) => share.set !== set),
          wanted,
        ),
      )
      .reduce(
        (worst, without) =>
          worst.map((one, i) => (without[i]!.probability < one.probability ? without[i]! : one)),
        all,
      );
  };
  return Object.assign(lost, outlook.draws === undefined ? {} : { draws: outlook.draws });
}
