/** How many eggs of which pen and age go into each set, once the sets are fixed. */

import { eggTerms, type HatchingProblem } from './hatching-model.ts';
import { brokenRules, type Start, startsOf } from './hatching-schedule.ts';
import type { Need } from './needs.ts';
import type { SeasonProblem } from './season-problem.ts';
import { type ChosenSets, goalModel } from './set-search.ts';
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

/** The eggs of each set: least shortfall, then least loss to storage, then fewest eggs. */
export async function shareEggs(
  p: SeasonProblem,
  needs: readonly Need[],
  chosen: readonly ChosenSets[],
  chickRates: readonly number[],
): Promise<Shares> {
  if (chosen.length === 0)
    return { starts: [], missing: needs.map((need) => Math.max(0, need.birds)), loss: 0 };
  const problem = onlyThese(p.problem, chosen);
  const { model, missing, shortfall } = goalModel(p, problem, needs, 'whole');
  for (const set of model.sets) {
    const one = chosen.find(
      (c) =>
        c.timing === set.timing &&
        c.day === set.day &&
        c.setter === set.setter &&
        c.hatcher === set.hatcher,
    );
    Object.assign(model.program.columns[set.column]!, { lower: 0, upper: one?.sets ?? 0 });
  }
  const lost = eggTerms(
    model,
    ({ source, age }) => chickRates[source]! * (1 - p.kept(source, age)),
  );
  const few = eggTerms(model, () => EGG_IN_CHICKS);
  const solver = await openSolver(model.program);
  try {
    const found = solver.minimise([...shortfall, ...lost, ...few], limits);
    if (found.status === 'infeasible') throw new SolverFailure('the chosen sets were refused');
    const starts = startsOf(model, found.values);
    const broken = brokenRules(p.problem, starts);
    if (broken.length > 0)
      throw new SolverFailure(`the plan breaks its rules: ${broken.slice(0, 3).join('; ')}`);
    return {
      starts,
      missing: missing.map((column) => found.values[column]!),
      loss: lost.reduce((sum, [column, rate]) => sum + rate * found.values[column]!, 0),
    };
  } finally {
    solver.close();
  }
}

/** The problem with no other days for setting than those chosen. */
function onlyThese(problem: HatchingProblem, chosen: readonly ChosenSets[]): HatchingProblem {
  return {
    ...problem,
    timings: problem.timings.map((timing, t) => ({
      ...timing,
      setDays: [...new Set(chosen.filter((c) => c.timing === t).map((c) => c.day))].sort(
        (a, b) => a - b,
      ),
    })),
  };
}
