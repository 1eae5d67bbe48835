/** The aims of a plan in order, each solved with the ones before it held. */

import { addDays } from '../../text/day.ts';
import { keptAtAge } from './evidence.ts';
import type { Goal } from './goals.ts';
import { readyDay } from './goals.ts';
import {
  addSetsCover,
  eggTerms,
  type HatchingModel,
  hatchingModel,
  lastOpening,
  setTerms,
} from './hatching-model.ts';
import { brokenRules, type Start, startsOf } from './hatching-schedule.ts';
import { addColumn, addRow, amountOf, type Expression, type Term } from './linear-program.ts';
import { storagePoints } from './rates.ts';
import type { SeasonProblem } from './season-problem.ts';
import { type Found, openSolver, type SolveLimits, SolverFailure } from './solver.ts';

/** A goal as the program sees it: birds expected from new sets, at least `need`. */
export interface Need {
  goal: Goal;
  need: number;
  /** Expected birds from an egg of a pen set fresh. */
  rate: (pen: number) => number;
}

export interface Solved {
  status: 'optimal' | 'bounded';
  /** Share by which the number of sets may be above the best possible. */
  gap: number;
  sets: number;
  /** Birds missing of each need, expected. */
  shortfall: number[];
  starts: Start[];
}

/** How far the search may go: nodes and gaps end it alike on every machine; seconds only as a guard. */
export interface PlanLimits {
  sets: SolveLimits;
  finer: SolveLimits;
}

export const usualLimits: PlanLimits = {
  sets: { relativeGap: 0, absoluteGap: 0.99, nodes: 1_000, seconds: 5 },
  finer: { relativeGap: 0.05, nodes: 100, seconds: 1 },
};

/** Aims in the order they are pursued after the shortfall. */
export type Aim = 'sets' | 'storage' | 'finish' | 'eggs';
export const usualOrder: readonly Aim[] = ['sets', 'storage', 'finish', 'eggs'];

/** A difference in storage loss below this many chicks decides nothing. */
const CHICKS_SLACK = 0.05;
/** A shortfall below this share of a bird is none. */
const BIRD_SLACK = 0.01;

/** The value to a need of an egg of the model. */
function worth(p: SeasonProblem, need: Need) {
  return ({ source, set, age }: { source: number; set: number; age: number }): number => {
    const pen = p.pens[source]!;
    if (pen.line !== need.goal.line) return 0;
    if (readyDay(need.goal, addDays(p.first, set)) > need.goal.by) return 0;
    return need.rate(source) * keptAtAge(pen, age);
  };
}

/** The model of a season with its goals: each need with a column for what is missing. */
export function goalModel(
  p: SeasonProblem,
  needs: readonly Need[],
): { model: HatchingModel; missing: number[] } {
  const model = hatchingModel(p.problem);
  const missing = needs.map((need, i) => {
    const column = addColumn(model.program, `missing of goal ${i + 1}`, Math.max(0, need.need));
    if (need.need <= 0) return column;
    const gap: Expression = [[column, 1]];
    addRow(
      model.program,
      `goal ${i + 1}`,
      need.need,
      [...eggTerms(model, worth(p, need)), ...gap],
      Number.POSITIVE_INFINITY,
    );
    addSetsCover(model, `goal ${i + 1}`, need.need, gap, worth(p, need));
    return column;
  });
  return { model, missing };
}

/** Solves the aims in order. Throws SolverFailure when an answer cannot be trusted. */
export async function solvePlan(
  p: SeasonProblem,
  needs: readonly Need[],
  order: readonly Aim[] = usualOrder,
  limits: PlanLimits = usualLimits,
): Promise<Solved> {
  const { model, missing } = goalModel(p, needs);
  const last = order.includes('finish') ? lastOpening(model) : null;
  const solver = await openSolver(model.program);
  try {
    // Least shortfall: first try to leave none, which is the tightest program.
    for (const column of missing) solver.setColumn(column, 0, 0);
    const lost = missing.map((column, i): Term => [column, 1 / Math.max(1, needs[i]!.goal.count)]);
    const expressions: Record<Aim, Expression> = {
      sets: setTerms(model),
      storage: eggTerms(
        model,
        ({ source, age }) =>
          storagePoints(p.pens[source]!.line.species.storage_penalty.value, age) / 100,
      ),
      finish: last?.terms ?? [],
      eggs: eggTerms(model, () => 1),
    };
    const slack: Record<Aim, number> = { sets: 0, storage: CHICKS_SLACK, finish: 0, eggs: 0 };
    const begin = order[0]!;
    const limitsOf = (aim: Aim) => (aim === 'sets' ? limits.sets : limits.finer);
    let tried = solver.minimise(expressions[begin], limitsOf(begin));
    let status: Solved['status'] = 'optimal';
    if (tried.status === 'infeasible') {
      needs.forEach((need, i) => {
        solver.setColumn(missing[i]!, 0, Math.max(0, need.need));
      });
      const least = solver.minimise(lost, limits.finer);
      if (least.status === 'infeasible') throw new SolverFailure('even an empty plan was refused');
      if (least.status === 'bounded') status = 'bounded';
      needs.forEach((_, i) => {
        solver.setColumn(missing[i]!, 0, least.values[missing[i]!]! + BIRD_SLACK);
      });
      tried = solver.minimise(expressions[begin], limitsOf(begin), least.values);
      if (tried.status === 'infeasible') throw new SolverFailure('the least shortfall was refused');
    }
    let outcome: Found = tried;
    let gap = 0;
    order.forEach((aim, i) => {
      if (i > 0) {
        const before = order[i - 1]!;
        const value = amountOf(expressions[before], outcome.values);
        solver.add(
          `keep ${before}`,
          Number.NEGATIVE_INFINITY,
          expressions[before],
          value + slack[before],
        );
        const next = solver.minimise(expressions[aim], limitsOf(aim), outcome.values);
        if (next.status === 'infeasible') throw new SolverFailure(`holding ${before} left no plan`);
        outcome = next;
      }
      if (outcome.status === 'bounded') status = 'bounded';
      if (aim === 'sets') {
        const bound = Math.ceil(outcome.bound - 1e-6);
        gap = outcome.objective > 0 ? Math.max(0, 1 - bound / outcome.objective) : 0;
      }
    });
    const values = outcome.values;
    const starts = startsOf(model, values);
    const broken = brokenRules(p.problem, starts);
    if (broken.length > 0)
      throw new SolverFailure(`the plan breaks its rules: ${broken.slice(0, 3).join('; ')}`);
    return {
      status,
      gap,
      sets: starts.reduce((n, s) => n + s.sets, 0),
      shortfall: missing.map((column) => values[column]!),
      starts,
    };
  } finally {
    solver.close();
  }
}
