/**
 * A plan mended: shares whose eggs no longer count or will not be there are cut, lines that cannot stand go,
 * the others stay, and what is then missing is added. A line that goes and the new one nearest its day are
 * one change. Lines that nothing needs are named.
 */
import { conflictsOf } from '../facts/checks/index.ts';
import { plannedDraws } from '../facts/egg-store.ts';
import { work } from '../facts/tasks/work.ts';
import { expectedIn } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, PlannedSet, Season } from '../season/model.ts';
import { daysBetween } from '../text/day.ts';
import { linesToCome, plannedShares } from './forecast.ts';
import {
  nearness,
  type PlanOptions,
  type PlanResult,
  plannedLine,
  planSeason,
  type SetToCome,
} from './plan.ts';
import { type LineToWrite, type PlanLine, writtenLine } from './plan-lines.ts';
import type { Outlook } from './tried.ts';

/** One line of the plan that is not as it was. */
export interface Change {
  set: string;
  before: string | null;
  after: string | null;
  /** Sound chicks expected of it, less what was expected of it before. */
  chicks: number;
  why: string;
}

export interface Mended {
  plan: PlanResult;
  changes: readonly Change[];
  /** Names of lines that are not as they were. */
  dropped: readonly string[];
  /** Lines that stay and that nothing needs. */
  superfluous: readonly string[];
  /** Lines to write in the place of those. */
  lines: readonly LineToWrite[];
}

/** A pen whose eggs are fertile less than this part of what is usual no longer counts (judgement). */
const WEAK = 0.5;

/** A line that cannot stay as it is: what is left of it, and why. */
interface CutLine {
  line: PlannedSet;
  left: PlannedSet | null;
  why: string;
}

/** Mends the plan of a season. */
export async function mendedPlan(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
): Promise<Mended> {
  const weak = weakPens(season, rates);
  const open = linesToCome(season, now.day);
  const solved = (lines: readonly PlannedSet[], idle: ReadonlyMap<string, string>) =>
    planSeason(withPlanned(season, lines), now, rates, outlookOf, {
      ...options,
      replan: false,
      idle: new Set(idle.keys()),
    });
  const tried = async (idle: ReadonlyMap<string, string>) => {
    const cuts = cutLines(season, now, rates, idle);
    return { cuts, plan: await solved(standing(open, cuts), idle) };
  };
  let { cuts, plan } = await tried(weak);
  const isShort = () => plan.status === 'infeasible';
  if (isShort() && standing(open, cuts).length > 0) {
    // Beside the lines that stay it cannot be: then those for birds that are short may go, then all.
    const short = new Set(plan.claims.flatMap(({ met, claim }) => (met ? [] : [claim.line])));
    const isLoose = ({ shares }: PlannedSet) => shares.some(({ pen }) => short.has(pen.line));
    const why = ({ name }: PlannedSet) =>
      cuts.get(name)?.why ?? 'the goals cannot be met beside this line';
    for (const mayGo of open.every(isLoose) ? [isLoose] : [isLoose, () => true]) {
      const free = open.filter(mayGo);
      const gone = new Map(free.map((line) => [line.name, { line, left: null, why: why(line) }]));
      const fewer = new Map([...cuts, ...gone]);
      const anew = await solved(standing(open, fewer), weak);
      // Where none gives all that is asked, the nearest is told.
      if (anew.status === 'infeasible' && nearness(anew) <= nearness(plan)) continue;
      cuts = fewer;
      plan = anew;
      if (!isShort()) break;
    }
  }
  // Nothing is met without the eggs of weak pens: then few are better than none.
  if (isShort() && weak.size > 0) ({ cuts, plan } = await tried(new Map()));
  return mendedOf(season, outlookOf, { plan, cuts, open });
}

/** Pens that give too few fertile eggs to count on, with what was seen. */
function weakPens(season: Season, rates: FarmRates): Map<string, string> {
  return new Map(
    [...season.pens.values()].flatMap((pen): [string, string][] => {
      const { mean, prior, own } = rates.rate('fertile', pen);
      if (own.n === 0 || mean >= WEAK * prior.mean) return [];
      return [[pen.name, `${pen.name}: ${own.x} of ${own.n} fertile, so its eggs no longer count`]];
    }),
  );
}

/** The season with its plan lines to come replaced. */
function withPlanned(season: Season, lines: readonly PlannedSet[]): Season {
  const recorded = season.planned.filter((line) => season.sets.has(line.name));
  return { ...season, planned: [...recorded, ...lines] };
}

const standing = (open: readonly PlannedSet[], cuts: ReadonlyMap<string, CutLine>): PlannedSet[] =>
  open.flatMap((line) => {
    const cut = cuts.get(line.name);
    return cut === undefined ? [line] : cut.left === null ? [] : [cut.left];
  });

/** Lines that cannot stay as they are: weak pens first, then what check has against each, eggs last. */
function cutLines(
  season: Season,
  now: Now,
  rates: FarmRates,
  weak: ReadonlyMap<string, string>,
): Map<string, CutLine> {
  const open = linesToCome(season, now.day);
  const cuts = new Map<string, CutLine>();
  const leave = (line: PlannedSet, left: PlannedSet | null, why: string) => {
    const first = cuts.get(line.name);
    cuts.set(line.name, { line: first?.line ?? line, left, why: first?.why ?? why });
  };
  const cut = (line: PlannedSet, shares: PlannedSet['shares'], why: string) => {
    const left = { ...line, shares };
    const isSmall = eggsOf(left) < Math.min(work.least_set_eggs.value, eggsOf(line));
    leave(line, isSmall || eggsOf(left) === 0 ? null : left, why);
  };
  for (const line of open) {
    const failed = line.shares.find(({ pen }) => weak.has(pen.name));
    if (failed !== undefined)
      cut(
        line,
        line.shares.filter(({ pen }) => !weak.has(pen.name)),
        weak.get(failed.pen.name)!,
      );
  }
  const conflictsOfAll = (lines: readonly PlannedSet[]) => {
    const there = withPlanned(season, lines);
    const expected = expectedIn(there, now, () => rates);
    const names = new Set(lines.map(({ name }) => name));
    const faults = conflictsOf(there, now, expected);
    return { there, expected, own: faults.filter(({ set }) => set !== null && names.has(set)) };
  };
  /** The line on its day, in a hatcher where nothing is against it; null where there is none. */
  const inAnotherHatcher = (line: PlannedSet, faults: number): PlannedSet | null => {
    for (const hatcher of season.hatchers.keys()) {
      if (line.hatcher === null || hatcher === line.hatcher) continue;
      const left = { ...line, hatcher };
      const lines = standing(open, cuts).map((one) => (one.name === line.name ? left : one));
      const { own } = conflictsOfAll(lines);
      if (own.length < faults && own.every(({ set }) => set !== line.name)) return left;
    }
    return null;
  };
  for (;;) {
    const { there, expected, own } = conflictsOfAll(standing(open, cuts));
    // Too many eggs for a machine may be too many to be there: those are cut first.
    const hard =
      own.find(({ code }) => code !== 'eggs-not-there' && !code.endsWith('-overfull')) ??
      (own.some(({ code }) => code === 'eggs-not-there') ? undefined : own[0]);
    if (hard !== undefined) {
      const line = there.planned.find(({ name }) => name === hard.set)!;
      const moved = inAnotherHatcher(line, own.length);
      leave(line, moved, hard.message);
      continue;
    }
    const short = own.find(({ code }) => code === 'eggs-not-there');
    if (short === undefined) return cuts;
    const draw = plannedDraws(there, now.day, expected.eggsADay).find(
      ({ set, pen, missing }) => missing > 0 && set === short.set && pen === short.pen,
    );
    const line = there.planned.find(({ name }) => name === short.set)!;
    const shares = line.shares.flatMap((one) => {
      if (one.pen.name !== short.pen) return [one];
      const eggs = one.eggs - (draw?.missing ?? one.eggs);
      return eggs > 0 ? [{ ...one, eggs }] : [];
    });
    cut(line, shares, short.message);
  }
}

const eggsOf = ({ shares }: PlannedSet): number => shares.reduce((sum, one) => sum + one.eggs, 0);

const daysFrom = (line: PlannedSet, { on }: PlanLine): number => Math.abs(daysBetween(line.on, on));

const sharesWords = (shares: readonly (readonly [string, number])[]): string =>
  shares.map(([pen, eggs]) => `${pen} ${eggs}`).join(', ');

const newWords = ({ on, shares }: LineToWrite): string =>
  `${on}: ${sharesWords(Object.entries(shares))}`;

/** The differences of two plans, line by line, and which lines nothing needs. */
function mendedOf(
  season: Season,
  outlookOf: (season: Season) => Outlook,
  {
    plan,
    cuts,
    open,
  }: { plan: PlanResult; cuts: ReadonlyMap<string, CutLine>; open: PlannedSet[] },
): Mended {
  const expected = new Map(plan.sets.map((one) => [one.set, one.expected]));
  const expectedBefore = outlookOf(season).chicksOf([]);
  const names = new Map<PlanLine, string>();
  const changes: Change[] = [];
  const dropped: string[] = [];
  const lines: LineToWrite[] = [];
  for (const { line, left, why } of cuts.values()) {
    const [near] =
      left !== null
        ? []
        : plan.lines
            .filter((one) => !names.has(one) && one.species === line.speciesName)
            .sort((a, b) => daysFrom(line, a) - daysFrom(line, b));
    if (near) names.set(near, line.name);
    const after = left !== null ? writtenLine(left) : (near ?? null);
    const before = writtenLine(line);
    if (after !== null && left === null && newWords(after) === newWords(before)) {
      const same = (of: LineToWrite) => JSON.stringify([of.setter, of.trays, of.hatcher]);
      if (same(after) === same(before)) {
        dropped.push(line.name);
        continue;
      }
    }
    if (left !== null) lines.push(writtenLine(left));
    dropped.push(line.name);
    // Where it hatches is told where only that changes.
    const into = left !== null && left.hatcher !== line.hatcher;
    const words = (one: LineToWrite) => `${newWords(one)}${into ? `, into ${one.hatcher}` : ''}`;
    changes.push({
      set: line.name,
      before: words(before),
      after: after && words(after),
      chicks:
        (after ? (expected.get(near?.set ?? line.name) ?? 0) : 0) -
        (expectedBefore.get(line.name) ?? 0),
      why,
    });
  }
  // A new line keeps the name of the one in whose place it stands; the others take the names that are left.
  const given = new Set(names.values());
  const free = plan.lines.map(({ set }) => set).filter((set) => !given.has(set));
  const nameOf = new Map(
    plan.lines.map((line) => [line.set, names.get(line) ?? free.shift() ?? line.set]),
  );
  const named = (line: PlanLine): PlanLine => ({ ...line, set: nameOf.get(line.set)! });
  for (const line of plan.lines)
    if (!names.has(line))
      changes.push({
        set: nameOf.get(line.set)!,
        before: null,
        after: newWords(line),
        chicks: expected.get(line.set)!,
        why: whyAdded(plan),
      });
  const viewed = (one: SetToCome): SetToCome =>
    one.kept ? one : { ...one, set: nameOf.get(one.set)! };
  const staying = standing(open, cuts);
  return {
    plan: { ...plan, lines: plan.lines.map(named), sets: plan.sets.map(viewed) },
    changes,
    dropped,
    superfluous:
      plan.status === 'infeasible' ? [] : superfluousLines(season, outlookOf, plan, staying),
    lines: [...lines, ...plan.lines.map(named)],
  };
}

/** What was missing without new lines. */
function whyAdded({ claims, without }: PlanResult): string {
  const short = claims.flatMap(({ claim }, i) =>
    without[i]!.probability < claim.confidence
      ? [
          `${claim.count} ${claim.line.name} ${claim.want}${claim.for === null ? '' : ` for ${claim.for}`}`,
        ]
      : [],
  );
  const last = short.pop();
  if (last === undefined) return 'makes up for what goes';
  return `${short.length === 0 ? '' : `${short.join(', ')} and `}${last} would come short`;
}

/** Lines that stay without any of which every claim is still met as asked; the last ones first, each beside the rest. */
function superfluousLines(
  season: Season,
  outlookOf: (season: Season) => Outlook,
  { claims, lines: added }: PlanResult,
  staying: readonly PlannedSet[],
): string[] {
  const wanted = claims.map((_, i) => i);
  const bare = outlookOf(withPlanned(season, []));
  const fresh = plannedShares(added.map((line) => plannedLine(season, line)));
  const isMet = (lines: readonly PlannedSet[]) =>
    bare([...plannedShares(lines), ...fresh], wanted).every(
      ({ probability }, i) => probability >= claims[i]!.claim.confidence,
    );
  let lines = staying;
  const found: string[] = [];
  for (const line of staying.toReversed()) {
    const rest = lines.filter((one) => one !== line);
    if (!isMet(rest)) continue;
    found.push(line.name);
    lines = rest;
  }
  return found;
}
