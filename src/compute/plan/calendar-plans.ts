/**
 * Plans of very large farms, calendar by calendar: the sets of one are sought anew, the others kept. Its
 * own program is a fraction of the whole one; what the others lie in is taken.
 */
import {
  askedNext,
  type Candidate,
  fewestOf,
  isMet,
  NEARLY_MET,
  needsOf,
  type Seeking,
  shortIn,
  sum,
} from './candidate.ts';
import { NO_PART } from './dive.ts';
import type { HatchingProblem } from './hatching-model.ts';
import type { Start } from './hatching-schedule.ts';
import { holdSets, placedOrNot } from './held-sets.ts';
import { type Need, needsOfTiming } from './needs.ts';
import { RelaxedSeason } from './relaxed.ts';
import { type Search, setsIn, WORTH_TRYING, withSetDays } from './set-search.ts';

/** How often a plan that falls a little short is mended. */
const MENDED = 3;

/**
 * A plan that falls short, mended: the sets of one calendar after the other that is short are sought anew
 * with one more. Null where that does not help.
 */
export async function metByCalendar(seeking: Seeking, found: Candidate): Promise<Candidate | null> {
  let best = found;
  while (!isMet(best)) {
    const next = await nearestAnew(seeking, best, -1);
    if (next === null || shortIn(next) >= shortIn(best)) return null;
    best = next;
  }
  return best;
}

/**
 * The same with fewer sets: those of one calendar anew with one set less, so that its needs are met as
 * fully as can be, as long as there is a calendar that can do without one. Where each falls short, the
 * plan that is nearest is mended with as many sets.
 */
export async function fewerByCalendar(seeking: Seeking, found: Candidate): Promise<Candidate> {
  let best = found;
  for (;;) {
    if ((await fewestOf(seeking, best.targets)) >= best.lines.length) return best;
    let next = await nearestAnew(seeking, best, 1);
    for (let turn = 0; next !== null && !isMet(next) && turn < MENDED; turn++) {
      const mended: Candidate | null =
        shortIn(next) > NEARLY_MET ? null : await nearestAnew(seeking, next, 0);
      next = mended !== null && shortIn(mended) < shortIn(next) ? mended : null;
    }
    if (next === null || !isMet(next) || next.lines.length >= best.lines.length) return best;
    best = next;
  }
}

/**
 * The plan with the sets of one calendar anew, `less` less: the first of which that calendar's goals are
 * met, or the one nearest to it.
 */
async function nearestAnew(
  seeking: Seeking,
  from: Candidate,
  less: number,
): Promise<Candidate | null> {
  const targets = askedNext(from);
  const calendars = await calendarsOf(seeking, from, needsOf(seeking, targets), less);
  let nearest: Candidate | null = null;
  try {
    for (const calendar of calendars) {
      const search = await calendar.fullest();
      if (search === null || search.met < WORTH_TRYING) continue;
      const held = await placedOrNot(seeking, () => holdSets(seeking, search, targets));
      if (held === null || (nearest !== null && shortIn(held.best) >= shortIn(nearest))) continue;
      nearest = held.best;
      // What other calendars are short of is theirs to mend.
      if (nearest.goals.every(({ met }, i) => met || !calendar.serves(i))) break;
    }
  } finally {
    for (const { relaxed } of calendars) relaxed.close();
  }
  return nearest;
}

/** A calendar whose sets can be sought anew. */
interface Calendar {
  relaxed: RelaxedSeason;
  /** True if its eggs are for this goal, and it is not met without. */
  serves(goal: number): boolean;
  /** How many sets it could do without, in parts. */
  spare: number;
  /** The plan with its sets anew, so that its needs are met as fully as can be; null if it runs aground. */
  fullest(): Promise<Search | null>;
}

/**
 * The calendars of a plan that could do with `less` sets less, that with most to spare first; with as many
 * as before those of which a goal is short.
 */
async function calendarsOf(
  { problem: p }: Seeking,
  { search, starts, goals }: Candidate,
  needs: readonly Need[],
  less: number,
): Promise<Calendar[]> {
  const found: Calendar[] = [];
  for (const timing of p.problem.timings.keys()) {
    const isOwn = (one: { timing: number }) => one.timing === timing;
    const sets = setsIn(search.chosen.filter(isOwn)) - less;
    if (sets < 0) continue;
    const own = needsOfTiming(p, needs, timing);
    if (less <= 0 && own.every(({ birds }, i) => birds === 0 || goals[i]!.met)) continue;
    const others = starts.filter((one) => !isOwn(one));
    const alone = { ...p, problem: aloneBeside(p.problem, timing, others) };
    const relaxed = await RelaxedSeason.open(alone, own);
    const spare = sets - (relaxed.fewestWith(own, []) ?? Number.POSITIVE_INFINITY);
    if (spare < -NO_PART) {
      relaxed.close();
      continue;
    }
    const fullest = async (): Promise<Search | null> => {
      const anew = await relaxed.dive(own, { most: 'birds', sets }, 'fullest');
      return anew && { ...anew, ...joined(search, anew, timing) };
    };
    const serves = (goal: number) => own[goal]!.birds > 0;
    found.push({ relaxed, serves, spare, fullest });
  }
  return found.sort((a, b) => b.spare - a.spare);
}

/** The sets of a plan, those of one calendar being others. */
function joined(
  search: Search,
  anew: Search,
  timing: number,
): Pick<Search, 'chosen' | 'sets' | 'values'> {
  const others = search.chosen.filter((one) => one.timing !== timing);
  const chosen = [...others, ...anew.chosen];
  return {
    chosen,
    sets: setsIn(chosen),
    values: new Map([...search.values, ...anew.values]),
  };
}

/** The problem of one calendar beside sets of others. */
function aloneBeside(
  problem: HatchingProblem,
  timing: number,
  others: readonly Start[],
): HatchingProblem {
  return {
    ...withSetDays(problem, (one) => one === timing),
    setters: problem.setters.map((setter, c) => ({
      ...setter,
      taken: withStays(
        setter.taken,
        others
          .filter((one) => one.setter === c)
          .map((one) => ({
            from: one.day,
            to: one.day + problem.timings[one.timing]!.transfer,
            places: sum(one.trays, ({ trays }) => trays),
          })),
      ),
    })),
    hatchers: problem.hatchers.map((hatcher, h) => {
      const taken = withStays(
        hatcher.taken,
        others
          .filter((one) => one.hatcher === h)
          .map((one) => ({
            from: one.day + problem.timings[one.timing]!.transfer,
            to: one.day + problem.timings[one.timing]!.lastOpening + hatcher.cleanDays,
            places: one.sets,
          })),
      );
      // Sets that lie together take the one hatcher there is.
      return { ...hatcher, taken: taken.map((places) => Math.min(places, hatcher.count)) };
    }),
  };
}

/** Places taken by day, with those of further stays. */
function withStays(
  taken: readonly number[],
  stays: readonly { from: number; to: number; places: number }[],
): number[] {
  const last = stays.reduce((most, { to }) => Math.max(most, to), taken.length);
  const found = Array.from({ length: last }, (_, day) => taken[day] ?? 0);
  for (const { from, to, places } of stays)
    for (let day = from; day < to; day++) found[day]! += places;
  return found;
}
