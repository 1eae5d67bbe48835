/**
 * A plan mended: lines that can stand stay, the others go, and what is then missing is added. A line that
 * goes and a new one near its day are one change. Lines that nothing needs are named.
 */
import { conflictsOf } from '../facts/checks/index.ts';
import { openPlan } from '../facts/hatch-time.ts';
import { expectedIn } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, PlannedSet, Season } from '../season/model.ts';
import { daysBetween } from '../text/day.ts';
import { linesToCome, plannedShares } from './forecast.ts';
import { type PlanOptions, type PlanResult, planSeason } from './plan.ts';
import type { PlanLine } from './plan-lines.ts';
import type { Outlook } from './tried.ts';

/** One line of the plan that is not as it was. */
export interface Change {
  set: string;
  before: string | null;
  after: string | null;
  why: string;
}

export interface Mended {
  plan: PlanResult;
  changes: readonly Change[];
  /** Names of lines that go. */
  dropped: readonly string[];
  /** Lines that stay and that nothing needs. */
  superfluous: readonly string[];
  /** New lines, those in the place of an old one under its name. */
  lines: readonly PlanLine[];
}

/** A new line so near the day of one that goes stands in its place, days. */
const NEAR = 10;

/** Mends the plan of a season. */
export async function mendedPlan(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook & { draws?: number },
  options: PlanOptions,
): Promise<Mended> {
  const reasons = reasonsOf(season, now, rates);
  const without = (names: ReadonlySet<string>): Season => ({
    ...season,
    planned: season.planned.filter((line) => season.sets.has(line.name) || !names.has(line.name)),
  });
  const gone = new Set(reasons.keys());
  const plan = await planSeason(without(gone), now, rates, outlookOf, {
    ...options,
    replan: false,
  });
  const replaced = new Map<string, PlanLine>();
  const changes: Change[] = [];
  const own = linesToCome(season, now.day).filter((line) => gone.has(line.name));
  for (const line of own) {
    const [near] = plan.lines
      .filter((one) => ![...replaced.values()].includes(one) && one.species === line.speciesName)
      .map((one) => ({ one, days: Math.abs(daysBetween(line.on, one.on)) }))
      .filter(({ days }) => days <= NEAR)
      .sort((a, b) => a.days - b.days);
    if (near) replaced.set(line.name, near.one);
    changes.push({
      set: line.name,
      before: lineWords(line),
      after: near ? newWords(near.one) : null,
      why: reasons.get(line.name)!,
    });
  }
  const named = new Map([...replaced].map(([name, line]) => [line, name]));
  const lines = plan.lines.map((line) => ({ ...line, set: named.get(line) ?? line.set }));
  for (const line of plan.lines)
    if (!named.has(line))
      changes.push({
        set: line.set,
        before: null,
        after: newWords(line),
        why: whyAdded(plan),
      });
  return {
    plan,
    changes,
    dropped: [...gone],
    superfluous:
      plan.status === 'infeasible' || plan.lines.length > 0
        ? []
        : superfluousLines(without(gone), now, outlookOf, plan),
    lines,
  };
}

/** Why lines to come cannot stand, by their names: the first reason that check has against each. */
function reasonsOf(season: Season, now: Now, rates: FarmRates): Map<string, string> {
  const open = new Set(linesToCome(season, now.day).map((line) => line.name));
  const found = new Map<string, string>();
  for (const { set, message } of conflictsOf(
    season,
    now,
    expectedIn(season, now, () => rates),
  ))
    if (set !== null && open.has(set) && !found.has(set)) found.set(set, message);
  return found;
}

const sharesWords = (shares: readonly (readonly [string, number])[]): string =>
  shares.map(([pen, eggs]) => `${pen} ${eggs}`).join(', ');

const lineWords = ({ on, shares }: PlannedSet): string =>
  `${on}: ${sharesWords(shares.map(({ pen, eggs }) => [pen.name, eggs] as const))}`;

const newWords = ({ on, shares }: PlanLine): string =>
  `${on}: ${sharesWords(Object.entries(shares))}`;

/** What was missing without new lines. */
function whyAdded({ claims, without }: PlanResult): string {
  const short = claims.filter(({ claim }, i) => without[i]!.probability < claim.confidence);
  return short.length === 0
    ? 'makes up for what goes'
    : `${short.map(({ claim }) => `${claim.count} ${claim.line.name} ${claim.want}`).join(' and ')} would come short`;
}

/** Lines to come without any of which every claim is still met as asked; the last ones first, each beside the rest. */
function superfluousLines(
  season: Season,
  now: Now,
  outlookOf: (season: Season) => Outlook,
  { claims }: PlanResult,
): string[] {
  const wanted = claims.map((_, i) => i);
  const bare = outlookOf({
    ...season,
    planned: season.planned.filter((one) => season.sets.has(one.name)),
  });
  const isMet = (lines: readonly PlannedSet[]) =>
    bare(plannedShares(lines), wanted).every(
      ({ probability }, i) => probability >= claims[i]!.claim.confidence,
    );
  let lines = openPlan(season).filter((line) => line.on >= now.day);
  const found: string[] = [];
  for (const line of [...lines].reverse()) {
    const rest = lines.filter((one) => one !== line);
    if (!isMet(rest)) continue;
    found.push(line.name);
    lines = rest;
  }
  return found;
}
