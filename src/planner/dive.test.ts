import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { branched, dived } from './dive.ts';
import { addColumn, addRow, type Expression, type LinearProgram } from './linear-program.ts';
import { openSolver } from './solver.ts';

/** Boxes that hold so many eggs each, and eggs to be put away: the fewest boxes. */
async function boxes(
  holds: readonly number[],
  eggs: number,
  work: (found: number[] | null) => void,
) {
  const program: LinearProgram = { columns: [], rows: [] };
  const columns = holds.map((_, i) => addColumn(program, `box ${i}`, 1));
  const terms: Expression = columns.map((column, i) => [column, holds[i]!]);
  addRow(program, 'all put away', eggs, terms, Number.POSITIVE_INFINITY);
  const aim: Expression = columns.map((column) => [column, 1]);
  const solver = await openSolver(program);
  try {
    const root = solver.minimise(aim);
    const found = dived(solver, columns, aim, root, (parts) => parts);
    work(found && columns.map((column) => found.values[column]!));
    // The bounds are as they were.
    expect(program.columns.map(({ lower, upper }) => [lower, upper])).toEqual(
      holds.map(() => [0, 1]),
    );
    expect(solver.minimise(aim)).toMatchObject({
      objective: 'objective' in root && root.objective,
    });
  } finally {
    solver.close();
  }
}

describe('a program in parts', () => {
  test('is made whole: 70 eggs take two boxes of 40', async () => {
    await boxes([40, 40, 40], 70, (found) => {
      expect(found!.every((box) => box === 0 || box === 1)).toBe(true);
      expect(found!.reduce((sum, box) => sum + box, 0)).toBe(2);
    });
  });

  test('that is whole already stays as it is', async () => {
    await boxes([40, 30], 40, (found) => expect(found).toEqual([1, 0]));
  });
});

test('a dive that comes out too dear is left, and the bounds are as before', async () => {
  const program: LinearProgram = { columns: [], rows: [] };
  const columns = [0, 1, 2].map((i) => addColumn(program, `box ${i}`, 1));
  const terms: Expression = columns.map((column) => [column, 40]);
  addRow(program, 'all put away', 70, terms, Number.POSITIVE_INFINITY);
  const aim: Expression = columns.map((column) => [column, 1]);
  const solver = await openSolver(program);
  try {
    const root = solver.minimise(aim);
    // 1.75 boxes in parts, two whole.
    const dive = (worst: number) =>
      dived(solver, columns, aim, root, (parts) => parts.slice(0, 1), worst);
    expect(dive(1.9)).toBeNull();
    expect(program.columns.every(({ lower, upper }) => lower === 0 && upper === 1)).toBe(true);
    expect(dive(2)).toMatchObject({ objective: 2 });
  } finally {
    solver.close();
  }
});

test('what cannot be whole above is whole below', async () => {
  // Two at most 1.5 in sum: the first made whole leaves the other half, which must go down.
  const program: LinearProgram = { columns: [], rows: [] };
  const [a, b] = [addColumn(program, 'a', 1), addColumn(program, 'b', 1)];
  addRow(
    program,
    'room',
    Number.NEGATIVE_INFINITY,
    [
      [a, 1],
      [b, 1],
    ],
    1.5,
  );
  const aim: Expression = [
    [a, -1],
    [b, -1],
  ];
  const solver = await openSolver(program);
  try {
    const found = dived(solver, [a, b], aim, solver.minimise(aim), (parts) => parts);
    expect(found!.values[a]! + found!.values[b]!).toBe(1);
  } finally {
    solver.close();
  }
});

describe('branching', () => {
  const knapsack = fc.record({
    holds: fc.array(fc.integer({ min: 5, max: 60 }), { minLength: 2, maxLength: 7 }),
    costs: fc.array(fc.integer({ min: 1, max: 30 }), { minLength: 7, maxLength: 7 }),
    part: fc.double({ min: 0.1, max: 1.1, noNaN: true }),
  });

  test('without an end finds what trying every choice finds, and leaves the bounds', async () => {
    await fc.assert(
      fc.asyncProperty(knapsack, async ({ holds, costs, part }) => {
        const eggs = Math.ceil(holds.reduce((sum, one) => sum + one, 0) * part);
        const program: LinearProgram = { columns: [], rows: [] };
        const columns = holds.map((_, i) => addColumn(program, `box ${i}`, 1));
        const terms: Expression = columns.map((column, i) => [column, holds[i]!]);
        addRow(program, 'all put away', eggs, terms, Number.POSITIVE_INFINITY);
        const aim: Expression = columns.map((column, i) => [column, costs[i]!]);
        let least = Number.POSITIVE_INFINITY;
        for (let choice = 0; choice < 2 ** holds.length; choice++) {
          const chosen = holds.map((_, i) => (choice >> i) & 1);
          const held = chosen.reduce((sum, one, i) => sum + one * holds[i]!, 0);
          const cost = chosen.reduce((sum, one, i) => sum + one * costs[i]!, 0);
          if (held >= eggs) least = Math.min(least, cost);
        }
        const solver = await openSolver(program);
        try {
          const root = solver.minimise(aim);
          const all = { solves: 1000, gap: () => 1e-6 };
          const found = branched(solver, columns, aim, root, all);
          if (least === Number.POSITIVE_INFINITY) expect(found).toBeNull();
          else expect(found!.objective).toBeCloseTo(least, 6);
          // Ended sooner, it may have found less, and never what is not whole.
          const some = branched(solver, columns, aim, root, { solves: 3, gap: () => 1e-6 });
          for (const column of some ? columns : [])
            expect(some!.values[column]! % 1).toBeCloseTo(0, 6);
          if (some) expect(some.objective).toBeGreaterThan(least - 1e-6);
          expect(program.columns.every(({ lower, upper }) => lower === 0 && upper === 1)).toBe(
            true,
          );
        } finally {
          solver.close();
        }
      }),
      { numRuns: 40 },
    );
  });
});
