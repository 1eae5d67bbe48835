/**
 * The relaxed program, sets and trays in parts: it is solved in milliseconds, bounds every plan, and
 * is what a plan is rounded from.
 */
import { type HatchingProblem, setTerms } from './hatching-model.ts';
import type { Need } from './needs.ts';
import type { SeasonProblem } from './season-problem.ts';
import { fullness, type GoalModel, goalModel, type Search, searchOf } from './set-search.ts';
import { type Found, openSolver, type Solver } from './solver.ts';

/** A set's share of a whole one below which it is none. */
const NONE = 1e-6;

/** Works on the relaxed program of a goal model, which it changes into. */
async function withRelaxed<T>(goal: GoalModel, work: (solver: Solver) => T): Promise<T> {
  for (const column of goal.model.program.columns) column.whole = false;
  const solver = await openSolver(goal.model.program);
  try {
    return work(solver);
  } finally {
    solver.close();
  }
}

/** The relaxed program of the fewest sets with nothing missing: its solution, or null. */
async function relaxedSets(
  p: SeasonProblem,
  problem: HatchingProblem,
  needs: readonly Need[],
): Promise<{ goal: GoalModel; found: Found } | null> {
  const goal = goalModel(p, problem, needs, 'pooled');
  for (const column of goal.missing) goal.model.program.columns[column]!.upper = 0;
  return withRelaxed(goal, (solver) => {
    const found = solver.minimise(setTerms(goal.model));
    return !('values' in found) ? null : { goal, found };
  });
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

/**
 * For each timing, a number of sets below which no plan meets its needs: the relaxed program of its
 * eggs alone, the machines to themselves, rounded up. 0 where not even that meets them.
 */
export async function fewestByTiming(p: SeasonProblem, needs: readonly Need[]): Promise<number[]> {
  const floors: number[] = [];
  for (const [t] of p.problem.timings.entries()) {
    const alone = {
      ...p.problem,
      timings: p.problem.timings.map((one, other) => (other === t ? one : { ...one, setDays: [] })),
    };
    const own = needsOfTiming(p, needs, t);
    const isAsked = own.some((need) => need.birds > 0);
    const relaxed = isAsked ? await relaxedSets(p, alone, own) : null;
    floors.push(relaxed ? Math.ceil(relaxed.found.objective - NONE) : 0);
  }
  return floors;
}

/** False if not even the relaxed program meets the needs. */
export async function couldMeet(p: SeasonProblem, needs: readonly Need[]): Promise<boolean> {
  return (await relaxedSets(p, p.problem, needs)) !== null;
}

/** Eggs of the relaxed plan: of a source, set on a day; `set` numbers the whole sets its parts make up. */
export interface RelaxedEggs {
  source: number;
  day: number;
  eggs: number;
  set: number;
}

/** The eggs of the relaxed plan with the fewest sets, by day; null if it falls short. */
export async function relaxedEggs(
  p: SeasonProblem,
  needs: readonly Need[],
): Promise<RelaxedEggs[] | null> {
  const relaxed = await relaxedSets(p, p.problem, needs);
  if (!relaxed) return null;
  const { goal, found } = relaxed;
  const { kinds, sources } = p.problem;
  // Parts of sets are counted up, timing by timing, as far as the middle of each day's own.
  const upTo = new Map<string, number>();
  const sums = p.problem.timings.map(() => 0);
  for (const { timing, day, column } of goal.model.sets.toSorted((a, b) => a.day - b.day)) {
    const part = found.values[column]!;
    const key = `${timing} ${day}`;
    upTo.set(key, (upTo.get(key) ?? sums[timing]!) + part / 2);
    sums[timing]! += part;
  }
  return goal.model.eggs
    .map(({ source, set: day, column }) => {
      const { timing } = kinds[sources[source]!.kind]!;
      const set = Math.floor(upTo.get(`${timing} ${day}`) ?? 0);
      return { source, day, eggs: found.values[column]!, set };
    })
    .filter(({ eggs }) => eggs > NONE)
    .sort((a, b) => a.day - b.day);
}

/** Sets this near to whole are taken as whole, several in one step. */
const NEARLY = 0.9;
/** How often a step may be taken back. */
const AGROUND = 6;

/** Which set in parts is made whole first. */
export const dives = ['fullest', 'first'] as const;

/** What a plan is rounded towards: the needs missed as little as can be, or met by so many sets at most as fully as can be. */
export type Towards = { least: 'missing' } | { most: 'birds'; sets: number };

/**
 * Rounds the relaxed program: one set in parts is made whole, the program solved again, and so on
 * until all are, and then the trays (a diving heuristic: Achterberg, "Constraint integer
 * programming", 2007, ch. 9). Null where it runs aground.
 */
export async function dive(
  p: SeasonProblem,
  needs: readonly Need[],
  towards: Towards,
  order: (typeof dives)[number],
): Promise<Search | null> {
  const goal = goalModel(p, p.problem, needs, 'pooled');
  const { columns } = goal.model.program;
  const aim =
    'sets' in towards
      ? fullness(goal, needs, towards.sets)
      : [...setTerms(goal.model), ...goal.shortfall];
  const whole = columns.flatMap((column, i) => (column.whole ? [i] : []));
  const isSet = new Set(goal.model.sets.map(({ column }) => column));
  const days = new Map(goal.model.sets.map(({ column, day }) => [column, day]));
  const sign = { fullest: 0, first: 1 }[order];
  const by = (column: number) => sign * (days.get(column) ?? 0);
  return withRelaxed(goal, (solver) => {
    let aground = 0;
    let step: { column: number; lower: number }[] = [];
    for (;;) {
      const found = solver.minimise(aim);
      if (!('values' in found)) {
        const [first] = step;
        if (!first || ++aground > AGROUND) return null;
        // What was made whole cannot be: it stays below, and the step is taken back.
        for (const { column, lower } of step)
          solver.setColumn(column, lower, columns[column]!.upper);
        solver.setColumn(first.column, first.lower, columns[first.column]!.lower);
        step = [];
        continue;
      }
      const parts = whole
        .map((column) => ({ column, value: found.values[column]! }))
        .filter(({ value }) => Math.abs(value - Math.round(value)) > NONE)
        .map(({ column, value }) => ({ column, part: value - Math.floor(value) }));
      if (parts.length === 0) return searchOf(goal, found);
      const sets = parts.filter(({ column }) => isSet.has(column));
      const next = (sets.length > 0 ? sets : parts).sort(
        (a, b) => by(a.column) - by(b.column) || b.part - a.part,
      );
      step = next
        .filter(({ part }, i) => i === 0 || part >= NEARLY)
        .map(({ column }) => ({ column, lower: columns[column]!.lower }));
      for (const { column } of step)
        solver.setColumn(column, Math.ceil(found.values[column]!), columns[column]!.upper);
    }
  });
}
