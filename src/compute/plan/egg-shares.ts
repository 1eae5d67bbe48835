/** How many eggs of which pen and age go into each set, once the sets are fixed. */

import { eggTerms } from './hatching-model.ts';
import { brokenRules, type Start, startsOf } from './hatching-schedule.ts';
import { amountOf, type Expression, type LinearProgram, violations } from './linear-program.ts';
import type { Need } from './needs.ts';
import type { SeasonProblem } from './season-problem.ts';
import { type ChosenSets, goalModel, holdTo, onlyOn } from './set-search.ts';
import { openSolver, type SolveLimits, SolverFailure } from './solver.ts';

export interface Shares {
  starts: Start[];
  /** Birds missing of each need. */
  missing: number[];
  /** Sound chicks expected to be lost to storage. */
  loss: number;
}

/** Beside chicks lost, an egg saved counts little: only between plans alike in all else. */
const EGG_IN_CHICKS = 0.002;
const limits: SolveLimits = { relativeGap: 0, absoluteGap: 0.05, nodes: 200, seconds: 5 };

/**
 * The eggs of each set: least shortfall, then least loss to storage, then fewest eggs. In parts of
 * eggs first: that answer is nearly always whole, or keeps every rule when its few parts are made
 * whole. Else the whole program is solved.
 *
 * @throws SolverFailure if the chosen sets break a rule
 */
export async function shareEggs(
  p: SeasonProblem,
  needs: readonly Need[],
  chosen: readonly ChosenSets[],
  chickRates: readonly number[],
): Promise<Shares> {
  if (chosen.length === 0)
    return { starts: [], missing: needs.map((need) => Math.max(0, need.birds)), loss: 0 };
  const problem = onlyOn(p.problem, chosen);
  const goal = goalModel(p, problem, needs, 'whole');
  const { model, shortfall } = goal;
  holdTo(model, chosen);
  const lost = eggTerms(
    model,
    ({ source, age }) => chickRates[source]! * (1 - p.kept(source, age)),
  );
  const few = eggTerms(model, () => EGG_IN_CHICKS);
  const aim = [...shortfall, ...lost, ...few];
  const sharesOf = (values: ArrayLike<number>): Shares & { broken: string[] } => {
    const starts = startsOf(model, values);
    return {
      starts,
      broken: brokenRules(p.problem, starts),
      missing: needs.map((need, i) => Math.max(0, need.birds - amountOf(goal.birds[i]!, values))),
      loss: lost.reduce((sum, [column, rate]) => sum + rate * values[column]!, 0),
    };
  };
  const inParts = await solved({ ...model.program, columns: parts(model.program.columns) }, aim);
  if (inParts) {
    const { columns } = model.program;
    const values = inParts.map((value, i) =>
      columns[i]!.whole ? Math.min(columns[i]!.upper, Math.ceil(value - NEARLY_WHOLE)) : value,
    );
    const { broken, ...shares } = sharesOf(values);
    if (broken.length === 0) return shares;
  }
  const whole = await solved(model.program, aim);
  if (!whole) throw new SolverFailure('the chosen sets were refused');
  const { broken, ...shares } = sharesOf(whole);
  if (broken.length > 0)
    throw new SolverFailure(`the plan breaks its rules: ${broken.slice(0, 3).join('; ')}`);
  return shares;
}

/** Parts of an egg below this are rounding. */
const NEARLY_WHOLE = 1e-6;

function parts(columns: LinearProgram['columns']): LinearProgram['columns'] {
  return columns.map((column) => ({ ...column, whole: false }));
}

async function solved(program: LinearProgram, aim: Expression): Promise<Float64Array | null> {
  const solver = await openSolver(program);
  try {
    const found = solver.minimise(aim, limits);
    if (!('values' in found)) return null;
    const broken = violations(program, found.values);
    if (broken.length > 0)
      throw new SolverFailure(`its answer breaks the program: ${broken.slice(0, 3).join('; ')}`);
    return found.values;
  } finally {
    solver.close();
  }
}
