import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  eggTerms,
  type HatchingProblem,
  hatchingModel,
  type MachineCount,
  setTerms,
} from './hatching-model.ts';
import { addRow, type Expression } from './linear-program.ts';
import { paired } from './pairing.ts';
import { holdTo } from './set-search.ts';
import { openSolver } from './solver.ts';

const DAYS = 40;

/** Two calendars, with kinds that fit some of the machines. */
const problem = (
  setters: readonly { count: number; trays: number; holds: readonly number[] }[],
  hatchers: readonly { count: number; holds: readonly number[]; oneSet: boolean }[],
  laid: readonly number[],
): HatchingProblem => ({
  days: DAYS,
  sources: laid.map((eggs, kind) => ({
    name: `pen ${kind}`,
    kind,
    supply: Array.from({ length: DAYS }, () => eggs),
    maxAge: 9,
  })),
  kinds: laid.map((_, kind) => ({ name: `kind ${kind}`, timing: kind % 2, liveShare: 0.8 })),
  timings: [
    { setDays: [7, 14, 21, 28, 35], transfer: 18, hatch: 21, lastOpening: 22 },
    { setDays: [9, 18, 27, 36], transfer: 25, hatch: 28, lastOpening: 29 },
  ],
  setters: setters.map((one, i) => ({ ...one, name: `setter ${i}`, taken: [] })),
  hatchers: hatchers.map((one, i) => ({
    ...one,
    count: one.oneSet ? one.count : 1,
    name: `hatcher ${i}`,
    cleanDays: 1,
    taken: [],
  })),
  oneSetADay: true,
});

const EGGS_A_SET = 12;

async function solved(p: HatchingProblem, machines: MachineCount, { isWhole = true } = {}) {
  const model = hatchingModel(p, 'pooled', machines);
  if (!isWhole) for (const column of model.program.columns) column.whole = false;
  const solver = await openSolver(model.program);
  try {
    const eggs = eggTerms(model, () => 1);
    const cost: Expression = [
      ...setTerms(model, () => EGGS_A_SET),
      ...eggs.map(([column, one]): [number, number] => [column, -one]),
    ];
    const found = solver.minimise(cost);
    if (!('values' in found)) throw new Error('no sets at all are a plan');
    return { model, found };
  } finally {
    solver.close();
  }
}

const machineRooms = fc.constantFrom([40, 30, 24], [36, 0, 20], [0, 26, 12], [24, 18, 0]);
const seasons = fc.record({
  setters: fc.array(
    fc.record({
      count: fc.integer({ min: 1, max: 2 }),
      trays: fc.integer({ min: 1, max: 3 }),
      holds: machineRooms,
    }),
    { minLength: 1, maxLength: 3 },
  ),
  hatchers: fc.array(
    fc.record({
      count: fc.integer({ min: 1, max: 2 }),
      holds: machineRooms,
      oneSet: fc.boolean(),
    }),
    { minLength: 1, maxLength: 3 },
  ),
  laid: fc.array(fc.integer({ min: 0, max: 8 }), { minLength: 3, maxLength: 3 }),
});

test('with one set a day, machines apart give what machines together give, and never less in parts', async () => {
  await fc.assert(
    fc.asyncProperty(seasons, async ({ setters, hatchers, laid }) => {
      const p = problem(setters, hatchers, laid);
      const together = await solved(p, 'together');
      const apart = await solved(p, 'apart');
      // A set of several kinds may be counted into a hatcher that one of them does not fit: never worse.
      expect(apart.found.objective).toBeLessThanOrEqual(together.found.objective + 1e-6);
      const alone = laid.filter((eggs) => eggs > 0).length === 1;
      if (alone) expect(apart.found.objective).toBeCloseTo(together.found.objective, 5);
      const parts = await solved(p, 'apart', { isWhole: false });
      expect(parts.found.objective).toBeLessThanOrEqual(apart.found.objective + 1e-6);
    }),
    { numRuns: 15 },
  );
});

test('sets found apart, paired, hold as many eggs in a program that counts machines together', async () => {
  await fc.assert(
    fc.asyncProperty(seasons, async ({ setters, hatchers, laid }) => {
      // One kind: it is not open which of them a hatcher takes.
      const p = problem(setters, hatchers, [Math.max(1, laid[0]!), 0, 0]);
      const { model, found } = await solved(p, 'apart');
      const ways = paired(model, found.values)!;
      const sets = ways.chosen.reduce((sum, one) => sum + one.sets, 0);
      const together = hatchingModel(p, 'pooled');
      holdTo(together, ways.chosen);
      const eggs = eggTerms(together, () => 1);
      addRow(together.program, 'as many sets', sets, setTerms(together), sets);
      const solver = await openSolver(together.program);
      try {
        const most = solver.minimise(eggs.map(([column, one]) => [column, -one] as const));
        expect(most).toMatchObject({ status: 'optimal' });
        const objective = EGGS_A_SET * sets + ('objective' in most ? most.objective : 0);
        expect(objective).toBeLessThanOrEqual(found.objective + 1e-6);
      } finally {
        solver.close();
      }
      // The names are those of columns, where there are several ways.
      const names = new Set(together.program.columns.map(({ name }) => name));
      for (const name of ways.values.keys())
        if (/^(sets|trays) /.test(name)) expect(names).toContain(name);
    }),
    { numRuns: 15 },
  );
});

/** Pairs of one set in each of two setters and of two hatchers, with so many eggs in each machine. */
function pairs(eggsIn: Readonly<Record<string, number>>) {
  const p: HatchingProblem = {
    ...problem(
      [
        { count: 1, trays: 1, holds: [20] },
        { count: 1, trays: 2, holds: [30] },
      ],
      [
        { count: 1, holds: [48], oneSet: true },
        { count: 1, holds: [16], oneSet: true },
      ],
      [8],
    ),
    oneSetADay: false,
  };
  const model = hatchingModel(p, 'pooled', 'apart');
  const values = new Float64Array(model.program.columns.length);
  const put = (name: string, value: number) => {
    values[model.program.columns.findIndex((column) => column.name === name)] = value;
  };
  for (const [machine, eggs] of Object.entries(eggsIn)) {
    put(`sets of timing 0 on day 14 in ${machine}`, 1);
    put(`eggs of kind 0 on day 14 in ${machine}`, eggs);
  }
  return paired(model, values)!;
}

test('a set without eggs, which an aim for birds may have, is left out', () => {
  const ways = pairs({ 'setter 0': 0, 'setter 1': 60, 'hatcher 0': 48, 'hatcher 1': 12 });
  expect(ways.chosen).toEqual([{ timing: 0, day: 14, setter: 1, hatcher: 0, sets: 1 }]);
});

test('the fuller of two sets goes to the larger hatcher', () => {
  const ways = pairs({ 'setter 0': 20, 'setter 1': 60, 'hatcher 0': 60, 'hatcher 1': 20 });
  expect(ways.chosen).toEqual([
    { timing: 0, day: 14, setter: 1, hatcher: 0, sets: 1 },
    { timing: 0, day: 14, setter: 0, hatcher: 1, sets: 1 },
  ]);
});
