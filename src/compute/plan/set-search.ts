/**
 * Which sets to start: days, setters and hatchers. Eggs are amounts here, pooled by pen; how many of
 * which age go into each set is settled afterwards, with the sets fixed (egg-shares.ts). Pooled eggs
 * count as fresh, so the least number of sets found here is a true bound for the whole plan.
 */

import {
  eggTerms,
  type HatchingModel,
  type HatchingProblem,
  hatchingModel,
  lastOpening,
  lotsOf,
  setTerms,
} from './hatching-model.ts';
import { addColumn, addRow, amountOf, type Expression, type Term } from './linear-program.ts';
import { type Need, worthOf } from './needs.ts';
import type { SeasonProblem } from './season-problem.ts';
import { type Found, openSolver, type SolveLimits, SolverFailure } from './solver.ts';

/** Sets of one calendar started on one day in one class of setter, for one class of hatcher. */
export interface ChosenSets {
  timing: number;
  day: number;
  setter: number;
  hatcher: number;
  sets: number;
}

export interface Search {
  status: 'optimal' | 'bounded';
  chosen: ChosenSets[];
  /** Sets in all, and the fewest there could be. */
  sets: number;
  fewest: number;
  /** Birds missing of each need. */
  missing: number[];
  /** The solution itself by the names of columns, as a start for another search. */
  values: ReadonlyMap<string, number>;
}

/** How far the search may go: nodes and gaps end it alike on every machine; seconds only as a guard. */
export interface PlanLimits {
  sets: SolveLimits;
  finer: SolveLimits;
}

export const usualLimits: PlanLimits = {
  sets: { relativeGap: 0, absoluteGap: 0.99, nodes: 500, seconds: 60 },
  finer: { relativeGap: 0.1, absoluteGap: 0.15, nodes: 20, seconds: 60 },
};

/**
 * Cost of a bird missing, in sets: no set is worth saving for it. With the gap allowed on sets, the
 * least shortfall is found to a hundredth of a bird.
 */
const BIRD_IN_SETS = 100;
/** A shortfall below this is none. */
export const BIRD_SLACK = 0.02;

export interface GoalModel {
  model: HatchingModel;
  missing: readonly number[];
  shortfall: Expression;
}

/** The model of a season with its goals: each need with a column for what is missing. */
export function goalModel(
  p: SeasonProblem,
  problem: HatchingProblem,
  needs: readonly Need[],
  eggs: 'pooled' | 'whole',
): GoalModel {
  const model = hatchingModel(problem, eggs);
  const missing = needs.map((need, i) => {
    const column = addColumn(model.program, `missing of goal ${i + 1}`, Math.max(0, need.birds));
    if (need.birds > 0)
      addRow(
        model.program,
        `goal ${i + 1}`,
        need.birds,
        [...eggTerms(model, (egg) => worthOf(p, need, egg)), [column, 1]],
        Number.POSITIVE_INFINITY,
      );
    return column;
  });
  return {
    model,
    missing,
    shortfall: missing.map((column): Term => [column, BIRD_IN_SETS]),
  };
}

/**
 * The fewest sets that leave the least shortfall. The bound comes from the relaxed program of each
 * kind alone, the machines to themselves: kinds of eggs never share a set. Sets are looked for on
 * every third day first, then on more; the search ends where it meets the bound.
 *
 * @throws SolverFailure without a trustworthy answer
 */
export async function fewestSets(
  p: SeasonProblem,
  needs: readonly Need[],
  limits: PlanLimits = usualLimits,
): Promise<Search> {
  const floors = await fewestByTiming(p, needs);
  const least = floors.reduce((sum, one) => sum + one, 0);
  let best: Search | null = null;
  const days = Math.max(...p.problem.timings.map((timing) => timing.setDays.length));
  const steps = days > EVERY_THIRD ? [3, 2, 1] : days > EVERY_SECOND ? [2, 1] : [1];
  for (const step of steps) {
    const search: Search = await searched(
      p,
      someDays(p.problem, step),
      needs,
      floors,
      best,
      limits,
    );
    const fewest = step === 1 ? Math.max(least, search.fewest) : least;
    if (best === null || fewerSets(search, best)) best = search;
    best = { ...best, fewest, status: best.sets <= fewest ? 'optimal' : 'bounded' };
    if (best.sets <= least && best.missing.every((birds) => birds < BIRD_SLACK)) break;
  }
  return best!;
}

/** Days for setting above which fewer are tried first. */
const EVERY_THIRD = 60;
const EVERY_SECOND = 36;

function fewerSets(a: Search, b: Search): boolean {
  const short = (x: Search) => x.missing.reduce((sum, birds) => sum + birds, 0);
  const off = short(a) - short(b);
  return Math.abs(off) > BIRD_SLACK ? off < 0 : a.sets < b.sets;
}

/** Every `step`-th of the days for setting, and the last of each timing. */
function someDays(problem: HatchingProblem, step: number): HatchingProblem {
  if (step === 1) return problem;
  return {
    ...problem,
    timings: problem.timings.map((timing) => ({
      ...timing,
      setDays: timing.setDays.filter((day) => day % step === 0 || day === timing.setDays.at(-1)),
    })),
  };
}

/** For each timing, a number of sets below which no plan meets its needs. */
export async function fewestByTiming(p: SeasonProblem, needs: readonly Need[]): Promise<number[]> {
  const floors: number[] = [];
  for (const [t] of p.problem.timings.entries()) {
    const alone = {
      ...p.problem,
      timings: p.problem.timings.map((one, other) => (other === t ? one : { ...one, setDays: [] })),
    };
    const { model, missing } = goalModel(p, alone, needsOfTiming(p, needs, t), 'pooled');
    for (const column of model.program.columns) column.whole = false;
    for (const column of missing) model.program.columns[column]!.upper = 0;
    const solver = await openSolver(model.program);
    try {
      const found = solver.minimise(setTerms(model));
      floors.push(found.status === 'infeasible' ? 0 : Math.ceil(found.objective - 1e-6));
    } finally {
      solver.close();
    }
  }
  return floors;
}

/** The needs that eggs of one timing serve; the others ask for nothing. */
function needsOfTiming(p: SeasonProblem, needs: readonly Need[], timing: number): Need[] {
  const { sources, kinds } = p.problem;
  return needs.map((need) => {
    const serves = sources.some(
      (source, s) => need.rates[s]! > 0 && kinds[source.kind]!.timing === timing,
    );
    return serves ? need : { ...need, birds: 0 };
  });
}

async function searched(
  p: SeasonProblem,
  problem: HatchingProblem,
  needs: readonly Need[],
  floors: readonly number[],
  before: Search | null,
  limits: PlanLimits,
): Promise<Search> {
  const { model, missing, shortfall } = goalModel(p, problem, needs, 'pooled');
  floors.forEach((floor, t) => {
    if (floor > 0)
      addRow(
        model.program,
        `fewest sets of timing ${t}`,
        floor,
        setTerms(model, ({ timing }) => (timing === t ? 1 : 0)),
        Number.POSITIVE_INFINITY,
      );
  });
  const start = before ? startFrom(model, before) : undefined;
  const solver = await openSolver(model.program);
  try {
    // First with no shortfall: then the aim is a whole number, and the search much shorter.
    for (const column of missing) solver.setColumn(column, 0, 0);
    const isMet = before?.missing.every((birds) => birds < BIRD_SLACK) ?? false;
    let found = solver.minimise(setTerms(model), limits.sets, isMet ? start : undefined);
    if (found.status === 'infeasible') {
      needs.forEach((need, i) => {
        solver.setColumn(missing[i]!, 0, Math.max(0, need.birds));
      });
      found = solver.minimise([...setTerms(model), ...shortfall], limits.sets, start);
    }
    if (found.status === 'infeasible') throw new SolverFailure('even an empty plan was refused');
    return searchOf(model, missing, shortfall, found);
  } finally {
    solver.close();
  }
}

function searchOf(
  model: HatchingModel,
  missing: readonly number[],
  shortfall: Expression,
  found: Found,
): Search {
  const chosen = model.sets.flatMap(({ column, ...set }) => {
    const sets = Math.round(found.values[column]!);
    return sets > 0 ? [{ ...set, sets }] : [];
  });
  const sets = chosen.reduce((sum, one) => sum + one.sets, 0);
  const bound = found.bound - amountOf(shortfall, found.values);
  const fewest = Math.max(0, Math.min(sets, Math.ceil(bound - 1e-6)));
  return {
    status: fewest >= sets ? 'optimal' : 'bounded',
    chosen,
    sets,
    fewest,
    missing: missing.map((column) => found.values[column]!),
    values: new Map(model.program.columns.map(({ name }, i) => [name, found.values[i]!])),
  };
}

/** The solution of another program on the same season, by the names of its columns. */
function startFrom(model: HatchingModel, search: Search): Float64Array {
  const { columns, rows } = model.program;
  const values = Float64Array.from(columns, (column) => search.values.get(column.name) ?? 0);
  const lots = model.problem.sources.map(lotsOf);
  const before = new Map<number, number>();
  for (const { source, set, column, gone } of model.eggs) {
    if (gone === undefined) continue;
    const old = set - model.problem.sources[source]!.maxAge;
    const tooOld = lots[source]!.reduce((sum, [laid, eggs]) => (laid < old ? sum + eggs : sum), 0);
    values[gone] = Math.max(before.get(source) ?? 0, tooOld) + values[column]!;
    before.set(source, values[gone]!);
  }
  // Columns that only this program has are the least that their rows ask for, the last first.
  const inRows = new Map<number, (typeof rows)[number][]>();
  for (const row of rows)
    for (const [column, v] of row.terms)
      if (
        v < 0 &&
        row.upper < Number.POSITIVE_INFINITY &&
        !search.values.has(columns[column]!.name)
      ) {
        const list = inRows.get(column);
        if (list) list.push(row);
        else inRows.set(column, [row]);
      }
  for (const column of [...inRows.keys()].sort((a, b) => b - a))
    for (const { terms, upper } of inRows.get(column)!) {
      const own = terms.find(([c]) => c === column)![1];
      const others = terms.reduce((sum, [c, v]) => (c === column ? sum : sum + v * values[c]!), 0);
      const least = (others - upper) / -own;
      values[column] = Math.max(
        values[column]!,
        columns[column]!.whole ? Math.ceil(least - 1e-9) : least,
      );
    }
  return values;
}

/**
 * Of the plans with no more sets and no greater shortfall than `search`, one that loses little to
 * storage and then finishes early. What storage costs is counted from below: eggs beyond those laid
 * in the last days must be older.
 */
export async function betterSets(
  p: SeasonProblem,
  needs: readonly Need[],
  search: Search,
  chickRates: readonly number[],
  limits: PlanLimits = usualLimits,
): Promise<Search> {
  const near = nearDays(p.problem, search.chosen);
  const { model, missing, shortfall } = goalModel(p, near, needs, 'pooled');
  const loss = storageLoss(p, model, chickRates);
  const last = lastOpening(model);
  addRow(model.program, 'no more sets', Number.NEGATIVE_INFINITY, setTerms(model), search.sets);
  // Each set keeps its machines and moves by some days; trays are made whole with the eggs.
  for (const set of model.sets) {
    const isNear = search.chosen.some(
      (one) =>
        one.timing === set.timing &&
        one.setter === set.setter &&
        one.hatcher === set.hatcher &&
        Math.abs(one.day - set.day) <= NEAR,
    );
    if (!isNear) model.program.columns[set.column]!.upper = 0;
  }
  for (const { trays } of model.trays) model.program.columns[trays]!.whole = false;
  const solver = await openSolver(model.program);
  try {
    missing.forEach((column, i) => {
      solver.setColumn(column, 0, search.missing[i]! < BIRD_SLACK ? 0 : search.missing[i]! + 1e-6);
    });
    const early = last.terms.map(([column, days]): Term => [column, days * DAY_IN_CHICKS]);
    const found = solver.minimise([...loss, ...early], limits.finer, startFrom(model, search));
    // The sets as found stand if the finer search comes to nothing.
    if (found.status === 'infeasible') return search;
    return {
      ...searchOf(model, missing, shortfall, found),
      status: search.status,
      fewest: search.fewest,
    };
  } finally {
    solver.close();
  }
}

/** Days by which a set may be moved to lose less to storage. */
const NEAR = 2;

/** The problem with days for setting near those chosen. */
function nearDays(problem: HatchingProblem, chosen: readonly ChosenSets[]): HatchingProblem {
  return {
    ...problem,
    timings: problem.timings.map((timing, t) => ({
      ...timing,
      setDays: timing.setDays.filter((day) =>
        chosen.some((one) => one.timing === t && Math.abs(one.day - day) <= NEAR),
      ),
    })),
  };
}

/** A day sooner counts little beside chicks lost: it decides between plans that lose alike. */
const DAY_IN_CHICKS = 0.005;

/** Chicks lost to storage, from below: one column for each step of the table where eggs exceed the young ones. */
function storageLoss(
  p: SeasonProblem,
  model: HatchingModel,
  chickRates: readonly number[],
): Term[] {
  const terms: Term[] = [];
  for (const { source, set, column } of model.eggs) {
    const { maxAge } = model.problem.sources[source]!;
    const lots = lotsOf(model.problem.sources[source]!);
    let before = p.kept(source, 0);
    for (let age = 1; age <= maxAge; age++) {
      const now = p.kept(source, age);
      const lost = (before - now) * chickRates[source]!;
      before = now;
      if (lost <= 0) continue;
      const young = lots.reduce(
        (sum, [laid, eggs]) => (laid <= set && laid > set - age ? sum + eggs : sum),
        0,
      );
      const upper = model.program.columns[column]!.upper - young;
      if (upper <= 0) continue;
      const older = addColumn(
        model.program,
        `eggs of ${source} set ${set} aged ${age} or more`,
        upper,
      );
      addRow(
        model.program,
        `young eggs of ${source} on ${set} below ${age}`,
        Number.NEGATIVE_INFINITY,
        [
          [column, 1],
          [older, -1],
        ],
        young,
      );
      terms.push([older, lost]);
    }
  }
  return terms;
}

/** False if not even the relaxed program, with sets and trays in parts, meets the needs. */
export async function couldMeet(p: SeasonProblem, needs: readonly Need[]): Promise<boolean> {
  const { model, missing } = goalModel(p, p.problem, needs, 'pooled');
  for (const column of model.program.columns) column.whole = false;
  for (const column of missing) model.program.columns[column]!.upper = 0;
  const solver = await openSolver(model.program);
  try {
    return solver.minimise([]).status !== 'infeasible';
  } finally {
    solver.close();
  }
}
