import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { eggTerms, type HatchingProblem, hatchingModel, setTerms } from './hatching-model.ts';
import { addRow, type Expression } from './linear-program.ts';
import { openSolver } from './solver.ts';

/** Rows that no whole plan breaks, and that only bring the program in parts nearer to the whole one. */
const tightening = /^(the last tray|no eggs of .* without a set|trays beyond)/;

const problem = ({
  supplies = [[6, 6, 6, 6, 6, 6, 6]],
  weeks = 4,
  trays = 3,
  holds = 42,
  hatcher = 80,
  setDays = [6, 13, 20, 27],
}: {
  supplies?: number[][];
  weeks?: number;
  trays?: number;
  holds?: number;
  hatcher?: number;
  setDays?: readonly number[];
} = {}): HatchingProblem => ({
  days: 7 * weeks,
  sources: supplies.map((week, i) => ({
    name: `pen ${i + 1}`,
    kind: 0,
    supply: Array.from({ length: 7 * weeks }, (_, day) => week[day % week.length]!),
    maxAge: 9,
  })),
  kinds: [{ name: 'chicken', timing: 0, liveShare: 1 }],
  timings: [{ setDays, transfer: 18, hatch: 21, lastOpening: 22 }],
  setters: [{ name: 'cabinet', count: 1, trays, holds: [holds], taken: [] }],
  hatchers: [{ name: 'lower', count: 1, holds: [hatcher], cleanDays: 1, oneSet: true, taken: [] }],
});

interface Question {
  inParts: boolean;
  isTight: boolean;
  /** So many eggs are wanted, in as few sets as can be. */
  eggs?: number;
  /** Only those of the first pen count. */
  isOfFirst?: boolean;
}

/** Least cost of the eggs, where a set costs as much as some eggs are worth: whole or in parts, with those rows or without. */
async function least(
  p: HatchingProblem,
  { inParts, isTight, eggs = 0, isOfFirst = false }: Question,
): Promise<number> {
  const model = hatchingModel(p, 'pooled');
  const { program } = model;
  if (!isTight) program.rows = program.rows.filter(({ name }) => !tightening.test(name));
  if (inParts) for (const column of program.columns) column.whole = false;
  const all = eggTerms(model, ({ source }) => (isOfFirst && source > 0 ? 0 : 1));
  if (eggs > 0) addRow(program, 'eggs wanted', eggs, all, Number.POSITIVE_INFINITY);
  const cost: Expression =
    eggs > 0
      ? setTerms(model)
      : [...setTerms(model, () => 20), ...all.map(([c]) => [c, -1] as const)];
  const solver = await openSolver(program);
  try {
    const found = solver.minimise(cost);
    return 'objective' in found ? found.objective : Number.POSITIVE_INFINITY;
  } finally {
    solver.close();
  }
}

describe('rows that tighten the program', () => {
  test('cut off no whole plan', async () => {
    const eggsADay = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 7, maxLength: 7 });
    const season = fc.record({
      supplies: fc.array(eggsADay, { minLength: 1, maxLength: 3 }),
      trays: fc.integer({ min: 1, max: 4 }),
      holds: fc.integer({ min: 7, max: 40 }),
      hatcher: fc.integer({ min: 10, max: 90 }),
      setDays: fc.uniqueArray(fc.integer({ min: 3, max: 27 }), { minLength: 2, maxLength: 8 }),
    });
    await fc.assert(
      fc.asyncProperty(season, async (of) => {
        const p = problem({ ...of, setDays: of.setDays.sort((a, b) => a - b) });
        const tight = await least(p, { inParts: false, isTight: true });
        const plain = await least(p, { inParts: false, isTight: false });
        expect(tight).toBeCloseTo(plain, 4);
        // In parts they can only raise the bound, and not above what is whole.
        const bound = await least(p, { inParts: true, isTight: true });
        expect(bound).toBeGreaterThanOrEqual(
          (await least(p, { inParts: true, isTight: false })) - 1e-6,
        );
        expect(bound).toBeLessThanOrEqual(tight + 1e-6);
      }),
      { numRuns: 40 },
    );
  });

  test('three trays hold one set of two trays at a time: the bound says so', async () => {
    // Ten days of six eggs are 60 a set and take two trays of 42, so the next two weeks have one tray.
    const setDays = Array.from({ length: 12 }, (_, week) => 6 + 7 * week);
    const p = problem({ weeks: 12, setDays });
    const eggs = 340;
    const loose = await least(p, { inParts: true, isTight: false, eggs });
    const bound = await least(p, { inParts: true, isTight: true, eggs });
    expect(Math.ceil(loose)).toBe(6);
    expect(Math.ceil(bound)).toBe(7);
    expect(await least(p, { inParts: false, isTight: false, eggs })).toBe(7);
  });

  test('what one pen lays fills only its part of a set', async () => {
    // A set of 60 has no more than 40 eggs of the first pen, so 110 of them take three sets, not two.
    const p = problem({ supplies: [[4], [4]], weeks: 6, hatcher: 60, setDays: [10, 20, 30, 40] });
    const eggs = 110;
    const ofFirst = { eggs, isOfFirst: true };
    const loose = await least(p, { inParts: true, isTight: false, ...ofFirst });
    const bound = await least(p, { inParts: true, isTight: true, ...ofFirst });
    expect(Math.ceil(loose)).toBe(2);
    expect(Math.ceil(bound)).toBe(3);
    expect(await least(p, { inParts: false, isTight: false, ...ofFirst })).toBe(3);
  });
});
