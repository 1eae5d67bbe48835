/**
 * The plan: sets that give each goal and order its birds with the confidence asked for.
 *
 * season → problem (`problem.ts`) → a linear program a calendar (`program.ts`) → whole sets
 * (`rounding.ts`) → whole eggs (`eggs.ts`), with the simulation (`outlook.ts`) as judge of how many birds must
 * be expected (`search.ts`) and of sets moved by some days (`polish.ts`) → lines in trays (`plan-lines.ts`) →
 * held against the rules of `check` → what it comes to, in words for the tables.
 */

import { conflictsOf } from '../facts/checks/index.ts';
import { type Claim, isOnCourse } from '../facts/claims.ts';
import { milestonesOfPlanned, openPlan } from '../facts/hatch-time.ts';
import { expectedIn } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, PlannedSet, Season } from '../season/model.ts';
import type { Fault } from '../text/fault.ts';
import { largest } from '../text/lists.ts';
import { type Sought, soughtPlan } from './calendars.ts';
import { Effort, Interrupted } from './effort.ts';
import { linesToCome, plannedShares } from './forecast.ts';
import { NoPlace, type PlanLine, type PlannedView, planLines, writtenLine } from './plan-lines.ts';
import { type Problem, problemOf, seasonKeeping, type Wishes, withStays } from './problem.ts';
import { SolverFailure } from './solver.ts';
import { type Aim, CHANCE_STEP, type ClaimOutlook, lossOf, type Outlook } from './tried.ts';

export interface PlanOptions extends Wishes {
  /** Plan lines still to come are made anew. */
  replan: boolean;
  effort?: Effort;
  /** The fewest sets, where nothing is said. */
  aim?: Aim;
  /** Told of each calendar as it is planned: sets so far and the fewest there could be. */
  onFound?: (found: { sets: number; fewest: number }) => void;
}

/** What a plan gives a goal or an order. */
export interface ClaimResult extends ClaimOutlook {
  claim: Claim;
  met: boolean;
}

/** A set to come: a new one, or the keeper's own line; the sound chicks expected of it. */
export type SetToCome = PlannedView & { kept: boolean; expected: number };

export interface PlanResult {
  status: 'optimal' | 'bounded' | 'infeasible';
  /** The work was stopped before a plan was found: it has none. */
  interrupted: boolean;
  /** Share by which there may be more new sets than the fewest possible. */
  gap: number;
  /** The fewest new sets there could be. */
  fewest: number;
  /** All sets to come, by day. */
  sets: readonly SetToCome[];
  /** The new ones, as season.yaml takes them. */
  lines: readonly PlanLine[];
  /** Sound chicks of all sets to come expected to be lost to storage. */
  loss: number;
  /** What check says of the brooders' room for the chicks to come. */
  crowding: readonly Fault[];
  /** Eggs that kept lines want that are not expected to be there. */
  missing: readonly { set: string; pen: string; eggs: number }[];
  /** Goals and orders in the order in which they are served. */
  claims: ClaimResult[];
  /** What the same claims may expect without new sets. */
  without: readonly ClaimOutlook[];
  /** Hatching eggs expected and not needed, by pen, until its last day for setting. */
  spare: readonly { pen: string; eggs: number }[];
}

/** How near a plan comes to what is asked: each chance as a part of the one asked, up to 1, in all. */
export const nearness = ({ claims }: Pick<PlanResult, 'claims'>): number =>
  claims.reduce(
    (sum, { met, probability, claim }) => sum + (met ? 1 : probability / claim.confidence),
    0,
  );

/** How often a plan that fits in sum but not in whole setters is sought again. */
const TRIES = 6;

/** Plans a season. Throws SolverFailure if the solver gives no trustworthy answer. */
export async function planSeason(
  season: Season,
  now: Now,
  rates: FarmRates,
  outlookOf: (season: Season) => Outlook,
  options: PlanOptions,
): Promise<PlanResult> {
  const base = seasonKeeping(season, (line) => !(options.replan && line.on >= now.day));
  let problem = problemOf(base, now, rates, options);
  const outlook = outlookOf(base);
  const without = outlook(
    [],
    problem.wanted.map((_, i) => i),
  );
  const effort = options.effort ?? new Effort();
  for (let turn = 0; ; turn++) {
    try {
      const sought = acceptedAsItIs(problem, base, without, outlook.draws)
        ? nothingSought(without)
        : await soughtPlan(
            { p: problem, outlook, without, effort, aim: options.aim ?? 'sets' },
            ({ starts, fewest }) => options.onFound?.({ sets: starts.length, fewest }),
          );
      const lines = planLines(problem, sought.starts);
      const { broken, crowding } = checked(base, now, rates, lines);
      if (broken.length > 0)
        throw new SolverFailure(
          `the plan breaks a rule of check: ${broken[0]!.code}: ${broken[0]!.message}`,
        );
      return { ...resultOf(problem, lines, outlook, sought, without), crowding };
    } catch (error) {
      if (error instanceof Interrupted) {
        const none = { ...nothingSought(without), isMet: false };
        return { ...resultOf(problem, [], outlook, none, without), interrupted: true };
      }
      if (!(error instanceof NoPlace)) throw error;
      if (turn === TRIES) throw new SolverFailure(error.message);
      problem = withoutOneTray(problem, error);
    }
  }
}

/** True if lines that were accepted before still give what was asked, but for what a simulation cannot tell. */
function acceptedAsItIs(
  { wanted }: Problem,
  base: Season,
  without: readonly ClaimOutlook[],
  draws: number,
): boolean {
  const isAccepted = openPlan(base).length > 0;
  return wanted.every(({ claim }, i) => {
    const { probability } = without[i]!;
    return isAccepted
      ? isOnCourse(probability, claim.confidence, draws)
      : probability >= claim.confidence - CHANCE_STEP;
  });
}

const nothingSought = (outlook: readonly ClaimOutlook[]): Sought => ({
  starts: [],
  fewest: 0,
  outlook,
  isMet: true,
  met: 0,
  short: 0,
});

/** What is free of a class of setter is scattered on those days: one tray of it is not counted on. */
function withoutOneTray(p: Problem, { setter, day, days }: NoPlace): Problem {
  const stays = [{ from: day, to: day + days, places: 1 }];
  return {
    ...p,
    setters: p.setters.map((one, s) =>
      s === setter ? { ...one, taken: withStays(one.taken, stays) } : one,
    ),
  };
}

function resultOf(
  p: Problem,
  lines: readonly PlanLine[],
  simulated: Outlook,
  { fewest, outlook, isMet }: Sought,
  without: readonly ClaimOutlook[],
): PlanResult {
  const { season, now } = p;
  const made = lines.length;
  const least = isMet ? Math.min(made, fewest) : made;
  const claims = p.wanted.map(({ claim }) => claim);
  const expected = simulated.chicksOf(
    plannedShares(lines.map((line) => plannedLine(season, line))),
  );
  return {
    status: !isMet ? 'infeasible' : least < made ? 'bounded' : 'optimal',
    interrupted: false,
    gap: made === 0 ? 0 : 1 - least / made,
    fewest: least,
    sets: [
      ...lines.map((line) => ({ ...line, kept: false })),
      ...linesToCome(season, now.day).map((line) => ({ ...keptSet(p, line), kept: true })),
    ]
      .map((one) => ({ ...one, expected: expected.get(one.set) ?? 0 }))
      .sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0)),
    lines,
    loss: lines.reduce((sum, line) => sum + line.loss, keptLoss(p)),
    crowding: [],
    missing: missingOf(p),
    claims: claims.map((claim, i) => ({
      ...outlook[i]!,
      claim,
      met: isMet || outlook[i]!.probability >= claim.confidence - CHANCE_STEP,
    })),
    without,
    spare: spareOf(p, lines),
  };
}

function keptSet(p: Problem, line: PlannedSet): PlannedView {
  const { transfer, hatch } = milestonesOfPlanned(line, p.season);
  const ages = p.stays.flatMap(({ set }, i) => (set === line.name ? p.given[i]!.ages : []));
  return {
    ...writtenLine(line),
    eggs: line.shares.reduce((sum, share) => sum + share.eggs, 0),
    oldest_days: largest([0, ...ages.map(({ age }) => age)]),
    transfer,
    hatch,
  };
}

/** Chicks that storage is expected to take of lines which stay. */
const keptLoss = (p: Problem): number =>
  p.stays.reduce((sum, { pool }, i) => sum + lossOf(p, pool, p.given[i]!.ages), 0);

/** Eggs that lines which stay want and that are not expected to be there. */
const missingOf = (p: Problem): PlanResult['missing'] =>
  p.stays.flatMap(({ set, pool, eggs }, i) => {
    const short = eggs - p.given[i]!.eggs;
    return short > 0 ? [{ set, pen: p.pools[pool]!.pen.name, eggs: short }] : [];
  });

function spareOf(p: Problem, lines: readonly PlanLine[]): PlanResult['spare'] {
  return p.pools.map(({ pen, lots, to, maxAge }, pool) => {
    const there = lots.reduce((sum, eggs, at) => (at - maxAge <= to ? sum + eggs : sum), 0);
    const used = lines.reduce((sum, line) => sum + (line.shares[pen.name] ?? 0), 0);
    const kept = p.stays.reduce((sum, one) => (one.pool === pool ? sum + one.eggs : sum), 0);
    return { pen: pen.name, eggs: Math.max(0, there - used - kept) };
  });
}

/** A line as it would stand in the season. */
export function plannedLine(season: Season, line: PlanLine): PlannedSet {
  const shares = Object.entries(line.shares).map(([name, eggs]) => ({
    pen: season.pens.get(name)!,
    eggs,
  }));
  return {
    name: line.set,
    on: line.on,
    setter: line.setter,
    trays: line.trays,
    shares,
    hatcher: line.hatcher,
    species: shares[0]!.pen.line.species,
    speciesName: line.species,
    at: { file: 'season.yaml', line: 1, column: 1 },
  };
}

/** The season as it would stand with the lines in its plan. */
export function withLines(season: Season, lines: readonly PlanLine[]): Season {
  const added = lines.map((line) => plannedLine(season, line));
  const planned = [...season.planned, ...added].sort((a, b) =>
    a.on < b.on ? -1 : a.on > b.on ? 1 : a.name < b.name ? -1 : 1,
  );
  return { ...season, planned };
}

/** What check has against the lines that it had not without them, and what it says of chicks to come. */
function checked(
  season: Season,
  now: Now,
  rates: FarmRates,
  lines: readonly PlanLine[],
): { broken: Fault[]; crowding: Fault[] } {
  type Placed = Fault & { place?: string | null };
  const against = (one: Season): Placed[] =>
    conflictsOf(
      one,
      now,
      expectedIn(one, now, () => rates),
    );
  // What was wrong before may be told with other figures now.
  const about = ({ code, set, pen, place }: Placed) => JSON.stringify([code, set, pen, place]);
  const before = new Set(against(season).map(about));
  const after = against(withLines(season, lines));
  return {
    broken: after.filter((one) => !before.has(about(one))),
    crowding: after.filter(({ code, place }) => code === 'brooder-overfull' && place === null),
  };
}
