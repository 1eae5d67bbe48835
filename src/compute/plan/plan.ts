/**
 * The plan: sets that give each goal its number of birds with the confidence asked for.
 *
 * The program plans on expected birds. How many must be expected for the wanted number to come with
 * the confidence asked is found by simulation, and the need is raised or lowered until they agree.
 */
import type { Now, PlannedSet, Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import type { Fault } from '../../text/fault.ts';
import { conflictsOf } from '../checks/index.ts';
import { type FarmRates, keptAtAge } from './evidence.ts';
import { type Goal, goalsOf, lastSetDay } from './goals.ts';
import { NoPlace, type PlanLine, planLines } from './plan-lines.ts';
import {
  eggsThatCome,
  type GoalPortion,
  linesToCome,
  meanRate,
  type PlannedShare,
  plannedShares,
  portionsOf,
} from './portions.ts';
import { type Change, type Rhythm, seasonKeeping, seasonProblem } from './season-problem.ts';
import {
  type Aim,
  type Need,
  type PlanLimits,
  type Solved,
  solvePlan,
  usualOrder,
} from './solve-plan.ts';
import { SolverFailure } from './solver.ts';
import { birdsAtConfidence, chanceOf, openWorlds, type Worlds } from './worlds.ts';

export interface PlanOptions {
  draws: number;
  seed: number;
  /** Plan lines still to come are made anew. */
  replan: boolean;
  rhythm?: Rhythm | null;
  order?: readonly Aim[];
  limits?: PlanLimits;
  change?: Change;
}

export interface GoalResult {
  goal: Goal;
  /** Expected birds. */
  expected: number;
  /** Chance of at least the number wanted. */
  probability: number;
  met: boolean;
}

export interface PlanResult {
  status: 'optimal' | 'bounded' | 'infeasible';
  /** Share by which there may be more sets than the fewest possible. */
  gap: number;
  lines: PlanLine[];
  /** Expected birds (sound chicks) of each line, by its place in `lines`. */
  chicks: number[];
  kept: readonly PlannedSet[];
  goals: GoalResult[];
  /** Eggs expected and not needed, by pen. */
  spare: { pen: string; eggs: number }[];
  draws: number;
  seed: number;
}

/** How often the need is corrected before the nearest plan is taken. */
const ROUNDS = 8;
/** Close enough: the chance may lie above the confidence by this much. */
const CLOSE = 0.012;
/** How often a plan that fits in sum but not in whole setters is solved again. */
const TRIES = 6;

/** Plans a season. Throws SolverFailure if the solver gives no trustworthy answer. */
export async function planSeason(
  season: Season,
  now: Now,
  rates: FarmRates,
  options: PlanOptions,
): Promise<PlanResult> {
  const base = seasonKeeping(season, (line) => !(options.replan && line.on >= now.day));
  const goals = goalsOf(base);
  const worlds = openWorlds(rates.byUnit, options.draws, options.seed);
  const problem = seasonProblem(base, now, rates, goals, options.rhythm ?? null, options.change);
  const keptLines = linesToCome(base, now.day);
  const keptShares = plannedShares(base, keptLines);
  const fixed = goals.map((goal) => {
    const come = eggsThatCome(base, now.day, rates, worlds, keptShares);
    return portionsOf(base, now.day, rates, worlds, goal, keptShares, come);
  });
  const fixedMean = fixed.map((portions) => meanBirds(portions, worlds));

  // Birds to be expected in all: first a little more than wanted, then what the simulation says.
  const target = problem.goals.map((goal, i) =>
    chanceOf(fixed[i]!, goal.count, worlds.draws) >= goal.confidence
      ? 0
      : Math.max(goal.count * (1 + 0.35 * (goal.confidence - 0.5)), fixedMean[i]! + 0.5),
  );
  const floor = target.map((need) => need);
  let best: { solved: Solved; lines: PlanLine[]; goals: GoalResult[]; over: number } | null = null;
  for (let round = 0; round < ROUNDS; round++) {
    const needs = problem.goals.map(
      (goal, i): Need => ({
        goal,
        need: Math.max(0, target[i]! - fixedMean[i]!),
        rate: (pen) => meanRate(rates, goal, problem.pens[pen]!),
      }),
    );
    const { solved, lines } = await laidOut(problem, needs, options);
    const shares = [...keptShares, ...sharesOf(base, lines)];
    const come = eggsThatCome(problem.season, now.day, rates, worlds, shares);
    const portions = problem.goals.map((goal) =>
      portionsOf(base, now.day, rates, worlds, goal, shares, come),
    );
    const results = problem.goals.map((goal, i): GoalResult => {
      const probability = chanceOf(portions[i]!, goal.count, worlds.draws);
      return {
        goal,
        probability,
        expected: meanBirds(portions[i]!, worlds),
        met: probability >= goal.confidence,
      };
    });
    const reached = results.every((r) => r.met);
    const over = results.reduce(
      (sum, r) => sum + Math.max(0, r.probability - r.goal.confidence),
      0,
    );
    const score = { solved, lines, goals: results, over };
    if (!best || better(score, best)) best = score;
    const stuck = solved.shortfall.some((missing) => missing > 0.02);
    let moved = false;
    results.forEach((result, i) => {
      if (target[i] === 0) return;
      const { goal, probability } = result;
      const tooHigh = probability > goal.confidence + CLOSE && result.expected <= target[i]! + 1;
      if (result.met && !tooHigh) return;
      if (!result.met && solved.shortfall[i]! > 0.02) return;
      const at = Math.max(0.5, birdsAtConfidence(portions[i]!, goal.confidence, worlds.draws));
      // Birds grow nearly in proportion; half a bird keeps a plan that only just fails moving.
      const next = result.met
        ? Math.max(floor[i]! * 0.7, (result.expected * goal.count) / at)
        : Math.max(target[i]! + 0.3, (result.expected * (goal.count - 0.3)) / at);
      if (Math.abs(next - target[i]!) < 0.05) return;
      target[i] = next;
      moved = true;
    });
    if ((reached && over <= CLOSE * results.length) || stuck || !moved) break;
  }
  const chosen = best!;
  const faults = planFaults(base, now, chosen.lines);
  if (faults.length > 0)
    throw new SolverFailure(
      `the plan breaks a rule of check: ${faults[0]!.code}: ${faults[0]!.message}`,
    );
  return {
    status: chosen.goals.every((r) => r.met) ? chosen.solved.status : 'infeasible',
    gap: chosen.solved.gap,
    lines: chosen.lines,
    chicks: chosen.lines.map((line) =>
      line.ages.reduce((sum, { pen, age, eggs }) => {
        const of = base.pens.get(pen)!;
        return (
          sum + eggs * meanRate(rates, { want: 'chicks', at: 'hatch' }, of) * keptAtAge(of, age)
        );
      }, 0),
    ),
    kept: keptLines,
    goals: chosen.goals,
    spare: problem.problem.sources.map((source, s) => {
      const there =
        source.supply.reduce((a, b) => a + b, 0) +
        (source.stored ?? []).reduce((sum, lot) => sum + lot.eggs, 0);
      const used = chosen.lines.reduce(
        (sum, line) => sum + (line.shares[problem.pens[s]!.name] ?? 0),
        0,
      );
      return { pen: source.name, eggs: there - used };
    }),
    draws: options.draws,
    seed: options.seed,
  };
}

function better(
  a: { goals: GoalResult[]; lines: PlanLine[]; over: number },
  b: { goals: GoalResult[]; lines: PlanLine[]; over: number },
): boolean {
  const short = (x: { goals: GoalResult[] }) =>
    x.goals.reduce((sum, r) => sum + Math.max(0, r.goal.confidence - r.probability), 0);
  if (Math.abs(short(a) - short(b)) > 1e-9) return short(a) < short(b);
  if (a.lines.length !== b.lines.length) return a.lines.length < b.lines.length;
  return a.over < b.over;
}

/** Solves and lays out; where whole sets find no place, one tray less is offered on those days. */
async function laidOut(
  problem: ReturnType<typeof seasonProblem>,
  needs: readonly Need[],
  options: PlanOptions,
): Promise<{ solved: Solved; lines: PlanLine[] }> {
  for (let attempt = 0; ; attempt++) {
    const solved = await solvePlan(problem, needs, options.order ?? usualOrder, options.limits);
    try {
      return { solved, lines: planLines(problem, solved.starts) };
    } catch (error) {
      if (!(error instanceof NoPlace) || attempt === TRIES) throw error;
      const taken = problem.problem.setters[error.setter]!.taken as number[];
      for (let d = error.day; d < error.day + error.days; d++) taken[d] = (taken[d] ?? 0) + 1;
    }
  }
}

export function sharesOf(season: Season, lines: readonly PlanLine[]): PlannedShare[] {
  return lines.flatMap((line) =>
    Object.entries(line.shares).map(([name, eggs]) => {
      const pen = season.pens.get(name)!;
      const own = line.ages.filter((a) => a.pen === name);
      const kept = own.reduce((sum, a) => sum + a.eggs * keptAtAge(pen, a.age), 0) / eggs;
      return { pen, on: line.on, eggs, kept };
    }),
  );
}

export function meanBirds(portions: readonly GoalPortion[], worlds: Worlds): number {
  let sum = 0;
  for (const { eggs, rate } of portions)
    for (let i = 0; i < worlds.draws; i++) sum += eggs[i]! * rate[i]!;
  return sum / worlds.draws;
}

/** The season as it would stand with the lines in its plan. */
export function withLines(season: Season, lines: readonly PlanLine[]): Season {
  const added = lines.map((line): PlannedSet => {
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
  });
  const planned = [...season.planned, ...added].sort((a, b) =>
    a.on < b.on ? -1 : a.on > b.on ? 1 : 0,
  );
  return { ...season, planned };
}

/** Conflicts that the lines bring into a season. */
export function planFaults(season: Season, now: Now, lines: readonly PlanLine[]): Fault[] {
  const before = new Set(conflictsOf(season, now).map((f) => `${f.code} ${f.message}`));
  return conflictsOf(withLines(season, lines), now).filter(
    (f) => !before.has(`${f.code} ${f.message}`),
  );
}

/** What is wrong with the goals as they stand on a day: a sentence for each. */
export function goalFaults(
  season: Season,
  today: Day,
): { goal: Goal; message: string; hint: string }[] {
  const found: { goal: Goal; message: string; hint: string }[] = [];
  for (const goal of goalsOf(season)) {
    if (goal.by < today)
      found.push({
        goal,
        message: `${goal.by} is past: today is ${today}`,
        hint: 'set a later day under by, or take the goal out',
      });
    const pens = [...season.pens.values()].filter((pen) => pen.line === goal.line);
    const recorded = [...season.sets.values()].some((set) =>
      set.shares.some((share) => share.pen.line === goal.line),
    );
    if (goal.by >= today && lastSetDay(goal) < today && !recorded)
      found.push({
        goal,
        message: `birds of that age by ${goal.by} must be set by ${lastSetDay(goal)}, which is past`,
        hint: `${goal.ageDays} days of rearing after the hatch: a later by, or started birds`,
      });
    if (pens.length === 0)
      found.push({ goal, message: `no pen holds ${goal.line.name}`, hint: 'add one under pens' });
    else if (pens.every((pen) => pen.hens === 0))
      found.push({
        goal,
        message: `no pen of ${goal.line.name} has hens`,
        hint: 'say how many under hens',
      });
  }
  return found;
}
