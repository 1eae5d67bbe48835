/**
 * Who to pen with whom: a mixed-integer program.
 *
 * Chosen are the males of each pen and the hens in all, so that the young's mean index is the
 * largest at a bounded mean kinship of the chosen parents, or their mean kinship the least. The
 * mean kinship counts every pair, each bird also with itself, each parent by its share of the
 * young (half from the males, half from the hens, a pen by its hens, the males of one pen alike):
 * the inbreeding to come when the young mate at random, and 1 ÷ (2·Ne) for unrelated parents
 * (Meuwissen, Journal of Animal Science 75:934, 1997, optimum contributions; from memory).
 *
 * Which hen goes to which pen changes neither figure, so the program only makes sure that a pairing
 * without sibs exists. With whole pens and whole hens that is a question of flow, whose corners
 * are whole by themselves (Hoffman & Kruskal 1956), so the flow needs no whole-number columns, and
 * hens barred from the same males share it. `pairUp` then gives each hen her pen.
 *
 * The mean is a sum of squares, one for each ancestor: the square of how much of the young's
 * genes began there. Each square enters the program as straight lines below it, added where the
 * answer so far is too low (Kelley 1960; Duran & Grossmann 1986). Birds come whole, so an ancestor's
 * count moves in steps, and a line through two neighbouring steps is exact at both. As every program
 * only relaxes the real one, the first answer that truly keeps the bound is the best there is.
 */
import {
  addColumn,
  addRow,
  amountOf,
  type Expression,
  type LinearProgram,
  merged,
} from '../planner/linear-program.ts';
import { openSolver, type Solver } from '../planner/solver.ts';
import { groupedBy } from '../text/lists.ts';
import type { Factor } from './inbreeding.ts';
import { alike, gathered, type MatingGroup, step } from './mating-factors.ts';

export interface MatingCandidate {
  readonly id: string;
  readonly index: number;
}

export interface MatingProblem {
  readonly males: readonly MatingCandidate[];
  readonly hens: readonly MatingCandidate[];
  /** Kinship of all candidates, males first, in pieces. */
  readonly factors: readonly Factor[];
  /** Pairs that must not mate, by place among males and among hens. */
  readonly apart: (male: number, hen: number) => boolean;
  readonly pens: number;
  /** Males in each pen. */
  readonly malesInPen: number;
  /** Hens in all, and the least and most in one pen. */
  readonly hensInAll: number;
  readonly hensInPen: { readonly least: number; readonly most: number };
}

/** Which birds are to breed, males in their pens, hens not yet. */
export interface MatingChoice {
  readonly pens: readonly { readonly males: readonly string[]; readonly size: number }[];
  readonly hens: readonly string[];
  /** Expected index of the young: half from the males, half from the hens. */
  readonly index: number;
  /** Mean kinship of the chosen parents by their share of the young, each also with itself. */
  readonly kinship: number;
  /** True when nothing can be better by more than the precision asked for. */
  readonly proven: boolean;
  /** What nothing can beat: the least kinship, or the largest index, that may yet exist. */
  readonly bound: number;
}

export interface MatedPen {
  readonly males: readonly string[];
  readonly hens: readonly string[];
}

/** A choice with every hen in her pen. */
export interface MatingPlan extends Omit<MatingChoice, 'pens' | 'hens'> {
  readonly pens: readonly MatedPen[];
  /** Mean kinship of mates: the expected inbreeding of the young themselves. */
  readonly matesKinship: number;
}

export type MatingOutcome =
  | { readonly status: 'infeasible'; readonly why: string }
  | { readonly status: 'planned'; readonly plan: MatingChoice };

/** When to be content. */
export interface Precision {
  /** Share of the least kinship that may be missed. */
  readonly kinship: number;
  /** Index units that may be missed. */
  readonly index: number;
  /** Nodes of the search in one solve, and rounds of lines. */
  readonly nodes: number;
  readonly rounds: number;
}

/** Kinship below this, in the program's units, is rounding. */
const ROUNDING = 1e-6;
/** Part of the precision that the lines drawn before the search leave open. */
const COARSE = 0.1;
const NONE = Number.POSITIVE_INFINITY;

interface Square {
  readonly group: MatingGroup;
  /** What is squared, and the column that stands for the square. */
  readonly of: Expression;
  readonly column: number;
}

interface Model {
  readonly program: LinearProgram;
  /** Whether male `male` is in the pen whose first male is `first`. */
  readonly places: readonly {
    readonly male: number;
    readonly first: number;
    readonly column: number;
  }[];
  /** Hens in the pen of each first male. */
  readonly sizes: readonly Expression[];
  /** Whether each hen is in. */
  readonly hen: readonly number[];
  /** How much each candidate counts: males in their hens, a hen as `malesInPen`. */
  readonly count: readonly Expression[];
  readonly squares: readonly Square[];
  /** What is to be made least. */
  readonly index: Expression;
  readonly kinship: Expression;
  readonly boundRow: number;
}

/** What cannot be, told without a solver; `null` when nothing is seen. */
function impossible(problem: MatingProblem): string | null {
  const { males, hens, pens, malesInPen, hensInAll, hensInPen } = problem;
  const of = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;
  if (pens < 1) return 'no pen is asked for';
  if (males.length < pens * malesInPen)
    return `${of(pens, 'pen')} need${pens === 1 ? 's' : ''} ${of(pens * malesInPen, 'male')}, and ${males.length} can be had`;
  if (hens.length === 0) return 'no hen can be had';
  if (hens.length < hensInAll)
    return `${of(hensInAll, 'hen')} are asked for, and ${hens.length} can be had`;
  if (hensInAll < Math.max(1, pens * hensInPen.least))
    return `${of(hensInAll, 'hen')} do not fill ${of(pens, 'pen')} of at least ${hensInPen.least}`;
  if (hensInAll > pens * hensInPen.most)
    return `${of(hensInAll, 'hen')} do not fit in ${of(pens, 'pen')} of at most ${hensInPen.most}`;
  return null;
}

function build(problem: MatingProblem, relaxed: boolean): Model {
  const { males, hens, pens, malesInPen, hensInAll, hensInPen } = problem;
  const { least, most } = hensInPen;
  const program: LinearProgram = { columns: [], rows: [] };
  const whole = !relaxed;
  /** A row whose sum lies between two ends: at least 0 if nothing else is said. */
  const keep = (
    name: string,
    terms: Expression,
    [low, high]: readonly [number, number] = [0, NONE],
  ) => addRow(program, name, low, terms, high);
  const exactly = (sum: number) => [sum, sum] as const;
  const atMost = (sum: number) => [-NONE, sum] as const;
  const one = (column: number) => [column, 1] as const;
  const minus = (terms: Expression): Expression => terms.map(([column, n]) => [column, -n]);

  // A pen goes by its first male, so that no two answers are the same pens in another order.
  const places: { male: number; first: number; column: number }[] = [];
  males.forEach(({ id }, male) => {
    for (let first = malesInPen > 1 ? 0 : male; first <= male; first += 1) {
      const column = addColumn(program, `${id} with ${males[first]!.id}`, 1, { whole });
      places.push({ male, first, column });
    }
  });
  const lead = places.filter(({ male, first }) => male === first).map(({ column }) => column);
  const used = males.map((_, m) => places.filter(({ male }) => male === m));
  const sizes = males.map(({ id }, m): Expression => {
    if (least === most) return [[lead[m]!, least]];
    const column = addColumn(program, `hens of ${id}`, most, { whole });
    keep(`fewest with ${id}`, [one(column), [lead[m]!, -least]]);
    keep(`most with ${id}`, [one(column), [lead[m]!, -most]], atMost(0));
    return [one(column)];
  });
  /** Hens that each place of a male is worth, times the males of the pen. */
  const worth = places.map(({ male, first, column }): Expression => {
    if (least === most) return [[column, least]];
    if (malesInPen === 1) return sizes[male]!;
    const own = addColumn(program, `worth of ${males[male]!.id} with ${males[first]!.id}`, most);
    keep('of its pen', [...sizes[first]!, [own, -1]]);
    keep('if in it', [
      [column, most],
      [own, -1],
    ]);
    keep('at least', [one(own), [column, -least]]);
    return [one(own)];
  });
  if (malesInPen > 1)
    males.forEach(({ id }, first) => {
      const own = places.flatMap((place, at) => (place.first === first ? [at] : []));
      const inIt = own.map((at) => one(places[at]!.column));
      keep(`males with ${id}`, [...inIt, [lead[first]!, -malesInPen]], exactly(0));
      for (const [column] of inIt) keep(`pen of ${id}`, [one(lead[first]!), [column, -1]]);
      if (least < most) {
        const all = own.flatMap((at) => worth[at]!);
        const size = sizes[first]!.map(([column, n]) => [column, -n * malesInPen] as const);
        keep(`worth with ${id}`, [...all, ...size], exactly(0));
      }
    });
  used.forEach((own, male) => {
    if (malesInPen > 1)
      keep(
        `one pen for ${males[male]!.id}`,
        own.map(({ column }) => one(column)),
        [0, 1],
      );
  });
  keep('pens', lead.map(one), exactly(pens));

  const hen = hens.map(({ id }) => addColumn(program, `hen ${id}`, 1, { whole }));
  keep('hens', hen.map(one), exactly(hensInAll));

  // That every hen finds a pen without a sib: hens barred from the same males flow as one.
  const classes = groupedBy(hens.keys(), (h) =>
    males.map((_, m) => (problem.apart(m, h) ? 'x' : '.')).join(''),
  );
  const into: Expression[] = males.map(() => []);
  for (const [key, members] of classes) {
    const out: (readonly [number, number])[] = [];
    males.forEach((_, first) => {
      if (key[first] === 'x') return;
      const room = Math.min(most, members.length);
      const column = addColumn(program, `to ${males[first]!.id}`, room);
      out.push([column, 1]);
      into[first] = [...into[first]!, one(column)];
      // No hen where a male of the pen is her sib.
      const barred = places.filter(
        (place) => place.first === first && place.male !== first && key[place.male] === 'x',
      );
      keep('open', [
        [lead[first]!, room],
        [column, -1],
      ]);
      for (const place of barred) keep('no sib', [one(column), [place.column, room]], atMost(room));
    });
    keep('each hen in a pen', [...out, ...minus(members.map((h) => one(hen[h]!)))], exactly(0));
  }
  males.forEach(({ id }, m) => {
    keep(`hens with ${id}`, [...into[m]!, ...minus(sizes[m]!)], exactly(0));
  });

  // Kinship in units of 1 ÷ (2·hens·males a pen)², so that its coefficients are near 1.
  const count: Expression[] = [
    ...males.map((_, m) =>
      merged(places.flatMap(({ male }, at) => (male === m ? worth[at]! : []))),
    ),
    ...hen.map((column): Expression => [[column, malesInPen]]),
  ];
  const kinship: [number, number][] = [];
  const squares: Square[] = [];
  const groups = gathered(problem.factors);
  for (const group of groups) {
    const [bird] = group.parts[0]!;
    const alone = group.parts.length === 1;
    if (alone && bird >= males.length) {
      // A hen is in or out: her square is herself.
      kinship.push([hen[bird - males.length]!, group.weight * malesInPen ** 2]);
      continue;
    }
    if (alone && least === most) {
      // So is a male's, when all pens are of one size.
      for (const { column } of used[bird]!) kinship.push([column, group.weight * least ** 2]);
      continue;
    }
    const column = addColumn(program, `square ${squares.length}`, NONE);
    kinship.push([column, group.weight]);
    if (alone) {
      // A male counts none, or `least` to `most` hens: every line of his square at once.
      const there = used[bird]!.map((place) => place.column);
      for (let n = least; n < most; n += 1) {
        // Divided by the slope, so that what the solver takes for zero stays so when rounded.
        const slope = 2 * n + 1;
        const height = there.map((at) => [at, (n * (n + 1)) / slope] as const);
        const line: Expression = [[column, 1 / slope], ...minus(count[bird]!), ...height];
        keep(`square at ${n}`, line);
      }
      continue;
    }
    const of = merged(
      group.parts.flatMap(([at, part]) => count[at]!.map(([to, n]) => [to, n * part] as const)),
    );
    squares.push({ group, of, column });
  }

  // Among birds alike, a worse one never needs to go before a better one: this spares the search
  // most of its branches.
  const candidates = [...males, ...hens];
  const taken: Expression[] = [
    ...used.map((own) => own.map(({ column }) => one(column))),
    ...hen.map((column) => [one(column)]),
  ];
  const barred = (bird: number) =>
    (bird < males.length
      ? hens.map((_, h) => problem.apart(bird, h))
      : males.map((_, m) => problem.apart(m, bird - males.length))
    ).join();
  const all = candidates.map((_, bird) => bird);
  for (const sex of [all.slice(0, males.length), all.slice(males.length)])
    for (const set of alike(sex, groups, barred)) {
      set.sort((a, b) => candidates[b]!.index - candidates[a]!.index || a - b);
      set.slice(1).forEach((worse, at) => {
        const better = set[at]!;
        const name = `${candidates[better]!.id} before ${candidates[worse]!.id}`;
        addRow(program, name, 0, [...taken[better]!, ...minus(taken[worse]!)], NONE);
      });
    }
  const boundRow = addRow(program, 'kinship', 0, kinship, NONE);
  const index = merged(
    count.flatMap((terms, bird) =>
      terms.map(
        ([column, n]) =>
          [column, (-n * candidates[bird]!.index) / (2 * hensInAll * malesInPen)] as const,
      ),
    ),
  );
  return { program, places, sizes, hen, count, squares, index, kinship, boundRow };
}

/** The lines that hold a square up at `at`: through its step and its neighbours, or the tangent. */
function lines(at: number, size: number | null): { slope: number; height: number }[] {
  if (size === null) return [{ slope: 2 * at, height: at * at }];
  const below = Math.floor(at / size + ROUNDING);
  return [below - 1, below]
    .filter((k) => k >= 0)
    .map((k) => ({ slope: (2 * k + 1) * size, height: k * (k + 1) * size * size }));
}

/** A program with its lines, used for several questions about one problem. */
export interface Mating {
  /** The least mean kinship there is. */
  least(): MatingOutcome;
  /** The largest index with a mean kinship of at most `bound`; any kinship for `null`. */
  best(bound: number | null): MatingOutcome;
  close(): void;
}

interface MatingAnswer {
  readonly values: Float64Array;
  readonly choice: Omit<MatingChoice, 'proven' | 'bound'>;
}

/** Sets the program up. Close it when done. @throws SolverFailure if the solver fails. */
export async function openMating(problem: MatingProblem, precision: Precision): Promise<Mating> {
  const seen = impossible(problem);
  const refused = (why: string): MatingOutcome => ({ status: 'infeasible', why });
  if (seen !== null) return { least: () => refused(seen), best: () => refused(seen), close() {} };

  const scale = (2 * problem.hensInAll * problem.malesInPen) ** 2;
  const whole = build(problem, false);
  const loose = build(problem, true);
  const solver = await openSolver(whole.program);
  const relaxation = await openSolver(loose.program);
  const given = new Set<string>();
  /** Adds lines wherever `values` holds a square too low by `much`. Returns how many. */
  const learn = (model: Model, values: ArrayLike<number>, much = ROUNDING): number => {
    let added = 0;
    model.squares.forEach(({ group, of, column }, square) => {
      const at = amountOf(of, values);
      if (group.weight * (at * at - values[column]!) <= much) return;
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
          const down = Math.max(1, slope);
          const terms = own.of.map(([from, part]) => [from, (-slope / down) * part] as const);
          to.add(name, -height / down, [[own.column, 1 / down], ...terms], NONE);
        }
      }
    });
    return added;
  };
  /** Every answer met on the way, squares put right: one may be the best under another bound. */
  const pool: MatingAnswer[] = [];
  const keep = (found: Float64Array): MatingAnswer => {
    const values = Float64Array.from(found);
    for (const { of, column } of whole.squares)
      values[column] = Math.max(values[column]!, amountOf(of, values) ** 2);
    const answer = { values, choice: choiceOf(problem, whole, values) };
    pool.push(answer);
    return answer;
  };

  /** What a square may be too low by before the search: all of them together a small share. */
  const coarse = (values: ArrayLike<number>) =>
    Math.max(
      ROUNDING,
      (COARSE * precision.kinship * amountOf(loose.kinship, values)) / loose.squares.length,
    );
  const ask = (goal: 'least' | 'best', bound: number | null): MatingOutcome => {
    const limit = bound === null ? NONE : bound * scale + 10 * ROUNDING;
    solver.setRow(whole.boundRow, 0, limit);
    relaxation.setRow(loose.boundRow, 0, limit);
    const worth = ({ choice }: MatingAnswer) =>
      goal === 'least' ? choice.kinship * scale : -choice.index;
    const keeps = ({ choice }: MatingAnswer) => choice.kinship * scale <= limit + 10 * ROUNDING;
    const best = () =>
      pool.filter(keeps).reduce<MatingAnswer | null>((top, one) => {
        return top === null || worth(one) < worth(top) ? one : top;
      }, null);
    const aim = (model: Model) => (goal === 'least' ? model.kinship : model.index);
    const slack = () =>
      goal === 'least'
        ? Math.max(10 * ROUNDING, precision.kinship * (best()?.choice.kinship ?? 0) * scale)
        : precision.index + ROUNDING;
    if (goal === 'least' || bound !== null)
      for (let round = 0; round < precision.rounds; round += 1) {
        const outcome = relaxation.minimise(aim(loose));
        if (!('values' in outcome)) break;
        if (learn(loose, outcome.values, coarse(outcome.values)) === 0) break;
      }
    let floor = Number.NEGATIVE_INFINITY;
    let proven = false;
    for (let round = 0; round < precision.rounds && !proven; round += 1) {
      const start = best();
      const outcome = solver.minimise(
        aim(whole),
        {
          relativeGap: goal === 'least' ? 0.75 * precision.kinship : 0,
          absoluteGap:
            goal === 'least' ? ROUNDING / 10 : Math.max(ROUNDING / 10, 0.75 * precision.index),
          nodes: precision.nodes,
        },
        start?.values,
      );
      if (!('values' in outcome)) break;
      floor = Math.max(floor, outcome.bound);
      const added = learn(whole, outcome.values);
      keep(outcome.values);
      const top = best();
      proven = top !== null && worth(top) - floor <= slack();
      if (added === 0) break;
    }
    const top = best();
    if (top === null)
      return refused(
        bound === null
          ? 'there are too few pairs of birds that are not sibs'
          : 'no choice of birds keeps so low a kinship',
      );
    const unit = goal === 'least' ? 1 / scale : -1;
    const least = Math.min(floor, worth(top));
    return { status: 'planned', plan: { ...top.choice, proven, bound: least * unit } };
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
export function kinshipOf(factors: readonly Factor[], parts: readonly number[]): number {
  return factors.reduce(
    (sum, { weight, parts: of }) =>
      sum + weight * of.reduce((all, [bird, part]) => all + part * parts[bird]!, 0) ** 2,
    0,
  );
}

/** Kinship of every male with every hen. */
function crossKinship({ males, hens, factors }: MatingProblem): Float64Array[] {
  const table = males.map(() => new Float64Array(hens.length));
  for (const { weight, parts } of factors)
    for (const [male, a] of parts)
      if (male < males.length)
        for (const [hen, b] of parts)
          if (hen >= males.length) table[male]![hen - males.length]! += weight * a * b;
  return table;
}

/** Each candidate's part of the young's genes, males first. Males of one pen share its hens alike. */
export function partsOf(
  { males, hens, hensInAll }: Pick<MatingProblem, 'males' | 'hens' | 'hensInAll'>,
  chosen: Pick<MatingChoice, 'pens' | 'hens'>,
): number[] {
  const parts = new Map<string, number>();
  for (const pen of chosen.pens)
    for (const male of pen.males) parts.set(male, pen.size / (2 * hensInAll * pen.males.length));
  for (const hen of chosen.hens) parts.set(hen, 1 / (2 * hensInAll));
  return [...males, ...hens].map(({ id }) => parts.get(id) ?? 0);
}

function choiceOf(problem: MatingProblem, model: Model, values: ArrayLike<number>) {
  const { males, hens } = problem;
  const pens = males.flatMap((_, first) => {
    const own = model.places.filter(
      (place) => place.first === first && values[place.column]! > 0.5,
    );
    if (own.length === 0) return [];
    const size = Math.round(amountOf(model.sizes[first]!, values));
    return [{ males: own.map(({ male }) => males[male]!.id), size }];
  });
  const chosen = {
    pens,
    hens: hens.flatMap(({ id }, h) => (values[model.hen[h]!]! > 0.5 ? [id] : [])),
  };
  const parts = partsOf(problem, chosen);
  const index = [...males, ...hens].reduce((sum, one, bird) => sum + one.index * parts[bird]!, 0);
  return { ...chosen, index, kinship: kinshipOf(problem.factors, parts) };
}

/**
 * Gives every hen her pen, so that mates are least akin and none are sibs. Changes neither the index
 * nor the mean kinship of the parents.
 * @throws RangeError when there is no such pairing, which a plan of this module never is
 */
export async function pairUp(problem: MatingProblem, choice: MatingChoice): Promise<MatingPlan> {
  const akin = crossKinship(problem);
  const place = (list: readonly MatingCandidate[], id: string) =>
    list.findIndex((one) => one.id === id);
  const hens = choice.hens.map((id) => place(problem.hens, id));
  const males = choice.pens.map((pen) => pen.males.map((id) => place(problem.males, id)));
  const program: LinearProgram = { columns: [], rows: [] };
  const pairs = males.flatMap((own, pen) =>
    hens
      .filter((hen) => own.every((male) => !problem.apart(male, hen)))
      .map((hen) => ({
        pen,
        hen,
        akin: own.reduce((sum, male) => sum + akin[male]![hen]!, 0) / own.length,
        column: addColumn(program, `${pen} ${hen}`, 1, { whole: true }),
      })),
  );
  const one = (pair: { column: number }) => [pair.column, 1] as const;
  for (const hen of hens)
    addRow(program, `hen ${hen}`, 1, pairs.filter((pair) => pair.hen === hen).map(one), 1);
  choice.pens.forEach(({ size }, at) => {
    addRow(program, `pen ${at}`, size, pairs.filter(({ pen }) => pen === at).map(one), size);
  });
  const solver = await openSolver(program);
  try {
    const outcome = solver.minimise(pairs.map((pair) => [pair.column, pair.akin]));
    if (!('values' in outcome)) throw new RangeError('the birds cannot be paired up');
    const mated = pairs.filter(({ column }) => outcome.values[column]! > 0.5);
    const { hens: _hens, ...rest } = choice;
    return {
      ...rest,
      pens: choice.pens.map((pen, at) => ({
        males: pen.males,
        hens: mated.filter((pair) => pair.pen === at).map(({ hen }) => problem.hens[hen]!.id),
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
  readonly plan: MatingChoice;
}

/**
 * The trade-off curve: from the least kinship to the largest index, the best index at each of
 * `points` evenly spaced bounds. One point when the two ends are one.
 * @param slack share by which the first bound may lie above the least kinship, where a little less
 *   kinship would cost much merit
 */
export function tradeOff(
  mating: Mating,
  points: number,
  slack = 0,
): readonly TradeOff[] | { why: string } {
  const least = mating.least();
  if (least.status === 'infeasible') return { why: least.why };
  const most = mating.best(null);
  if (most.status === 'infeasible') return { why: most.why };
  const low = least.plan.kinship * (1 + slack);
  const span = Math.max(0, most.plan.kinship - low);
  const curve: TradeOff[] = [];
  for (let point = 0; point < points; point += 1) {
    const bound = low + (span * point) / (points - 1);
    const outcome = mating.best(bound);
    // The plan that gave the lower end is always within the bound.
    const plan = outcome.status === 'planned' ? outcome.plan : { ...least.plan, proven: false };
    curve.push({ bound, plan });
    if (span <= ROUNDING * low) break;
  }
  return curve;
}
