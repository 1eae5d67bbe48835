/**
 * Sparse symmetric positive definite equations, as mixed-model equations are: solution, and the
 * diagonal of the inverse without the inverse.
 *
 * Method: L·D·L' elimination, fewest neighbours first; the inverse's entries on the pattern of L
 * by Takahashi, Fagan & Chen (1973; from memory).
 */
export interface SparseMatrix {
  readonly size: number;
  readonly diagonal: Float64Array;
  /** Off-diagonal entries by row, both halves held. */
  readonly rows: Map<number, number>[];
}

export function sparseMatrix(size: number): SparseMatrix {
  return {
    size,
    diagonal: new Float64Array(size),
    rows: Array.from({ length: size }, () => new Map()),
  };
}

/** Adds to entry (i, j), and to (j, i) with it. */
export function addTo(matrix: SparseMatrix, i: number, j: number, value: number): void {
  if (i === j) {
    matrix.diagonal[i]! += value;
    return;
  }
  matrix.rows[i]!.set(j, (matrix.rows[i]!.get(j) ?? 0) + value);
  matrix.rows[j]!.set(i, (matrix.rows[j]!.get(i) ?? 0) + value);
}

export interface Solved {
  readonly solution: Float64Array;
  readonly inverseDiagonal: Float64Array;
}

/** Solves `matrix`·x = `right`. Uses the matrix up. @throws RangeError if not positive definite. */
export function solveSparse(matrix: SparseMatrix, right: Float64Array): Solved {
  const { size, diagonal, rows } = matrix;
  const order: number[] = [];
  const columns: [number, number][][] = Array.from({ length: size }, () => []);
  const buckets: Set<number>[] = [];
  const bucket = (degree: number) => {
    buckets[degree] ??= new Set();
    return buckets[degree];
  };
  for (let i = 0; i < size; i += 1) bucket(rows[i]!.size).add(i);

  for (let least = 0; order.length < size; ) {
    const waiting = buckets[least];
    if (waiting === undefined || waiting.size === 0) {
      least += 1;
      continue;
    }
    const pivot = waiting.values().next().value as number;
    waiting.delete(pivot);
    order.push(pivot);
    const d = diagonal[pivot]!;
    if (!(d > 0)) throw new RangeError('the equations are not positive definite');
    const neighbours = [...rows[pivot]!];
    for (const [j] of neighbours) {
      bucket(rows[j]!.size).delete(j);
      rows[j]!.delete(pivot);
    }
    const column: [number, number][] = neighbours.map(([j, value]) => [j, value / d]);
    columns[pivot] = column;
    for (let a = 0; a < neighbours.length; a += 1) {
      const [i, value] = neighbours[a]!;
      diagonal[i]! -= value * column[a]![1];
      for (let b = a + 1; b < neighbours.length; b += 1) {
        const j = neighbours[b]![0];
        const entry = (rows[i]!.get(j) ?? 0) - value * column[b]![1];
        rows[i]!.set(j, entry);
        rows[j]!.set(i, entry);
      }
    }
    for (const [j] of neighbours) {
      const degree = rows[j]!.size;
      bucket(degree).add(j);
      least = Math.min(least, degree);
    }
  }

  const solution = Float64Array.from(right);
  for (const k of order) for (const [j, l] of columns[k]!) solution[j]! -= l * solution[k]!;
  const inverse: Map<number, number>[] = Array.from({ length: size }, () => new Map());
  const inverseDiagonal = new Float64Array(size);
  for (let at = size - 1; at >= 0; at -= 1) {
    const k = order[at]!;
    let value = solution[k]! / diagonal[k]!;
    let own = 1 / diagonal[k]!;
    const column = columns[k]!;
    for (const [j] of column) {
      let entry = 0;
      for (const [m, l] of column)
        entry -= l * (m === j ? inverseDiagonal[j]! : inverse[j]!.get(m)!);
      inverse[k]!.set(j, entry);
      inverse[j]!.set(k, entry);
    }
    for (const [j, l] of column) {
      value -= l * solution[j]!;
      own -= l * inverse[k]!.get(j)!;
    }
    solution[k] = value;
    inverseDiagonal[k] = own;
  }
  return { solution, inverseDiagonal };
}
