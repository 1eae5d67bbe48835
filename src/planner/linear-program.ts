/**
 * A mixed-integer linear program as plain values, and a check of a solution that shares no code
 * with the solver: minimise cost · x, row lower ≤ A x ≤ row upper, column lower ≤ x ≤ column upper.
 */

export type Term = readonly [column: number, coefficient: number];
export type Expression = readonly Term[];

interface ProgramColumn {
  name: string;
  lower: number;
  upper: number;
  whole: boolean;
}

interface ProgramRow {
  name: string;
  lower: number;
  upper: number;
  terms: Expression;
}

export interface LinearProgram {
  columns: ProgramColumn[];
  rows: ProgramRow[];
}

/** Adds a column and returns its index. */
export function addColumn(
  program: LinearProgram,
  name: string,
  upper: number,
  { whole = false, lower = 0 }: { whole?: boolean; lower?: number } = {},
): number {
  program.columns.push({ name, lower, upper, whole });
  return program.columns.length - 1;
}

/** Adds `lower ≤ terms ≤ upper`; terms of one column are summed. Returns the row's index. */
export function addRow(
  program: LinearProgram,
  name: string,
  lower: number,
  terms: Expression,
  upper: number,
): number {
  program.rows.push({ name, lower, upper, terms: merged(terms) });
  return program.rows.length - 1;
}

/** The same expression with one term a column, and no term that is zero. */
export function merged(terms: Expression): Expression {
  const sums = new Map<number, number>();
  for (const [column, coefficient] of terms)
    sums.set(column, (sums.get(column) ?? 0) + coefficient);
  return [...sums].filter(([, coefficient]) => coefficient !== 0);
}

export function amountOf(terms: Expression, values: ArrayLike<number>): number {
  let sum = 0;
  for (const [column, coefficient] of terms) sum += coefficient * values[column]!;
  return sum;
}

/** Every bound, whole-number rule and row that `values` breaks by more than `tolerance` (relative to its size). */
export function violations(
  program: LinearProgram,
  values: ArrayLike<number>,
  tolerance = 1e-6,
): string[] {
  const found: string[] = [];
  program.columns.forEach(({ name, lower, upper, whole }, i) => {
    const value = values[i];
    if (value === undefined || !Number.isFinite(value)) found.push(`${name} has no value`);
    else if (value < lower - tolerance || value > upper + tolerance)
      found.push(`${name} = ${value} is outside ${lower} to ${upper}`);
    else if (whole && Math.abs(value - Math.round(value)) > tolerance)
      found.push(`${name} = ${value} is not whole`);
  });
  for (const { name, lower, upper, terms } of program.rows) {
    let sum = 0;
    let size = 1;
    // Asked after every solve: an index is quicker than an iterator.
    for (let i = 0; i < terms.length; i++) {
      const term = terms[i]!;
      const part = term[1] * values[term[0]]!;
      sum += part;
      if (part > size) size = part;
      else if (-part > size) size = -part;
    }
    if (sum < lower - tolerance * size || sum > upper + tolerance * size)
      found.push(`${name}: ${sum} is outside ${lower} to ${upper}`);
  }
  return found;
}
