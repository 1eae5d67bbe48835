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
      const parts = partsOf(whole, values);
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

/**
 * Branches from the solution `root`, depth first, on the column that is nearest to whole, with the nearer
 * number first: a dive, and what lies beside its last steps. Ends after so many programs solved. Branches
 * that are no better than the best found by more than `gap` are left. Null where nothing whole was found.
 */
export function branched(
  solver: Solver,
  whole: readonly number[],
  aim: Expression,
  root: Outcome,
  { solves, gap }: { solves: number; gap: (objective: number) => number },
): Found | null {
  const { columns } = solver.program;
  let best: Found | null = null;
  let left = solves;
  const visit = (found: Outcome): void => {
    if (!('values' in found)) return;
    if (best !== null && found.objective > best.objective - gap(best.objective)) return;
    const [surest] = partsOf(whole, found.values).sort(
      (a, b) => Math.abs(b.part - 0.5) - Math.abs(a.part - 0.5),
    );
    if (surest === undefined) {
      best = found;
      return;
    }
    const { column, part } = surest;
    const { lower, upper } = columns[column]!;
    const below = Math.floor(found.values[column]!);
    const sides = [
      [lower, below],
      [below + 1, upper],
    ] as const;
    for (const [from, to] of part < 0.5 ? sides : sides.toReversed()) {
      if (left-- <= 0) break;
      solver.setColumn(column, from, to);
      visit(solver.minimise(aim));
    }
    solver.setColumn(column, lower, upper);
  };
  visit(root);
  return best;
}

/** The columns that are to be whole and are not. */
function partsOf(whole: readonly number[], values: ArrayLike<number>): Part[] {
  const parts: Part[] = [];
  for (const column of whole) {
    const part = values[column]! - Math.floor(values[column]! + NO_PART);
    if (part > NO_PART) parts.push({ column, part });
  }
  return parts;
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
