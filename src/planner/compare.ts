/** Plans of one season that aim at other things, side by side. */
import type { Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, later, weekdays } from '../text/day.ts';
import { there } from '../text/lists.ts';
import { nearness, type PlanResult } from './plan.ts';
import { everyDays, type Wishes, weeklyOn } from './problem.ts';
import { type Aim, type ClaimOutlook, type Outlook, unsteadiness } from './tried.ts';

export interface Compared {
  name: string;
  plan: PlanResult;
}

/** What one of the plans is to be like, beyond the season file. */
interface Asked extends Wishes {
  aim?: Aim;
  outlookOf?: (season: Season) => Outlook;
}

/** Makes a plan with such wishes. */
export type Solve = (asked: Asked) => Promise<PlanResult>;

const SIX = 6;

const eggsOf = ({ sets }: PlanResult): number => sets.reduce((sum, { eggs }) => sum + eggs, 0);

const isMet = ({ status }: PlanResult): boolean => status !== 'infeasible';

/** The least by a figure, of the plans that meet what is asked; where none does, the nearest. */
function least(all: readonly PlanResult[], of: (plan: PlanResult) => number): PlanResult {
  const met = all.filter(isMet);
  return met.length > 0
    ? met.reduce((a, b) => (of(b) < of(a) ? b : a))
    : all.reduce((a, b) => (nearness(b) > nearness(a) ? b : a));
}

/** The fewest sets under some wishes under which any sets were tried: these end where one calendar falls short. */
async function improved(solve: Solve, wishes: Asked, any: PlanResult): Promise<PlanResult> {
  return least([await solve(wishes), any], ({ sets }) => sets.length);
}

/** The plans side by side; `today` is the day of the plan. */
export async function comparedPlans(
  season: Season,
  today: Day,
  outlookOf: (season: Season) => Outlook,
  solve: Solve,
): Promise<Compared[]> {
  const fewest = await solve({});
  const free = weekdays.filter((day) => !season.values.days_off.set.includes(day));
  const six = await solve({ rhythm: everyDays(SIX, today) });
  const fewestEggs = await solve({ aim: 'eggs' });
  const earliest = await earliestFinish(fewest, today, solve);
  const safe = { outlookOf: (base: Season) => withOneLost(outlookOf(base)) };
  const safest = await improved(solve, safe, await solve({ ...safe, aim: 'any' }));
  const days = new Map<PlanResult, Wishes>();
  for (const day of free) {
    const rhythm = weeklyOn([day]);
    days.set(await solve({ rhythm, aim: 'any' }), { rhythm });
  }
  const any = days.size === 0 ? null : least([...days.keys()], (one) => one.sets.length);
  const weekly = any && (await improved(solve, days.get(any)!, any));
  const all = there([fewest, six, fewestEggs, earliest, weekly, ...days.keys()]);
  const unsteady = ({ sets }: PlanResult) =>
    unsteadiness(sets.map(({ on }) => ({ day: daysBetween(today, on) })));
  return there([
    { name: 'fewest sets', plan: fewest },
    weekly && { name: 'weekly', plan: weekly },
    { name: 'every six days', plan: six },
    { name: 'earliest finish', plan: earliest },
    { name: 'fewest eggs', plan: least(all, eggsOf) },
    { name: 'steadiest work', plan: least(all, (one) => unsteady(one) + one.sets.length / 100) },
    { name: 'safest: one set lost', plan: safest },
  ]);
}

/** The earliest day for the last opening by which the goals are still met, and its plan. */
async function earliestFinish(fewest: PlanResult, today: Day, solve: Solve): Promise<PlanResult> {
  if (!isMet(fewest) || fewest.lines.length === 0) return fewest;
  let high = daysBetween(today, fewest.lines.map(({ lastOpening }) => lastOpening).reduce(later));
  let low = 0;
  let best = fewest;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    const plan = await solve({ lastOpeningBy: addDays(today, middle), aim: 'any' });
    if (!isMet(plan)) low = middle;
    else {
      high = middle;
      best = plan;
    }
  }
  return best === fewest ? best : improved(solve, { lastOpeningBy: addDays(today, high) }, best);
}

/** The outlook if the new set that matters most is lost, whichever that is. */
function withOneLost(outlook: Outlook): Outlook {
  const lost = (...[shares, wanted]: Parameters<Outlook>): ClaimOutlook[] => {
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
  return Object.assign(lost, { draws: outlook.draws, chicksOf: outlook.chicksOf });
}
