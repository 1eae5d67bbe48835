/**
 * Rounding of a program in parts: some columns are made whole, the program solved again, and so on
 * until all are (a diving heuristic: Achterberg, "Constraint integer programming", 2007, ch. 9).
 */
import type { Expression } from './linear-program.ts';
import type { Found, Outcome, Solver } from './solver.ts';

/** Parts below this are rounding. */
export const NO_PART = 1e-6;
/** How often a step may be taken back. */
const AGROUND = 12;

/** A column that is to be whole and is not: its part above the whole number below. */
export interface Part {
  column: number;
  part: number;
}

/**
 * Dives from the solution `root`: `next` says which columns are made whole together, the surest first.
 * Null where it runs aground, or where the aim comes out above `worst`. The bounds of the columns are
 * as before afterwards.
 */
export function dived(
  solver: Solver,
  whole: readonly number[],
  aim: Expression,
  root: Outcome,
  next: (parts: readonly Part[]) => readonly Part[],
  worst = Number.POSITIVE_INFINITY,
): Found | null {
  return withBounds(solver, whole, () => {
    const { columns } = solver.program;
    let aground = 0;
    let most = Number.POSITIVE_INFINITY;
    let step: { column: number; lower: number }[] = [];
    for (let found = root; ; found = solver.minimise(aim)) {
      if (!('values' in found)) {
        const [first, ...others] = step;
        if (!first || ++aground > AGROUND) return null;
        // The step is taken back. What cannot be made whole by itself stays below.
        for (const { column, lower } of step)
          solver.setColumn(column, lower, columns[column]!.upper);
        if (others.length === 0) solver.setColumn(first.column, first.lower, first.lower);
        most = Math.ceil(step.length / FEWER);
        step = [];
        continue;
      }
      const { values } = found;
      // The more is whole, the dearer it is.
      if (found.objective > worst) return null;
      const parts: Part[] = [];
      for (const column of whole) {
        const part = values[column]! - Math.floor(values[column]! + NO_PART);
        if (part > NO_PART) parts.push({ column, part });
      }
      if (parts.length === 0) return found;
      step = next(parts)
        .slice(0, most)
        .map(({ column }) => ({ column, lower: columns[column]!.lower }));
      for (const { column } of step)
        solver.setColumn(column, Math.ceil(values[column]!), columns[column]!.upper);
      most *= 2;
    }
  });
}

/** A step that ran aground is made so many times smaller. */
const FEWER = 4;

/** Works with the bounds of some columns changed meanwhile. */
export function withBounds<T>(solver: Solver, columns: readonly number[], work: () => T): T {
  const before = columns.map((column) => ({ column, ...solver.program.columns[column]! }));
  try {
    return work();
  } finally {
    for (const { column, lower, upper } of before) solver.setColumn(column, lower, upper);
  }
}
