import * as fc from 'fast-check';
import { expect, it } from 'vitest';
import { addTo, solveSparse, sparseMatrix } from './sparse.ts';

const systems = fc.integer({ min: 1, max: 14 }).chain((size) =>
  fc.record({
    size: fc.constant(size),
    rows: fc.array(
      fc.array(fc.tuple(fc.nat({ max: size - 1 }), fc.integer({ min: -3, max: 3 })), {
        minLength: 1,
        maxLength: 4,
      }),
      { maxLength: 20 },
    ),
    right: fc.array(fc.integer({ min: -9, max: 9 }), { minLength: size, maxLength: size }),
  }),
);

/** I + Σ row·row', positive definite by make. */
function build({ size, rows }: { size: number; rows: [number, number][][] }) {
  const matrix = sparseMatrix(size);
  const dense = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  for (let i = 0; i < size; i += 1) {
    addTo(matrix, i, i, 1);
    dense[i]![i] = 1;
  }
  for (const row of rows) {
    const values = new Map<number, number>();
    for (const [at, value] of row) values.set(at, value);
    const terms = [...values];
    terms.forEach(([i, a], first) => {
      terms.forEach(([j, b], second) => {
        dense[i]![j]! += a * b;
        if (first <= second) addTo(matrix, i, j, a * b);
      });
    });
  }
  return { matrix, dense };
}

it('solves the equations and gives the diagonal of the inverse', () => {
  fc.assert(
    fc.property(systems, (system) => {
      const { dense } = build(system);
      const { solution, inverseDiagonal } = solveSparse(
        build(system).matrix,
        Float64Array.from(system.right),
      );
      dense.forEach((row, i) => {
        const sum = row.reduce((total, value, j) => total + value * solution[j]!, 0);
        expect(sum).toBeCloseTo(system.right[i]!, 7);
        // A column of the inverse is the solution for a unit right side.
        const unit = new Float64Array(system.size);
        unit[i] = 1;
        expect(inverseDiagonal[i]).toBeCloseTo(
          solveSparse(build(system).matrix, unit).solution[i]!,
          9,
        );
      });
    }),
    { numRuns: 100 },
  );
});

it('refuses a matrix that is not positive definite', () => {
  const matrix = sparseMatrix(2);
  addTo(matrix, 0, 0, 1);
  addTo(matrix, 1, 1, 1);
  addTo(matrix, 0, 1, 2);
  expect(() => solveSparse(matrix, new Float64Array(2))).toThrow(RangeError);
});
