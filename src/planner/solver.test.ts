import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { addColumn, addRow, type LinearProgram, violations } from './linear-program.ts';
import { openSolver } from './solver.ts';

const empty = (): LinearProgram => ({ columns: [], rows: [] });
const none = Number.NEGATIVE_INFINITY;

/** Things of a value and a size for a sack: minimising the negative value fills it best. */
function sack(things: readonly { value: number; size: number }[], room: number) {
  const program = empty();
  const columns = things.map((_, i) => addColumn(program, `thing ${i}`, 1, { whole: true }));
  addRow(
    program,
    'room',
    none,
    things.map(({ size }, i) => [columns[i]!, size] as const),
    room,
  );
  return { program, objective: things.map(({ value }, i) => [columns[i]!, -value] as const) };
}

describe('the solver', () => {
  test('finds the optimum of a textbook program', async () => {
    // Hillier & Lieberman, Introduction to Operations Research, the example of two products and three
    // plants (from memory): 3 x + 5 y is at most 36, at x = 2, y = 6.
    const program = empty();
    const x = addColumn(program, 'x', 4);
    const y = addColumn(program, 'y', 6);
    addRow(
      program,
      'plant 3',
      none,
      [
        [x, 3],
        [y, 2],
      ],
      18,
    );
    const solver = await openSolver(program);
    const found = solver.minimise([
      [x, -3],
      [y, -5],
    ]);
    solver.close();
    expect(found).toMatchObject({ status: 'optimal', objective: -36 });
    expect('values' in found && [...found.values]).toEqual([2, 6]);
  });

  test('agrees with trying everything, and its bound holds', async () => {
    const thing = fc.record({
      value: fc.integer({ min: 1, max: 30 }),
      size: fc.integer({ min: 1, max: 20 }),
    });
    await fc.assert(
      fc.asyncProperty(
        fc.array(thing, { minLength: 1, maxLength: 9 }),
        fc.integer({ min: 0, max: 60 }),
        async (things, room) => {
          let best = 0;
          for (let choice = 0; choice < 2 ** things.length; choice++) {
            const chosen = things.filter((_, i) => (choice >> i) % 2 === 1);
            if (chosen.reduce((sum, one) => sum + one.size, 0) <= room)
              best = Math.max(
                best,
                chosen.reduce((sum, one) => sum + one.value, 0),
              );
          }
          const { program, objective } = sack(things, room);
          const solver = await openSolver(program);
          const found = solver.minimise(objective);
          solver.close();
          if (!('values' in found)) throw new Error('an empty sack is always there');
          expect(found.objective).toBeCloseTo(-best, 6);
          expect(found.bound).toBeLessThanOrEqual(found.objective + 1e-6);
          expect(violations(program, found.values)).toEqual([]);
        },
      ),
      { numRuns: 40, seed: 5 },
    );
  });

  test('says when nothing satisfies the rows, and can be asked again with others', async () => {
    const program = empty();
    const x = addColumn(program, 'x', 3, { whole: true });
    const row = addRow(program, 'at least', 4, [[x, 1]], Number.POSITIVE_INFINITY);
    const solver = await openSolver(program);
    expect(solver.minimise([[x, 1]]).status).toBe('infeasible');
    solver.setRow(row, 1.5, Number.POSITIVE_INFINITY);
    expect(solver.minimise([[x, 1]])).toMatchObject({ status: 'optimal', objective: 2 });
    solver.setColumn(x, 3, 3);
    expect(solver.minimise([[x, 1]])).toMatchObject({ objective: 3 });
    solver.close();
  });
});

describe('the check outside the solver', () => {
  const program = empty();
  addColumn(program, 'sets', 3, { whole: true });
  addColumn(program, 'eggs', 40);
  addRow(
    program,
    'room',
    none,
    [
      [1, 1],
      [0, -20],
    ],
    0,
  );
  test('passes what keeps to every bound, row and whole number', () => {
    expect(violations(program, [2, 40])).toEqual([]);
  });
  test('names each bound, row and whole number that is broken', () => {
    expect(violations(program, [4, 10])).toEqual(['sets = 4 is outside 0 to 3']);
    expect(violations(program, [1.5, 10])).toEqual(['sets = 1.5 is not whole']);
    expect(violations(program, [1, 21])).toEqual(['room: 1 is outside -Infinity to 0']);
    expect(violations(program, [1])).toContain('eggs has no value');
    expect(violations(program, [1, Number.NaN])).toContain('eggs has no value');
  });
  test('terms of one column are one term', () => {
    const one = empty();
    const x = addColumn(one, 'x', 9);
    addRow(
      one,
      'twice',
      none,
      [
        [x, 1],
        [x, 2],
        [x, -3],
      ],
      4,
    );
    expect(one.rows[0]!.terms).toEqual([]);
  });
});
