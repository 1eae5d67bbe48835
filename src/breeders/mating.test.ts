import { describe, expect, it } from 'vitest';
import { kinshipMatrix } from '../../tests/support/kinship.ts';
import { isLongRun } from '../../tests/support/long.ts';
import { orderPedigree, type PedigreeEntry } from '../facts/birds/pedigree.ts';
import { kinshipFactors, relationships } from './inbreeding.ts';
import {
  type MatingChoice,
  type MatingProblem,
  openMating,
  type Precision,
  pairUp,
  tradeOff,
} from './mating.ts';

const exact: Precision = { kinship: 0, index: 1e-9, nodes: 100_000, rounds: 100 };

/** A seeded stream of numbers between 0 and 1. */
function stream(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** Young birds of a few families, all candidates, with an index at random. */
function flock(
  seed: number,
  counts: { males: number; hens: number },
  choice: Pick<MatingProblem, 'pens' | 'malesInPen' | 'hensInAll' | 'hensInPen'>,
): MatingProblem & { kinship: readonly Float64Array[] } {
  const next = stream(seed);
  const pick = (n: number) => Math.floor(next() * n);
  const certain = (id: string) => [{ id, share: 1 }];
  const entries: PedigreeEntry[] = [];
  for (const id of ['s0', 's1', 's2', 'd0', 'd1', 'd2', 'd3', 'd4'])
    entries.push({ id, sire: [], dam: [] });
  const young = (id: string) =>
    entries.push({ id, sire: certain(`s${pick(3)}`), dam: certain(`d${pick(5)}`) });
  for (let m = 0; m < counts.males; m += 1) young(`m${m}`);
  for (let h = 0; h < counts.hens; h += 1) young(`h${h}`);
  const known = relationships(orderPedigree(entries));
  const birds = entries.slice(8);
  const ids = birds.map(({ id }) => id);
  const merit = new Map(ids.map((id) => [id, next() - 0.5]));
  const of = (id: string) => birds.find((bird) => bird.id === id)!;
  const candidates = (letter: string) =>
    ids.filter((id) => id.startsWith(letter)).map((id) => ({ id, index: merit.get(id)! }));
  const males = candidates('m');
  const hens = candidates('h');
  return {
    males,
    hens,
    factors: kinshipFactors(known, ids),
    kinship: kinshipMatrix(known, ids),
    apart: (m, h) => {
      const [a, b] = [of(males[m]!.id), of(hens[h]!.id)];
      return a.sire[0]!.id === b.sire[0]!.id || a.dam[0]!.id === b.dam[0]!.id;
    },
    pens: choice.pens,
    malesInPen: choice.malesInPen,
    hensInAll: choice.hensInAll,
    hensInPen: choice.hensInPen,
  };
}

/** Every way to put males and hens into pens that the rules allow, by brute force. */
function* everyPlan(
  problem: ReturnType<typeof flock>,
): Generator<{ index: number; kinship: number }> {
  const { males, hens, pens, malesInPen, hensInAll, hensInPen } = problem;
  /** Pen of each bird, males first; −1: left out. */
  const pen: number[] = [];
  const inPen = (from: number, to: number, at: number) =>
    pen.slice(from, to).filter((one) => one === at).length;
  function* place(bird: number): Generator<{ index: number; kinship: number }> {
    if (bird < males.length + hens.length) {
      for (let at = -1; at < pens; at += 1) {
        // Pens without names: each is begun only after the one before it.
        if (bird < males.length && at > Math.max(-1, ...pen.slice(0, bird)) + 1) continue;
        const isHen = bird >= males.length;
        if (isHen && at >= 0) {
          const hen = bird - males.length;
          if (males.some((_, m) => pen[m] === at && problem.apart(m, hen))) continue;
        }
        pen[bird] = at;
        if (bird === males.length - 1) {
          const full = Array.from({ length: pens }, (_, one) => inPen(0, males.length, one));
          if (full.some((count) => count !== malesInPen)) continue;
        }
        yield* place(bird + 1);
      }
      return;
    }
    const sizes = Array.from({ length: pens }, (_, one) => inPen(males.length, pen.length, one));
    if (sizes.reduce((sum, size) => sum + size, 0) !== hensInAll) return;
    if (sizes.some((size) => size < hensInPen.least || size > hensInPen.most)) return;
    const part = pen.map((at, one) => {
      if (at < 0) return 0;
      return (one < males.length ? sizes[at]! / malesInPen : 1) / (2 * hensInAll);
    });
    let kinship = 0;
    let index = 0;
    part.forEach((a, i) => {
      index += a * (i < males.length ? males[i]! : hens[i - males.length]!).index;
      part.forEach((b, j) => {
        kinship += a * b * problem.kinship[i]![j]!;
      });
    });
    yield { index, kinship };
  }
  yield* place(0);
}

async function expectLawful(problem: MatingProblem, choice: MatingChoice): Promise<void> {
  const plan = await pairUp(problem, choice);
  const all = plan.pens.flatMap((pen) => pen.hens);
  expect(new Set(all).size).toBe(problem.hensInAll);
  expect(plan.pens).toHaveLength(problem.pens);
  const sires = plan.pens.flatMap(({ males }) => males);
  expect(new Set(sires).size).toBe(problem.pens * problem.malesInPen);
  for (const pen of plan.pens) {
    expect(pen.males).toHaveLength(problem.malesInPen);
    expect(pen.hens.length).toBeGreaterThanOrEqual(problem.hensInPen.least);
    expect(pen.hens.length).toBeLessThanOrEqual(problem.hensInPen.most);
    for (const male of pen.males)
      for (const hen of pen.hens)
        expect(
          problem.apart(
            problem.males.findIndex(({ id }) => id === male),
            problem.hens.findIndex(({ id }) => id === hen),
          ),
        ).toBe(false);
  }
}

const pen = (least: number, most: number) => ({ least, most });
const small = [
  { seed: 3, males: 3, hens: 6, pens: 2, malesInPen: 1, hensInAll: 4, hensInPen: pen(1, 3) },
  { seed: 7, males: 4, hens: 6, pens: 2, malesInPen: 1, hensInAll: 5, hensInPen: pen(2, 3) },
  { seed: 12, males: 4, hens: 6, pens: 3, malesInPen: 1, hensInAll: 5, hensInPen: pen(1, 4) },
  { seed: 19, males: 5, hens: 6, pens: 3, malesInPen: 1, hensInAll: 3, hensInPen: pen(1, 1) },
  { seed: 23, males: 4, hens: 7, pens: 1, malesInPen: 1, hensInAll: 3, hensInPen: pen(3, 3) },
  { seed: 31, males: 5, hens: 8, pens: 2, malesInPen: 2, hensInAll: 5, hensInPen: pen(2, 3) },
  { seed: 44, males: 6, hens: 9, pens: 2, malesInPen: 2, hensInAll: 4, hensInPen: pen(2, 2) },
  { seed: 53, males: 5, hens: 8, pens: 1, malesInPen: 3, hensInAll: 3, hensInPen: pen(1, 4) },
];

describe('mating plan', () => {
  it.each(isLongRun ? small : small.slice(0, 4))(
    'is the best of all, by trying all (seed $seed)',
    async (made) => {
      const problem = flock(made.seed, made, made);
      const all = [...everyPlan(problem)];
      expect(all.length).toBeGreaterThan(3);
      const mating = await openMating(problem, exact);
      try {
        const least = mating.least();
        const lowest = Math.min(...all.map(({ kinship }) => kinship));
        if (least.status !== 'planned') throw new Error(least.why);
        expect(least.plan.proven).toBe(true);
        expect(least.plan.kinship).toBeCloseTo(lowest, 9);
        expect(least.plan.bound).toBeCloseTo(lowest, 6);
        await expectLawful(problem, least.plan);

        const highest = Math.max(...all.map(({ index }) => index));
        const free = mating.best(null);
        if (free.status !== 'planned') throw new Error(free.why);
        expect(free.plan.index).toBeCloseTo(highest, 6);

        for (const part of [0, 0.2, 0.5, 0.8]) {
          const bound = lowest + part * (free.plan.kinship - lowest);
          const wanted = Math.max(
            ...all.filter(({ kinship }) => kinship <= bound + 1e-9).map(({ index }) => index),
          );
          const outcome = mating.best(bound);
          if (outcome.status !== 'planned') throw new Error(outcome.why);
          expect(outcome.plan.proven).toBe(true);
          expect(outcome.plan.index).toBeCloseTo(wanted, 6);
          expect(outcome.plan.kinship).toBeLessThanOrEqual(bound + 1e-8);
          await expectLawful(problem, outcome.plan);
        }
        const below = mating.best(lowest * 0.9);
        expect(below.status).toBe('infeasible');
      } finally {
        mating.close();
      }
    },
  );

  it('pairs the chosen birds so that mates are least akin, changing nothing else', async () => {
    const problem = flock(
      5,
      { males: 6, hens: 12 },
      {
        pens: 3,
        malesInPen: 1,
        hensInAll: 9,
        hensInPen: { least: 3, most: 3 },
      },
    );
    const mating = await openMating(problem, exact);
    const outcome = mating.best(null);
    mating.close();
    if (outcome.status !== 'planned') throw new Error(outcome.why);
    const paired = await pairUp(problem, outcome.plan);
    await expectLawful(problem, outcome.plan);
    expect(paired.pens.flatMap(({ hens }) => hens).sort()).toEqual([...outcome.plan.hens].sort());
    // Every other way to share the hens out: none has mates less akin.
    const place = (id: string) =>
      [...problem.males, ...problem.hens].findIndex((one) => one.id === id);
    const ways = (left: readonly string[], at: number): number[] => {
      if (at === paired.pens.length) return [0];
      const male = place(paired.pens[at]!.males[0]!);
      const some = (from: number, chosen: readonly string[]): number[] => {
        if (chosen.length === 3) {
          const own = chosen.reduce((sum, hen) => sum + problem.kinship[male]![place(hen)]!, 0);
          const rest = left.filter((hen) => !chosen.includes(hen));
          return ways(rest, at + 1).map((sum) => sum + own / 9);
        }
        return left
          .slice(from)
          .flatMap((hen, index) =>
            problem.apart(male, place(hen) - problem.males.length)
              ? []
              : some(from + index + 1, [...chosen, hen]),
          );
      };
      return some(0, []);
    };
    expect(paired.matesKinship).toBeCloseTo(Math.min(...ways(outcome.plan.hens, 0)), 9);
  });

  it('trades merit against kinship in five points, never backward', async () => {
    const problem = flock(
      13,
      { males: 6, hens: 18 },
      {
        pens: 3,
        malesInPen: 1,
        hensInAll: 12,
        hensInPen: { least: 3, most: 5 },
      },
    );
    const mating = await openMating(problem, { ...exact, kinship: 0.001, index: 0.01 });
    const curve = tradeOff(mating, 5);
    mating.close();
    if ('why' in curve) throw new Error(curve.why);
    expect(curve).toHaveLength(5);
    for (const { plan, bound } of curve) {
      expect(plan.kinship).toBeLessThanOrEqual(bound + 1e-8);
      expect(plan.proven).toBe(true);
      await expectLawful(problem, plan);
    }
    for (let point = 1; point < curve.length; point += 1)
      expect(curve[point]!.plan.index).toBeGreaterThanOrEqual(curve[point - 1]!.plan.index - 0.01);
  });

  it('is the formula of the effective size for unrelated birds', async () => {
    const males = ['a', 'b'].map((id) => ({ id, index: 0 }));
    const hens = Array.from({ length: 10 }, (_, n) => ({ id: `h${n}`, index: 0 }));
    const mating = await openMating(
      {
        males,
        hens,
        factors: [...males, ...hens].map((_, bird) => ({ weight: 0.5, parts: [[bird, 1]] })),
        apart: () => false,
        pens: 2,
        malesInPen: 1,
        hensInAll: 10,
        hensInPen: { least: 5, most: 5 },
      },
      exact,
    );
    const outcome = mating.least();
    mating.close();
    if (outcome.status !== 'planned') throw new Error(outcome.why);
    // 1 ÷ (2·Ne), Ne = 4·2·10 ÷ 12.
    expect(outcome.plan.kinship).toBeCloseTo(12 / (2 * 4 * 2 * 10), 12);
  });

  it('says what is missing', async () => {
    const problem = flock(
      5,
      { males: 2, hens: 4 },
      {
        pens: 3,
        malesInPen: 1,
        hensInAll: 3,
        hensInPen: { least: 1, most: 1 },
      },
    );
    const why = async (change: Partial<MatingProblem>) => {
      const mating = await openMating({ ...problem, ...change }, exact);
      const outcome = mating.best(null);
      mating.close();
      return outcome.status === 'infeasible' ? outcome.why : 'planned';
    };
    expect(await why({})).toBe('3 pens need 3 males, and 2 can be had');
    expect(await why({ pens: 2, hensInAll: 5 })).toBe('5 hens are asked for, and 4 can be had');
    expect(await why({ pens: 2 })).toBe('3 hens do not fit in 2 pens of at most 1');
    expect(await why({ pens: 2, hensInAll: 2, apart: () => true })).toBe(
      'there are too few pairs of birds that are not sibs',
    );
  });
});
