/**
 * The relaxed program, sets and trays in parts: it is solved in milliseconds, bounds every plan, and
 * is what a plan is rounded from.
 */
import { dived, NO_PART, type Part, withBounds } from './dive.ts';
import { type HatchingProblem, isOn, type MachineCount, setTerms } from './hatching-model.ts';
import type { Expression } from './linear-program.ts';
import { type Need, needsOfTiming } from './needs.ts';
import { paired } from './pairing.ts';
import type { SeasonProblem } from './season-problem.ts';
import {
  type ChosenSets,
  type Fullness,
  fullness,
  type GoalModel,
  goalModel,
  type Search,
  searchOf,
  setsIn,
  withSetDays,
} from './set-search.ts';
import { type Found, openSolver, type Solver } from './solver.ts';

/** Eggs of the relaxed plan: of a source, set on a day; `set` numbers the whole sets its parts make up. */
export interface RelaxedEggs {
  source: number;
  day: number;
  eggs: number;
  set: number;
}

/** Which set in parts is made whole first. */
export const dives = ['fullest', 'first'] as const;

/**
 * What a plan is rounded towards: the fewest sets that miss nothing, the same with early sets before
 * late ones, the needs missed as little as can be, or met by so many sets at most as fully as can be.
 */
export type Towards =
  | { least: 'sets' | 'early sets' | 'missing' }
  | { most: 'birds'; sets: number };

/** Sets this near to whole are taken as whole. */
export const NEARLY = 0.9;
/** In one step of rounding, further sets are made whole that are at least this much of one … */
const MOSTLY = 0.6;
/** … and this many days from all others of their calendar that are. */
const APART = 7;

/** A relaxed program kept in the solver, and the columns that a plan has whole. */
interface Relaxed {
  goal: GoalModel;
  /** Rows and aim of fullness, where that is asked. */
  full: Fullness | null;
  solver: Solver;
  whole: readonly number[];
  sets: Expression;
  /** The sets, of which an early one counts a little less than a late one. */
  early: Expression;
}

export interface DiveOptions {
  kept?: readonly ChosenSets[];
  variant?: number;
  /** Of a dive for the fewest sets: more than these are too many. */
  atMost?: number;
}

/** What a set counts more at the end of the season than at its beginning: of plans alike in sets the early one. */
const LATE = 0.005;

/** Machines are counted in the way that takes fewer columns. */
function machinesOf({ setters, hatchers }: HatchingProblem): MachineCount {
  return setters.length * hatchers.length > setters.length + hatchers.length ? 'apart' : 'together';
}

async function opened(p: SeasonProblem, needs: readonly Need[], isFull: boolean): Promise<Relaxed> {
  const some = needs.map((need) => ({ ...need, birds: 1 }));
  const goal = goalModel(p, p.problem, some, 'pooled', machinesOf(p.problem));
  const full = isFull ? fullness(goal, some, Number.POSITIVE_INFINITY) : null;
  const { program } = goal.model;
  const whole = program.columns.flatMap((column, i) => (column.whole ? [i] : []));
  for (const column of program.columns) column.whole = false;
  const early = setTerms(goal.model, ({ day }) => 1 + (LATE * day) / p.problem.days);
  const solver = await openSolver(program);
  return { goal, full, whole, sets: setTerms(goal.model), early, solver };
}

/** The fewest sets in parts of each timing that some needs ask for, rounded up; 0 where nothing meets them. */
async function ofTimings(
  p: SeasonProblem,
  needs: readonly Need[],
  solved: (timing: number, own: readonly Need[]) => Promise<Found | null>,
): Promise<number[]> {
  const fewest = p.problem.timings.map(() => 0);
  for (const timing of fewest.keys()) {
    const own = needsOfTiming(p, needs, timing);
    if (!own.some((need) => need.birds > 0)) continue;
    const found = await solved(timing, own);
    if (found) fewest[timing] = Math.ceil(found.objective - NO_PART);
  }
  return fewest;
}

/**
 * For each timing, a number of sets below which no plan meets its needs: the relaxed program of its
 * eggs alone, the machines to themselves, rounded up. 0 where not even that meets them.
 */
export async function fewestByTiming(
  p: SeasonProblem,
  needs: readonly Need[],
): Promise<readonly number[]> {
  return ofTimings(p, needs, async (timing, own) => {
    const relaxed = await openedAlone(p, own, timing);
    try {
      return fewestIn(relaxed, own);
    } finally {
      relaxed.solver.close();
    }
  });
}

/** The program of one timing alone. */
async function openedAlone(
  p: SeasonProblem,
  needs: readonly Need[],
  timing: number,
): Promise<Relaxed> {
  const problem = withSetDays(p.problem, (one) => one === timing);
  return opened({ ...p, problem }, needs, false);
}

/** True if no other timing has days for setting. */
function isAlone({ problem }: SeasonProblem, timing: number): boolean {
  return problem.timings.every(({ setDays }, one) => one === timing || setDays.length === 0);
}

/** The fewest sets in parts with nothing missing; null if the needs cannot be met. */
function fewestIn(relaxed: Relaxed, needs: readonly Need[]): Found | null {
  ask(relaxed, needs, 'none');
  const found = relaxed.solver.minimise(relaxed.sets);
  return 'values' in found ? found : null;
}

/** Asks for the birds of these needs, of which some may be missing or none. */
function ask(
  { goal, full, solver }: Relaxed,
  needs: readonly Need[],
  missing: 'some' | 'none',
): void {
  needs.forEach(({ birds }, i) => {
    const wanted = Math.max(0, birds);
    solver.setColumn(goal.missing[i]!, 0, missing === 'some' ? wanted : 0);
    solver.setRow(goal.rows[i]!, wanted, Number.POSITIVE_INFINITY);
    const of = full?.needs[i];
    if (of) solver.setCoefficient(of.row, of.share, -wanted);
  });
}

/**
 * The relaxed program of a season, kept in the solver: each question starts from the answer to the one
 * before. Close it when done.
 */
export class RelaxedSeason {
  readonly #p: SeasonProblem;
  readonly #fewest: Relaxed;
  #fullest: Relaxed | null = null;
  /** The programs of each timing alone. */
  readonly #alone: Relaxed[] = [];

  private constructor(p: SeasonProblem, fewest: Relaxed) {
    this.#p = p;
    this.#fewest = fewest;
  }

  /** Hands the program to the solver. `needs` says which goals there are; how many birds, each question. */
  static async open(p: SeasonProblem, needs: readonly Need[]): Promise<RelaxedSeason> {
    return new RelaxedSeason(p, await opened(p, needs, false));
  }

  close(): void {
    const all = new Set([this.#fewest, this.#fullest, ...this.#alone]);
    for (const relaxed of all) relaxed?.solver.close();
  }

  /** Offers one tray less of a class of setter on some days. */
  withoutOneTray(setter: number, days: (day: number) => boolean): void {
    for (const relaxed of new Set([this.#fewest, this.#fullest, ...this.#alone]))
      for (const one of relaxed?.goal.model.trayRows ?? []) {
        if (one.setter !== setter || !days(one.day)) continue;
        const { lower, upper } = relaxed!.solver.program.rows[one.row]!;
        relaxed!.solver.setRow(one.row, lower, Math.max(0, upper - 1));
      }
  }

  /** The fewest sets in parts with nothing missing; null if the needs cannot be met. */
  #solved(needs: readonly Need[]): Found | null {
    return fewestIn(this.#fewest, needs);
  }

  /** The fewest sets in parts that meet the needs, with these among them; null if none do. */
  fewestWith(needs: readonly Need[], kept: readonly ChosenSets[]): number | null {
    return withBounds(this.#fewest.solver, this.#fewest.whole, () => {
      keep(this.#fewest, kept);
      return this.#solved(needs)?.objective ?? null;
    });
  }

  /** False if not even the relaxed program meets the needs. */
  couldMeet(needs: readonly Need[]): boolean {
    return this.#solved(needs) !== null;
  }

  /** As `fewestByTiming`, the programs kept. */
  async fewestByTiming(needs: readonly Need[]): Promise<number[]> {
    const whole = this.#fewest;
    return ofTimings(this.#p, needs, async (timing, own) => {
      this.#alone[timing] ??= isAlone(this.#p, timing)
        ? whole
        : await openedAlone(this.#p, own, timing);
      return fewestIn(this.#alone[timing]!, own);
    });
  }

  /** The eggs of the relaxed plan with the fewest sets, by day; null if it falls short. */
  eggs(needs: readonly Need[]): RelaxedEggs[] | null {
    const found = this.#solved(needs);
    if (!found) return null;
    const { model } = this.#fewest.goal;
    const { kinds, sources, timings } = this.#p.problem;
    // Parts of sets are counted up, timing by timing, as far as the middle of each day's own.
    const upTo = new Map<string, number>();
    const sums = timings.map(() => 0);
    for (const { timing, day, column } of model.sets.toSorted((a, b) => a.day - b.day)) {
      const part = found.values[column]!;
      const key = `${timing} ${day}`;
      upTo.set(key, (upTo.get(key) ?? sums[timing]!) + part / 2);
      sums[timing]! += part;
    }
    return model.eggs
      .map(({ source, set: day, column }) => {
        const { timing } = kinds[sources[source]!.kind]!;
        const set = Math.floor(upTo.get(`${timing} ${day}`) ?? 0);
        return { source, day, eggs: found.values[column]!, set };
      })
      .filter(({ eggs }) => eggs > NO_PART)
      .sort((a, b) => a.day - b.day);
  }

  /**
   * Rounds the relaxed program: sets in parts are made whole, the fullest or the first and others far
   * from it, and then the trays. Sets that are kept stay; variants of one dive take other ways
   * among plans that are alike. Null where it runs aground, or where it takes more than `atMost` sets.
   */
  async dive(
    needs: readonly Need[],
    towards: Towards,
    order: (typeof dives)[number],
    { kept = [], variant = 0, atMost = Number.POSITIVE_INFINITY }: DiveOptions = {},
  ): Promise<Search | null> {
    const isFull = 'sets' in towards;
    if (isFull) this.#fullest ??= await opened(this.#p, needs, true);
    const relaxed = isFull ? this.#fullest! : this.#fewest;
    const { goal, full, solver, whole, sets, early } = relaxed;
    const varied = variant === 0 ? sets : unlike(sets, variant);
    const aims = { sets: varied, 'early sets': early, missing: [...early, ...goal.shortfall] };
    const aim = isFull ? [...full!.aim, ...apart(sets, variant)] : aims[towards.least];
    ask(relaxed, needs, isFull || towards.least === 'missing' ? 'some' : 'none');
    if (isFull) solver.setRow(full!.sets, Number.NEGATIVE_INFINITY, towards.sets);
    // The next dive begins where this one did.
    const root = solver.minimise(aim);
    const basis = solver.basis();
    const found = withBounds(solver, whole, () => {
      keep(relaxed, kept);
      const first = kept.length > 0 ? solver.minimise(aim) : root;
      return dived(solver, whole, aim, first, nextOf(relaxed, order), atMost * DEAREST + NO_PART);
    });
    solver.startFrom(basis);
    if (found === null) return null;
    const search = searchOf({ ...goal, needs }, found);
    if (goal.model.machines === 'together') return search;
    const ways = paired(goal.model, found.values);
    return (
      ways && {
        ...search,
        chosen: ways.chosen,
        sets: setsIn(ways.chosen),
        values: new Map([...search.values, ...ways.values]),
      }
    );
  }
}

/** Sets that are kept stay. */
function keep({ goal: { model }, solver }: Relaxed, kept: readonly ChosenSets[]): void {
  const columns = model.machines === 'together' ? model.sets : [...model.sets, ...model.stays];
  for (const { column, timing, day, setter, hatcher } of columns) {
    const own = kept.filter(
      (one) =>
        one.timing === timing &&
        one.day === day &&
        isOn(setter, one.setter) &&
        isOn(hatcher, one.hatcher),
    );
    const least = setsIn(own);
    if (least > 0) solver.setColumn(column, least, solver.program.columns[column]!.upper);
  }
}

/** By how much sets alike may differ in the aim, to tell them apart in one way or another. */
const UNLIKE = 0.01;
/** Most that a set counts in any aim. */
const DEAREST = 1 + Math.max(UNLIKE, LATE);
const GOLDEN_PART = (Math.sqrt(5) - 1) / 2;

/** Small numbers, spread evenly (multiples of the golden section) and other for each variant. */
const spread = (i: number, variant: number) => ((i + 1) * GOLDEN_PART * (2 * variant + 1)) % 1;

/** The sets with small differences. */
function unlike(sets: Expression, variant: number): Expression {
  return sets.map(([column, cost], i) => [column, cost * (1 + UNLIKE * spread(i, variant))]);
}

/** Share of the needs that sets alike may differ by where the needs are to be met as fully as can be. */
const UNLIKE_IN_SHARE = 0.002;

/** What tells sets apart beside an aim that does not count them; nothing in the first variant. */
function apart(sets: Expression, variant: number): Expression {
  if (variant === 0) return [];
  return sets.map(([column], i) => [column, UNLIKE_IN_SHARE * spread(i, variant)]);
}

/**
 * What is made whole together: sets, as far as they leave each other alone, by the setters they lie in and
 * then, where that is told apart, by hatchers; then all trays.
 */
function nextOf({ goal: { model } }: Relaxed, order: (typeof dives)[number]) {
  const stages = [model.sets, model.stays].map(
    (sets) => new Map(sets.map((set) => [set.column, set])),
  );
  const sign = { fullest: 0, first: 1 }[order];
  return (parts: readonly Part[]): Part[] => {
    const sets = stages.find((stage) => parts.some(({ column }) => stage.has(column)));
    if (!sets) return parts.toSorted((a, b) => b.part - a.part);
    const by = ({ column }: Part) => sign * sets.get(column)!.day;
    const taken: { timing: number; day: number }[] = [];
    return parts
      .filter(({ column }) => sets.has(column))
      .sort((a, b) => by(a) - by(b) || b.part - a.part)
      .filter(({ column, part }, i) => {
        const set = sets.get(column)!;
        const isFar = taken.every(
          (one) => one.timing !== set.timing || Math.abs(one.day - set.day) >= APART,
        );
        if (i > 0 && part < NEARLY && (part < MOSTLY || !isFar)) return false;
        taken.push(set);
        return true;
      });
  };
}

/** Opens the relaxed program of a season for as long as it is asked. */
export async function ofRelaxed<T>(
  p: SeasonProblem,
  needs: readonly Need[],
  ask: (relaxed: RelaxedSeason) => T | Promise<T>,
): Promise<T> {
  const relaxed = await RelaxedSeason.open(p, needs);
  try {
    return await ask(relaxed);
  } finally {
    relaxed.close();
  }
}
