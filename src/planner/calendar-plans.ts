/**
 * Plans made calendar by calendar. A goal is served by the eggs of one calendar, so the sets of each are
 * sought alone, in the room that those of the others leave: its own program is a part of the whole one,
 * and rounds to few sets.
 */
import {
  type Asking,
  askedNext,
  birdsWanted,
  type Candidate,
  fewestOf,
  isMet,
  NEARLY_MET,
  needsOf,
  noBirds,
  onFewerDays,
  type Seeking,
  shortIn,
  withRelaxed,
} from './candidate.ts';
import { firstTargets, withinReach } from './first-targets.ts';
import type { Start } from './hatching-schedule.ts';
import { holdSets, placedOrNot } from './held-sets.ts';
import { isServed } from './needs.ts';
import { dives } from './relaxed.ts';
import { aloneBeside } from './room-beside.ts';
import { mostSets, type Search, setsIn, WORTH_TRYING } from './set-search.ts';

/** A calendar that needs sets. */
interface Calendar {
  timing: number;
  /** The goals that its eggs serve. */
  goals: readonly number[];
  /** Birds to be expected of each of them, as far as the relaxed program tells. */
  targets: readonly number[];
  /** No plan gives about so many birds with fewer sets, even with the machines to itself. */
  fewest: number;
}

/** The fewest sets found for a calendar, and what came nearest with one less, if anything came near. */
interface Sought {
  plan: Candidate;
  short: Candidate | null;
}

/** What was found, by timing. */
type Found = Map<number, Sought>;

/**
 * A plan that meets every goal, each calendar in few sets. Null where one was found for not every calendar.
 *
 * @throws NoPlace where the sets have no place in the machines, though there is room in sum
 */
export async function plannedByCalendar(asking: Asking): Promise<Candidate | null> {
  // Those with the most sets are the hardest to fit beside others.
  let calendars = (await calendarsOf(asking)).sort((a, b) => b.fewest - a.fewest);
  for (let order = 0; order < calendars.length; order++) {
    const found: Found = new Map();
    const stuck = await firstStuck(asking, calendars, found);
    if (stuck === null) {
      const plan = await joined(asking, calendars, found);
      return isMet(plan) ? { ...plan, fewest: await fewestKnown(asking, calendars, found) } : null;
    }
    // The one that finds no room comes first.
    calendars = [stuck, ...calendars.filter((one) => one !== stuck)];
  }
  return null;
}

/** Finds the sets of one calendar after the other. Returns the first that has none, if any. */
async function firstStuck(
  asking: Asking,
  calendars: readonly Calendar[],
  found: Found,
): Promise<Calendar | null> {
  for (const calendar of calendars) {
    const sought = await soughtAlone(asking, calendar, found);
    if (sought === null) return calendar;
    found.set(calendar.timing, sought);
  }
  return null;
}

/** The fewest sets found for one calendar beside those of others; null where there are none. */
async function soughtAlone(
  asking: Asking,
  calendar: Calendar,
  others: Found,
): Promise<Sought | null> {
  const starts = [...others.values()].flatMap(({ plan }) => plan.starts);
  const alone = askingOf(asking, calendar, starts);
  const most = mostSets(calendar.fewest);
  return withRelaxed(onFewerDays(alone), async (seeking) => {
    let sets = await leastOf(seeking, calendar.targets);
    if (sets === 0) return null;
    let plan: Candidate | null = null;
    let short: Candidate | null = null;
    let { targets } = calendar;
    while (
      sets <= most &&
      (plan === null || sets >= (await fewestOf(seeking, birdsWanted(plan))))
    ) {
      const tried = await filled(seeking, alone, targets, sets);
      if (tried !== null) targets = askedNext(tried);
      if (tried !== null && isMet(tried)) {
        plan = tried;
        if (short !== null) break;
        sets = plan.lines.length - 1;
      } else {
        short = tried;
        if (plan !== null) break;
        sets++;
      }
    }
    return plan && { plan, short };
  });
}

/**
 * So many sets that give each goal its chance, or else come nearest to it: on some of the days first and,
 * where little is missing, on all. Null where none come near.
 */
async function filled(
  seeking: Seeking,
  asking: Asking,
  from: readonly number[],
  sets: number,
): Promise<Candidate | null> {
  const found = await filledOn(seeking, from, sets);
  if (found === null || isMet(found) || shortIn(found) > NEARLY_MET) return found;
  if (seeking.problem.problem === asking.problem.problem) return found;
  const asked = askedNext(found);
  const nearer = await withRelaxed(asking, (onAll) => filledOn(onAll, asked, sets));
  return nearer !== null && shortIn(nearer) < shortIn(found) ? nearer : found;
}

/** In how many ways so many sets are filled: all of them where little is missing. */
const WAYS = 10;
const WAYS_AT_LEAST = 2;

async function filledOn(
  seeking: Seeking,
  from: readonly number[],
  sets: number,
): Promise<Candidate | null> {
  let nearest: Candidate | null = null;
  let targets = from;
  for (let way = 0; way < WAYS; way++) {
    if (way >= WAYS_AT_LEAST && (nearest === null || shortIn(nearest) > NEARLY_MET)) break;
    const search = await seeking.relaxed.dive(
      needsOf(seeking, targets),
      { most: 'birds', sets },
      dives[way % dives.length]!,
      { variant: Math.floor(way / dives.length) },
    );
    if (search === null || (way > 0 && search.met < WORTH_TRYING)) continue;
    const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
    if (held === null) continue;
    if (nearest === null || shortIn(held.best) < shortIn(nearest)) nearest = held.best;
    if (isMet(nearest)) return nearest;
    targets = askedNext(held.best);
  }
  return nearest;
}

/** The calendars that must have sets for the goals. */
async function calendarsOf(asking: Asking): Promise<Calendar[]> {
  const needs = needsOf(asking, noBirds(asking));
  const found: Calendar[] = [];
  for (const timing of asking.problem.problem.timings.keys()) {
    const own = [...needs.keys()].filter((i) => isServed(asking.problem, needs[i]!, timing));
    const alone = askingOf(asking, { timing, goals: own }, []);
    const calendar = await withRelaxed(onFewerDays(alone), async (seeking) => {
      const targets = firstTargets(seeking);
      return { timing, goals: own, targets, fewest: await leastOf(seeking, targets) };
    });
    if (calendar.targets.some((birds) => birds > 0)) found.push(calendar);
  }
  return found;
}

/**
 * Sets below which no plan gives as many birds as this one, even with the machines to each calendar; nor
 * as many as one with fewer sets would have to give, as far as what came nearest with one less tells.
 */
async function fewestKnown(
  asking: Asking,
  calendars: readonly Calendar[],
  found: Found,
): Promise<number> {
  let all = 0;
  for (const calendar of calendars) {
    const { plan, short } = found.get(calendar.timing)!;
    all += await withRelaxed(askingOf(asking, calendar, []), async (seeking) => {
      const fewest = await fewestOf(seeking, birdsWanted(plan));
      const fewestLess = short === null ? 0 : await fewestOf(seeking, birdsWanted(short));
      return Math.max(fewest, Math.min(plan.lines.length, fewestLess));
    });
  }
  return all;
}

/** The fewest sets that could give so many birds, or not much less; 0 where none could. */
async function leastOf(seeking: Seeking, targets: readonly number[]): Promise<number> {
  const birds = withinReach(seeking, targets);
  return birds === null ? 0 : fewestOf(seeking, birds);
}

/** What is asked of one calendar, beside sets of others. */
function askingOf(
  asking: Asking,
  { timing, goals }: Pick<Calendar, 'timing' | 'goals'>,
  others: readonly Start[],
): Asking {
  const { problem: p, outlook, without } = asking;
  const own = <T>(all: readonly T[]) => goals.map((i) => all[i]!);
  return {
    ...asking,
    problem: { ...p, goals: own(p.goals), problem: aloneBeside(p.problem, timing, others) },
    outlook: (shares) => own(outlook(shares)),
    without: own(without),
  };
}

/** The plan of all calendars together. */
async function joined(
  asking: Asking,
  calendars: readonly Calendar[],
  found: Found,
): Promise<Candidate> {
  const targets = noBirds(asking);
  for (const { timing, goals } of calendars)
    goals.forEach((goal, i) => {
      targets[goal] = found.get(timing)!.plan.targets[i]!;
    });
  const searches = [...found.values()].map(({ plan }) => plan.search);
  const chosen = searches.flatMap((one) => one.chosen);
  const search: Search = {
    chosen,
    sets: setsIn(chosen),
    missing: targets.map(() => 0),
    met: Math.min(...searches.map(({ met }) => met)),
    isBest: false,
    values: new Map(searches.flatMap(({ values }) => [...values])),
  };
  const { best } = await holdSets(asking, search, targets);
  return best;
}
