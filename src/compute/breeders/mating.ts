/**
 * Who to pen with whom: a mixed-integer program.
 *
 * Chosen are a number of males, one a pen, and hens for each, so that the young's mean index is
 * the largest at a bounded mean kinship of the chosen parents, or their mean kinship the least.
 * The mean kinship counts every pair, each bird also with itself, each parent by its share of the
 * young (half from the males, half from the hens, a pen by its hens): the inbreeding to come
 * when the young mate at random, and 1 ÷ (2·Ne) for unrelated parents (Meuwissen, Journal of Animal
 * Science 75:934, 1997, optimum contributions; from memory).
 *
 * That mean is a sum of squares, one for each ancestor: the square of how much of the young's
 * genes began there. Each square enters the program as straight lines below it, added where the
 * answer so far is too low (Kelley 1960; Duran & Grossmann 1986). Hens come whole, so an ancestor's
 * count moves in steps, and a line through two neighbouring steps is exact at both. As every program
 * only relaxes the real one, the first answer that truly keeps the bound is the best there is.
 */
import { addColumn, addRow, type Expression, type LinearProgram } from '../plan/linear-program.ts';
import { openSolver, type Solver } from '../plan/solver.ts';
import type { Factor } from './inbreeding.ts';
import { alike, type Group, gathered, step } from './mating-factors.ts';

export interface Candidate {
  readonly id: string;
  readonly index: number;
}

export interface MatingProblem {
  readonly males: readonly Candidate[];
  readonly hens: readonly Candidate[];
  /** Kinship of all candidates, males first, in pieces. */
  readonly factors: readonly Factor[];
  /** Pairs that must not mate, by place among males and among hens. */
  readonly apart: (male: number, hen: number) => boolean;
  /** Number of pens, one male each. */
  readonly pens: number;
  /** Hens in all, and the least and most in one pen. */
  readonly hensInAll: number;
  readonly hensInPen: { readonly least: number; readonly most: number };
}

export interface MatedPen {
  readonly male: string;
  readonly hens: readonly string[];
}

export interface MatingPlan {
  readonly pens: readonly MatedPen[];
  /** Expected index of the young: half from the males, half from the hens. */
  readonly index: number;
  /** Mean kinship of the chosen parents by their share of the young, each also with itself. */
  readonly kinship: number;
  /** Mean kinship of mates: the expected inbreeding of the young themselves. */
  readonly matesKinship: number;
  /** True when nothing can be better by more than the gap asked for. */
  readonly proven: boolean;
  /** What nothing can beat: the least kinship, or the largest index, that may yet exist. */
  readonly bound: number;
}

export type MatingOutcome =
  | { readonly status: 'infeasible'; readonly why: string }
  | { readonly status: 'planned'; readonly plan: MatingPlan };

/** When to be content. */
export interface Precision {
  /** Share of the kinship that may be missed. */
  readonly kinship: number;
  /** Index units that may be missed. */
  readonly index: number;
  /** Nodes of the search in one solve, and rounds of cuts. */
  readonly nodes: number;
  readonly rounds: number;
}

/** Kinship below this, in the program's units, is rounding. */
const ROUNDING = 1e-6;
const NONE = Number.POSITIVE_INFINITY;

interface Square {
  readonly group: Group;
  /** What is squared, and the column that stands for the square. */
  readonly of: Expression;
  readonly column: number;
}

interface Model {
  readonly program: LinearProgram;
  readonly pairs: readonly {
    readonly male: number;
    readonly hen: number;
    readonly column: number;
  }[];
  /** Hens a male serves, or whether a hen is in, by candidate. */
  readonly count: readonly Expression[];
  readonly squares: readonly Square[];
  /** What is to be made least. */
  readonly index: Expression;
  readonly kinship: Expression;
  readonly boundRow: number;
}

/** What cannot be, told without a solver; `null` when nothing is seen. */
function impossible(problem: MatingProblem): string | null {
  const { males, hens, pens, hensInAll, hensInPen } = problem;
  const of = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;
  if (pens < 1) return 'no pen is asked for';
  if (males.length < pens)
    return `${of(pens, 'pen')} need ${of(pens, 'male')}, and ${males.length} can be had`;
  if (hens.length < hensInAll)
    return `${of(hensInAll, 'hen')} are asked for, and ${hens.length} can be had`;
  if (hensInAll < pens * hensInPen.least)
    return `${of(hensInAll, 'hen')} do not fill ${of(pens, 'pen')} of at least ${hensInPen.least}`;
  if (hensInAll > pens * hensInPen.most)
    return `${of(hensInAll, 'hen')} do not fit in ${of(pens, 'pen')} of at most ${hensInPen.most}`;
  return null;
}

function build(problem: MatingProblem, relaxed: boolean): Model {
  const { males, hens, pens, hensInAll, hensInPen } = problem;
  const { least, most } = hensInPen;
  const program: LinearProgram = { columns: [], rows: [] };
  const whole = !relaxed;
  const used = males.map(({ id }) => addColumn(program, `male ${id}`, 1, { whole }));
  const pairs: { male: number; hen: number; column: number }[] = [];
  males.forEach((male, m) => {
    hens.forEach((hen, h) => {
      if (problem.apart(m, h)) return;
      const column = addColumn(program, `${male.id} with ${hen.id}`, 1, { whole });
      pairs.push({ male: m, hen: h, column });
      const terms = [[used[m]!, 1] as const, [column, -1] as const];
      addRow(program, `${hen.id} only if ${male.id}`, 0, terms, 1);
    });
  });
  const of = (keep: (pair: (typeof pairs)[number]) => boolean): Expression =>
    pairs.filter(keep).map(({ column }) => [column, 1] as const);
  const ofMale = males.map((_, m) => of(({ male }) => male === m));
  const ofHen = hens.map((_, h) => of(({ hen }) => hen === h));
  const count = [...ofMale, ...ofHen];
  ofHen.forEach((terms, h) => {
    addRow(program, `one pen for ${hens[h]!.id}`, 0, terms, 1);
  });
  ofMale.forEach((terms, m) => {
    const { id } = males[m]!;
    addRow(program, `fewest with ${id}`, 0, [...terms, [used[m]!, -least]], NONE);
    addRow(program, `most with ${id}`, -NONE, [...terms, [used[m]!, -most]], 0);
  });
  const each = used.map((column) => [column, 1] as const);
  addRow(program, 'pens', pens, each, pens);
  addRow(
    program,
    'hens',
    hensInAll,
    of(() => true),
    hensInAll,
  );

  // Kinship in units of 1 ÷ (2·hens)², so that its coefficients are near 1.
  const kinship: [number, number][] = [];
  const squares: Square[] = [];
  const groups = gathered(problem.factors);
  for (const group of groups) {
    const [bird] = group.parts[0]!;
    const alone = group.parts.length === 1;
    if (alone && bird >= males.length) {
      // A hen is in or out: her square is herself.
      for (const [column, one] of count[bird]!) kinship.push([column, one * group.weight]);
      continue;
    }
    const column = addColumn(program, `square ${squares.length}`, NONE);
    kinship.push([column, group.weight]);
    const terms = group.parts.flatMap(([at, part]) =>
      count[at]!.map(([pair]) => [pair, part] as const),
    );
    if (alone) {
      // A male serves none, or `least` to `most` hens: every line of his square at once.
      for (let n = least; n <= Math.max(least, most - 1); n += 1) {
        const line = terms.map(([pair]) => [pair, -(least === most ? n : 2 * n + 1)] as const);
        const height = least === most ? 0 : n * (n + 1);
        addRow(program, `square at ${n}`, 0, [[column, 1], ...line, [used[bird]!, height]], NONE);
      }
      if (least < most)
        addRow(
          program,
          'square below the least',
          0,
          [[column, 1], ...terms.map(([pair]) => [pair, -least] as const)],
          NONE,
        );
    } else squares.push({ group, of: terms, column });
  }
  // Among birds alike, a worse one never needs to go before a better one: this spares the search
  // most of its branches.
  const candidates = [...males, ...hens];
  const taken: Expression[] = [...used.map((column) => [[column, 1] as const]), ...ofHen];
  const barred = (bird: number) =>
    (bird < males.length
      ? hens.map((_, h) => problem.apart(bird, h))
      : males.map((_, m) => problem.apart(m, bird - males.length))
    ).join();
  const places = candidates.map((_, bird) => bird);
  for (const sex of [places.slice(0, males.length), places.slice(males.length)])
    for (const set of alike(sex, groups, barred)) {
      set.sort((a, b) => candidates[b]!.index - candidates[a]!.index || a - b);
      set.slice(1).forEach((worse, at) => {
        const better = set[at]!;
        const less = taken[worse]!.map(([column]) => [column, -1] as const);
        const name = `${candidates[better]!.id} before ${candidates[worse]!.id}`;
        addRow(program, name, 0, [...taken[better]!, ...less], NONE);
      });
    }
  const boundRow = addRow(program, 'kinship', 0, kinship, NONE);
  const index: Expression = pairs.map(({ male, hen, column }) => [
    column,
    -(males[male]!.index + hens[hen]!.index) / (2 * hensInAll),
  ]);
  return { program, pairs, count, squares, index, kinship, boundRow };
}

const valueAt = (terms: Expression, values: ArrayLike<number>) =>
  terms.reduce((sum, [column, factor]) => sum + factor * values[column]!, 0);

/** The lines that hold a square up at `at`: through its step and its neighbours, or the tangent. */
function lines(at: number, size: number | null): { slope: number; height: number }[] {
  if (size === null) return [{ slope: 2 * at, height: at * at }];
  const below = Math.floor(at / size + ROUNDING);
  return [below - 1, below]
    .filter((k) => k >= 0)
    .map((k) => ({ slope: (2 * k + 1) * size, height: k * (k + 1) * size * size }));
}

/** A program with its cuts, used for several questions about one problem. */
export interface Mating {
  /** The least mean kinship there is. */
  least(): MatingOutcome;
  /** The largest index with a mean kinship of at most `bound`; any kinship for `null`. */
  best(bound: number | null): MatingOutcome;
  close(): void;
}

/** Sets the program up. Close it when done. @throws SolverFailure if the solver fails. */
export async function openMating(problem: MatingProblem, precision: Precision): Promise<Mating> {
  const seen = impossible(problem);
  const refused = (why: string): MatingOutcome => ({ status: 'infeasible', why });
  if (seen !== null) return { least: () => refused(seen), best: () => refused(seen), close() {} };

  const scale = (2 * problem.hensInAll) ** 2;
  const whole = build(problem, false);
  const loose = build(problem, true);
  const solver = await openSolver(whole.program);
  const relaxation = await openSolver(loose.program);
  const given = new Set<string>();
  /** Adds lines wherever `values` holds a square too low. Returns how far the kinship was missed. */
  const learn = (model: Model, values: ArrayLike<number>): { missed: number; added: number } => {
    let missed = 0;
    let added = 0;
    model.squares.forEach(({ group, of, column }, square) => {
      const at = valueAt(of, values);
      const short = group.weight * (at * at - values[column]!);
      missed += Math.max(0, short);
      if (short <= ROUNDING) return;
      for (const { slope, height } of lines(at, step(group))) {
        const name = `square ${square} at ${slope.toFixed(9)}`;
        if (given.has(name)) continue;
        given.add(name);
        added += 1;
        for (const [to, target] of [
          [solver, whole],
          [relaxation, loose],
        ] as const satisfies readonly (readonly [Solver, Model])[]) {
          const own = target.squares[square]!;
          const terms = own.of.map(([pair, part]) => [pair, -slope * part] as const);
          to.add(name, -height, [[own.column, 1], ...terms], NONE);
        }
      }
    });
    return { missed, added };
  };

  const ask = (goal: 'least' | 'best', bound: number | null): MatingOutcome => {
    const limit = bound === null ? NONE : bound * scale * (1 + precision.kinship) + ROUNDING;
    solver.setRow(whole.boundRow, 0, limit);
    relaxation.setRow(loose.boundRow, 0, limit);
    const aim = (model: Model) => (goal === 'least' ? model.kinship : model.index);
    const content = (kinship: number) => Math.max(10 * ROUNDING, precision.kinship * kinship);
    if (goal === 'least' || bound !== null)
      for (let round = 0; round < precision.rounds; round += 1) {
        const outcome = relaxation.minimise(aim(loose));
        if (outcome.status === 'infeasible') break;
        if (learn(loose, outcome.values).added === 0) break;
      }
    let found: { plan: Omit<MatingPlan, 'proven' | 'bound'>; worth: number } | null = null;
    let floor = Number.NEGATIVE_INFINITY;
    let proven = false;
    for (let round = 0; round < precision.rounds; round += 1) {
      const gap =
        goal === 'least' ? { relativeGap: precision.kinship } : { absoluteGap: precision.index };
      const outcome = solver.minimise(aim(whole), {
        relativeGap: 0,
        absoluteGap: ROUNDING / 10,
        ...gap,
        nodes: precision.nodes,
      });
      if (outcome.status === 'infeasible') break;
      floor = Math.max(floor, outcome.bound);
      const plan = planOf(problem, whole, outcome.values);
      const kinship = plan.kinship * scale;
      const { missed, added } = learn(whole, outcome.values);
      const worth = goal === 'least' ? kinship : -plan.index;
      const keeps = kinship <= limit + 10 * ROUNDING;
      if (keeps && (found === null || worth < found.worth)) found = { plan, worth };
      if (goal === 'least' ? missed <= content(kinship) : keeps) {
        proven = outcome.status === 'optimal';
        break;
      }
      if (added === 0) break;
    }
    if (found === null)
      return refused(
        bound === null
          ? 'there are too few pairs of birds that are not sibs'
          : 'no choice of birds keeps so low a kinship',
      );
    const unit = goal === 'least' ? 1 / scale : -1;
    return { status: 'planned', plan: { ...found.plan, proven, bound: floor * unit } };
  };
  return {
    least: () => ask('least', null),
    best: (bound) => ask('best', bound),
    close() {
      solver.close();
      relaxation.close();
    },
  };
}

/** Mean kinship of birds that carry these parts of the whole, from the pieces. */
function kinshipOf(factors: readonly Factor[], parts: readonly number[]): number {
  return factors.reduce(
    (sum, { weight, parts: of }) =>
      sum + weight * of.reduce((all, [bird, part]) => all + part * parts[bird]!, 0) ** 2,
    0,
  );
}

/** Kinship of every male with every hen. */
export function crossKinship({ males, hens, factors }: MatingProblem): Float64Array[] {
  const table = males.map(() => new Float64Array(hens.length));
  for (const { weight, parts } of factors)
    for (const [male, a] of parts)
      if (male < males.length)
        for (const [hen, b] of parts)
          if (hen >= males.length) table[male]![hen - males.length]! += weight * a * b;
  return table;
}

function planOf(problem: MatingProblem, model: Model, values: ArrayLike<number>) {
  const { males, hens, hensInAll } = problem;
  const mated = model.pairs.filter(({ column }) => values[column]! > 0.5);
  const parts = [...males, ...hens].map(() => 0);
  for (const { male, hen } of mated) {
    parts[male]! += 1 / (2 * hensInAll);
    parts[males.length + hen]! += 1 / (2 * hensInAll);
  }
  const akin = crossKinship(problem);
  return {
    pens: males.flatMap((male, m) => {
      const own = mated.filter((pair) => pair.male === m).map(({ hen }) => hens[hen]!.id);
      return own.length === 0 ? [] : [{ male: male.id, hens: own }];
    }),
    index:
      mated.reduce((sum, { male, hen }) => sum + males[male]!.index + hens[hen]!.index, 0) /
      (2 * hensInAll),
    kinship: kinshipOf(problem.factors, parts),
    matesKinship: mated.reduce((sum, { male, hen }) => sum + akin[male]![hen]!, 0) / hensInAll,
  };
}

/**
 * The same birds, pens of the same size, hens moved among the males so that mates are least akin.
 * Changes neither the index nor the mean kinship of the parents.
 */
export async function pairUp(problem: MatingProblem, plan: MatingPlan): Promise<MatingPlan> {
  const akin = crossKinship(problem);
  const chosen = plan.pens.map(({ male }) => problem.males.findIndex(({ id }) => id === male));
  const hens = plan.pens.flatMap((pen) =>
    pen.hens.map((hen) => problem.hens.findIndex(({ id }) => id === hen)),
  );
  const program: LinearProgram = { columns: [], rows: [] };
  const pairs = chosen.flatMap((male, pen) =>
    hens
      .filter((hen) => !problem.apart(male, hen))
      .map((hen) => {
        const column = addColumn(program, `${male} ${hen}`, 1, { whole: true });
        return { male, pen, hen, column };
      }),
  );
  const one = (pair: { column: number }) => [pair.column, 1] as const;
  for (const hen of hens) {
    const terms = pairs.filter((pair) => pair.hen === hen).map(one);
    addRow(program, `hen ${hen}`, 1, terms, 1);
  }
  plan.pens.forEach(({ hens: { length } }, at) => {
    const terms = pairs.filter((pair) => pair.pen === at).map(one);
    addRow(program, `pen ${at}`, length, terms, length);
  });
  const solver = await openSolver(program);
  try {
    const outcome = solver.minimise(
      pairs.map(({ male, hen, column }) => [column, akin[male]![hen]!]),
    );
    if (outcome.status === 'infeasible') return plan;
    const mated = pairs.filter(({ column }) => outcome.values[column]! > 0.5);
    return {
      ...plan,
      pens: plan.pens.map(({ male }, at) => ({
        male,
        hens: mated.filter(({ pen }) => pen === at).map(({ hen }) => problem.hens[hen]!.id),
      })),
      matesKinship: outcome.objective / hens.length,
    };
  } finally {
    solver.close();
  }
}

/** One point of the trade between merit now and width later. */
export interface TradeOff {
  /** What the mean kinship was held to. */
  readonly bound: number;
  readonly plan: MatingPlan;
}

/**
 * The trade-off curve: from the least kinship to the largest index, the best index at each of
 * `points` evenly spaced bounds. One point when the two ends are one.
 */
export function tradeOff(mating: Mating, points: number): readonly TradeOff[] | { why: string } {
  const least = mating.least();
  if (least.status === 'infeasible') return { why: least.why };
  const most = mating.best(null);
  if (most.status === 'infeasible') return { why: most.why };
  const low = least.plan.kinship;
  const span = Math.max(0, most.plan.kinship - low);
  const curve: TradeOff[] = [];
  for (let point = 0; point < points; point += 1) {
    const bound = low + (span * point) / (points - 1);
    const outcome = mating.best(bound);
    // The plan that gave the lower end is always within the bound.
    const plan = outcome.status === 'planned' ? outcome.plan : { ...least.plan, proven: false };
    const before = curve.at(-1)?.plan;
    curve.push({ bound, plan: before && before.index > plan.index ? before : plan });
    if (span <= ROUNDING * low) break;
  }
  return curve;
}
