import { largest } from '../../../src/text/lists.ts';

/** Euclidean length of a vector. */
export const norm = (v: readonly number[]): number => v.reduce((r, x) => Math.hypot(r, x), 0);

/** A dense matrix as rows. */
export type Matrix = number[][];

/**
 * Cholesky factor L of a symmetric positive definite matrix, or `null` when it is singular to
 * working accuracy.
 */
export function cholesky(a: Matrix): Matrix | null {
  const n = a.length;
  const l: Matrix = a.map(() => new Array<number>(n).fill(0));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let s = a[i]![j]!;
      for (let k = 0; k < j; k++) s -= l[i]![k]! * l[j]![k]!;
      if (i === j) {
        if (!(s > 1e-12 * Math.abs(a[i]![i]!)) || a[i]![i]! <= 0) return null;
        l[i]![i] = Math.sqrt(s);
      } else l[i]![j] = s / l[j]![j]!;
    }
  }
  return l;
}

/** The x with L L' x = b. */
export function choleskySolve(l: Matrix, b: readonly number[]): number[] {
  const n = l.length;
  const y = [...b];
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) y[i] = y[i]! - l[i]![k]! * y[k]!;
    y[i] = y[i]! / l[i]![i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) y[i] = y[i]! - l[k]![i]! * y[k]!;
    y[i] = y[i]! / l[i]![i]!;
  }
  return y;
}

/** The inverse of L L'. */
export function choleskyInverse(l: Matrix): Matrix {
  return l.map((_, j) =>
    choleskySolve(
      l,
      l.map((_, i) => (i === j ? 1 : 0)),
    ),
  );
}

/**
 * Least squares with non-negative coefficients (Lawson & Hanson 1974, Solving Least Squares
 * Problems, ch. 23): the x >= 0 that brings `columns` times x nearest to `target`; returns x and
 * the residual target - A x.
 */
export function nonNegativeLeastSquares(
  columns: readonly (readonly number[])[],
  target: readonly number[],
): { x: number[]; residual: number[] } {
  const m = columns.length;
  const dot = (a: readonly number[], b: readonly number[]): number =>
    a.reduce((s, v, i) => s + v * b[i]!, 0);
  const x = new Array<number>(m).fill(0);
  const active = new Set<number>();
  const refused = new Set<number>();
  const residualOf = (): number[] =>
    target.map((t, i) => t - columns.reduce((s, c, j) => s + c[i]! * x[j]!, 0));
  let residual = residualOf();
  const scale = largest([1, ...target.map(Math.abs)]);
  // Each outer step lowers the residual, so the loop ends; the bound is a guard against rounding.
  for (let outer = 0; outer < 10 * (m + 1); outer++) {
    let pick = -1;
    let steepest = 1e-10 * scale;
    for (let j = 0; j < m; j++) {
      if (active.has(j) || refused.has(j)) continue;
      const gradient = dot(columns[j]!, residual);
      if (gradient > steepest) {
        steepest = gradient;
        pick = j;
      }
    }
    if (pick < 0) break;
    active.add(pick);
    for (;;) {
      const set = [...active];
      const gram = set.map((i) => set.map((j) => dot(columns[i]!, columns[j]!)));
      const l = cholesky(gram);
      if (!l) {
        // The column adds nothing to those in use.
        active.delete(pick);
        refused.add(pick);
        break;
      }
      const s = choleskySolve(
        l,
        set.map((i) => dot(columns[i]!, target)),
      );
      if (s.every((v) => v > 0)) {
        set.forEach((j, i) => {
          x[j] = s[i]!;
        });
        refused.clear();
        break;
      }
      let step = 1;
      set.forEach((j, i) => {
        if (s[i]! <= 0) step = Math.min(step, x[j]! / (x[j]! - s[i]! || 1));
      });
      set.forEach((j, i) => {
        x[j] = x[j]! + step * (s[i]! - x[j]!);
        if (x[j]! <= 1e-12) {
          x[j] = 0;
          active.delete(j);
        }
      });
      if (active.size === 0) break;
    }
    residual = residualOf();
  }
  return { x, residual };
}
