/**
 * Which sets to start: days, setters and hatchers. Eggs are amounts here, pooled by pen; how many of
 * which age go into each set is settled afterwards, with the sets fixed (egg-shares.ts). Pooled eggs
 * count as fresh, so the least number of sets found here is a true bound for the whole plan.
 */

import { branched, dived, type Part } from './dive.ts';
import {
  eggTerms,
  type HatchingModel,
  type HatchingProblem,
  hatchingModel,
  lastOpening,
  lotsOf,
  type MachineCount,
  setTerms,
} from './hatching-model.ts';
import { addColumn, addRow, amountOf, type Expression, type Term } from './linear-program.ts';
import { type Need, worthOf } from './needs.ts';
import { dives, NEARLY, type RelaxedEggs, type RelaxedSeason } from './relaxed.ts';
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
  chosen: ChosenSets[];
  /** Sets in all. */
  sets: number;
  /** Birds missing of each need. */
  missing: number[];
  /** Share met of the need that is met least, 1 where none asks for anything. */
  met: number;
  /** True if no choice of sets meets the needs more fully, within the gap asked for. */
  isBest: boolean;
  /** The solution itself by the names of columns, as a start for another search. */
  values: ReadonlyMap<string, number>;
}

/** How far the search may go: nodes and gaps end it alike on every machine; seconds only as a guard. */
export interface PlanLimits {
  shortfall: SolveLimits;
  sets: SolveLimits;
  /** The sets of one calendar of a long season. */
  calendar: SolveLimits;
  /** To prove that no fewer sets will do. */
  proof: SolveLimits;
}

export const usualLimits: PlanLimits = {
  shortfall: { relativeGap: 0.002, absoluteGap: 0.25, nodes: 100, seconds: 30 },
  sets: { relativeGap: 0.01, absoluteGap: 0.01, nodes: 20, seconds: 60 },
  calendar: { relativeGap: 0.01, absoluteGap: 0.01, nodes: 8, seconds: 60 },
  proof: { relativeGap: 1, nodes: 300, seconds: 60 },
};

/**
 * Cost of a bird missing, in sets: no set is worth saving for it. With the gap allowed on sets, the
 * least shortfall is found to a hundredth of a bird.
 */
export const BIRD_IN_SETS = 100;
/** A shortfall below this is none. */
export const BIRD_SLACK = 0.02;

/** Eggs of a source set on a day that are older than its youngest lots can be: a step of the storage table. */
interface Older {
  source: number;
  set: number;
  column: number;
  /** Share of the hatch of a fresh egg that this step of age takes. */
  lost: number;
}

export interface GoalModel {
  model: HatchingModel;
  missing: readonly number[];
  /** Row of each need. */
  rows: readonly number[];
  shortfall: Expression;
  older: readonly Older[];
  needs: readonly Need[];
  /** Birds expected of each need. */
  birds: readonly Expression[];
}

/** The model of a season with its goals: each need with a column for what is missing. */
export function goalModel(
  p: SeasonProblem,
  problem: HatchingProblem,
  needs: readonly Need[],
  eggs: 'pooled' | 'whole',
  machines: MachineCount = 'together',
): GoalModel {
  const model = hatchingModel(problem, eggs, machines);
  const older = eggs === 'pooled' ? olderEggs(p, model) : [];
  const birds = needs.map(
    (need): Expression => [
      ...eggTerms(model, (egg) => worthOf(p, need, egg)),
      ...older
        .filter(({ set }) => set <= need.lastSet)
        .map((one): Term => [one.column, -one.lost * need.rates[one.source]!]),
    ],
  );
  const missing = needs.map((need, i) =>
    addColumn(model.program, `missing of goal ${i + 1}`, Math.max(0, need.birds)),
  );
  const rows = needs.map((need, i) =>
    addRow(
      model.program,
      `goal ${i + 1}`,
      need.birds,
      [...birds[i]!, [missing[i]!, 1]],
      Number.POSITIVE_INFINITY,
    ),
  );
  return {
    model,
    missing,
    rows,
    shortfall: missing.map((column): Term => [column, BIRD_IN_SETS]),
    older,
    needs,
    birds,
  };
}

/** Of the steps of the storage table of a very large farm, every so many are taken together. */
const STEPS_TOGETHER = 3;

/**
 * What storage takes of pooled eggs, from below: eggs beyond those laid in the last days must be
 * older. One column for each step of the storage table, or for some together at the last of them.
 */
function olderEggs(p: SeasonProblem, model: HatchingModel): Older[] {
  const { program, problem } = model;
  const found: Older[] = [];
  const together = isVeryLargeFarm(problem) ? STEPS_TOGETHER : 1;
  for (const { source, set, column } of model.eggs) {
    // The surest eggs of a pen are most of them, and enough to tell a stale set by.
    if (p.pens.indexOf(p.pens[source]!) !== source) continue;
    const { maxAge } = problem.sources[source]!;
    const lots = lotsOf(problem.sources[source]!);
    let before = p.kept(source, 0);
    for (let age = 1, steps = 0; age <= maxAge; age++) {
      const now = p.kept(source, age);
      const lost = before - now;
      if (lost <= 0 || (++steps % together !== 0 && age < maxAge)) continue;
      before = now;
      const young = lots.reduce(
        (sum, [laid, eggs]) => (laid <= set && laid > set - age ? sum + eggs : sum),
        0,
      );
      const upper = program.columns[column]!.upper - young;
      if (upper <= 0) continue;
      const older = addColumn(program, `eggs of ${source} set ${set} aged ${age} or more`, upper);
      addRow(
        program,
        `young eggs of ${source} on ${set} below ${age}`,
        Number.NEGATIVE_INFINITY,
        [
          [column, 1],
          [older, -1],
        ],
        young,
      );
      found.push({ source, set, column: older, lost });
    }
  }
  return found;
}

/** Beyond what is needed, birds count this far: an aim must end somewhere. */
const FULLEST = 3;
/** Beside the goal that is met least, all goals together count this much. */
const ALL_GOALS = 0.01;

/** The aim to meet the needs as fully as can be, with its rows: the one that bounds the sets, and one a need. */
export interface Fullness {
  aim: Expression;
  sets: number;
  needs: readonly { row: number; share: number }[];
}

/**
 * The aim to meet the needs as fully as can be with so many sets at most: the birds of the need that
 * is met least, as a share of what it asks. Adds its rows to the model; to be minimised.
 */
export function fullness(goal: GoalModel, needs: readonly Need[], sets: number): Fullness {
  const { program } = goal.model;
  const most = addRow(
    program,
    'sets at most',
    Number.NEGATIVE_INFINITY,
    setTerms(goal.model),
    sets,
  );
  const least = addColumn(program, 'share of the need met least', FULLEST);
  const rows = needs.map((need, i) => {
    const share = addColumn(program, `share of need ${i + 1} met`, FULLEST);
    addRow(
      program,
      `least of need ${i + 1}`,
      0,
      [
        [share, 1],
        [least, -1],
      ],
      Number.POSITIVE_INFINITY,
    );
    const row = addRow(
      program,
      `birds of need ${i + 1}`,
      0,
      [...goal.birds[i]!, [share, -need.birds]],
      Number.POSITIVE_INFINITY,
    );
    return { row, share };
  });
  const aim = [[least, -1], ...rows.map(({ share }): Term => [share, -ALL_GOALS])] as Term[];
  return { aim, sets: most, needs: rows };
}

/** Below this share of the needs other ways of rounding are not tried. */
const NEARLY_FULL = 0.9;

/** The needs met as fully as a plan rounded from the relaxed program can, with so many sets at most. */
export async function roundedSets(
  relaxed: RelaxedSeason,
  needs: readonly Need[],
  sets: number,
): Promise<Search | null> {
  let best: Search | null = null;
  for (const order of dives) {
    const search = await relaxed.dive(needs, { most: 'birds', sets }, order);
    if (search && (best === null || search.met > best.met)) best = search;
    // A plan far from full is not saved by another order.
    if (best && (best.met >= 1 || best.met < NEARLY_FULL)) break;
  }
  return best;
}

/** Beyond this share more sets than the bound, and some, no plan is looked for. */
const MORE_SETS = 1.35;
const SOME_SETS = 2;

/** The most sets of a plan that is looked for where there are none with less than `least`. */
export function mostSets(least: number): number {
  return Math.floor(MORE_SETS * least) + SOME_SETS;
}

/** Sets that meet less than this share of the needs are not worth a closer look. */
export const WORTH_TRYING = 0.97;

/** Days for setting times ways through the machines up to which the whole program is searched. */
const MANY_WAYS = 70;

function waysIn({ timings, setters, hatchers }: HatchingProblem): number {
  const days = timings.reduce((sum, { setDays }) => sum + setDays.length, 0);
  return days * setters.length * hatchers.length;
}

/** Few enough ways for the whole program to be searched. */
export function isShortSeason(problem: HatchingProblem): boolean {
  return waysIn(problem) <= MANY_WAYS;
}

/** Days for setting times ways above which sets are looked for on some of the days first. */
const VERY_MANY_WAYS = 1000;
/** Of the days for setting of a very large farm those are looked at first that lie so many days apart. */
const DAYS_APART = 3;

/** Too many ways for all days to be looked at from the first, or for all calendars together. */
export function isVeryLargeFarm(problem: HatchingProblem): boolean {
  return waysIn(problem) > VERY_MANY_WAYS;
}

/**
 * The problem on days for setting some days apart where a farm is very large; else the problem itself. No
 * day is left out for which eggs would have to wait too long, nor the last one of a pen.
 */
export function onSomeDays(problem: HatchingProblem): HatchingProblem {
  if (!isVeryLargeFarm(problem)) return problem;
  const kept = problem.timings.map(({ setDays }, timing) => {
    const sources = problem.sources.filter(({ kind }) => problem.kinds[kind]!.timing === timing);
    const maxAge = Math.min(...sources.map((source) => source.maxAge));
    const last = new Set(
      [Number.POSITIVE_INFINITY, ...sources.flatMap(({ to }) => to ?? [])].map((to) =>
        setDays.findLast((day) => day <= to),
      ),
    );
    const days = new Set<number>();
    let before = Number.NEGATIVE_INFINITY;
    setDays.forEach((day, place) => {
      const next = setDays[place + 1] ?? day;
      const wouldWait = next - before - 1 > maxAge;
      if (day - before < DAYS_APART && !wouldWait && !last.has(day)) return;
      days.add(day);
      before = day;
    });
    return days;
  });
  return withSetDays(problem, (timing, day) => kept[timing]!.has(day));
}

/**
 * The same by the whole program, from a plan in hand. In a long season the sets of one calendar at a
 * time are sought, the others held, on the days that the relaxed plan uses and those of the sets in hand.
 */
export async function searchedSets(
  p: SeasonProblem,
  needs: readonly Need[],
  sets: number,
  from: Search,
  relaxed: RelaxedSeason,
  limits: PlanLimits,
): Promise<Search | null> {
  let best: Search | null = null;
  for (const timing of sought(p.problem, from.chosen)) {
    const problem =
      timing === null ? p.problem : daysInUse(p, relaxed.eggs(needs), from.chosen, timing);
    const goal = goalModel(p, problem, needs, 'pooled');
    if (timing !== null) {
      holdOthers(goal.model, from.chosen, timing);
      // Trays are made whole with the eggs.
      for (const { trays } of goal.model.trays) goal.model.program.columns[trays]!.whole = false;
    }
    const { aim } = fullness(goal, needs, sets);
    const solver = await openSolver(goal.model.program);
    try {
      const limit = timing === null ? limits.sets : limits.calendar;
      const found = solver.minimise(aim, limit, startFrom(goal.model, from));
      if (!('values' in found)) continue;
      const isBest = timing === null && found.status === 'optimal';
      const search = { ...searchOf(goal, found), isBest };
      if (best === null || search.met > best.met) best = search;
    } finally {
      solver.close();
    }
  }
  return best;
}

/**
 * Sets that meet the needs with so many at most, by the whole program. Null where none were found;
 * `no sets do` where there are none, which only a short season's program can tell.
 */
export async function metSets(
  p: SeasonProblem,
  needs: readonly Need[],
  sets: number,
  limits: PlanLimits,
): Promise<Search | 'no sets do' | null> {
  if (!isShortSeason(p.problem)) return null;
  const goal = goalModel(p, p.problem, needs, 'pooled');
  const { model, missing } = goal;
  for (const column of missing) model.program.columns[column]!.upper = 0;
  addRow(model.program, 'sets at most', Number.NEGATIVE_INFINITY, setTerms(model), sets);
  const solver = await openSolver(model.program);
  try {
    const found = solver.minimise(setTerms(model), limits.proof);
    if ('values' in found) return searchOf(goal, found);
    return found.status === 'infeasible' ? 'no sets do' : null;
  } finally {
    solver.close();
  }
}

/** Calendars whose sets are sought one after the other; null stands for all at once. */
function sought(problem: HatchingProblem, chosen: readonly ChosenSets[]): (number | null)[] {
  if (isShortSeason(problem)) return [null];
  return problem.timings.flatMap((_, t) => (chosen.some(({ timing }) => timing === t) ? [t] : []));
}

/** Holds the sets of all calendars but one as they are chosen. */
function holdOthers(model: HatchingModel, chosen: readonly ChosenSets[], timing: number): void {
  for (const set of model.sets) {
    if (set.timing === timing) continue;
    const sets = chosen.find((one) => isAt(one, set))?.sets ?? 0;
    Object.assign(model.program.columns[set.column]!, { lower: sets, upper: sets });
  }
}

export function isAt(one: ChosenSets, other: Omit<ChosenSets, 'sets'>): boolean {
  return (
    one.timing === other.timing &&
    one.day === other.day &&
    one.setter === other.setter &&
    one.hatcher === other.hatcher
  );
}

function daysInUse(
  p: SeasonProblem,
  relaxed: readonly RelaxedEggs[] | null,
  chosen: readonly ChosenSets[],
  timing: number,
): HatchingProblem {
  const { sources, kinds, timings } = p.problem;
  const inUse = timings.map(() => new Set<number>());
  for (const one of chosen) inUse[one.timing]!.add(one.day);
  for (const { source, day } of relaxed ?? [])
    if (kinds[sources[source]!.kind]!.timing === timing) inUse[timing]!.add(day);
  return withSetDays(p.problem, (t, day) => inUse[t]!.has(day));
}

/** The least shortfall, to a quarter of a bird; then the fewest sets with no more of it. */
export async function leastShortfall(
  p: SeasonProblem,
  needs: readonly Need[],
  relaxed: RelaxedSeason,
  limits: PlanLimits,
): Promise<Search> {
  const rounded = await relaxed.dive(needs, { least: 'missing' }, 'fullest');
  // In a long season the days of the rounded plan are those of the whole one.
  const isWhole = rounded === null || isShortSeason(p.problem);
  const problem = isWhole ? p.problem : onlyOn(p.problem, rounded.chosen);
  const goal = goalModel(p, problem, needs, 'pooled');
  const { model, missing } = goal;
  const solver = await openSolver(model.program);
  try {
    const start = rounded ? startFrom(model, rounded) : undefined;
    const birds = missing.map((column): Term => [column, 1]);
    const first = solver.minimise(birds, limits.shortfall, start);
    if (!('values' in first)) throw new SolverFailure('even an empty plan was refused');
    missing.forEach((column) => {
      solver.setColumn(column, 0, first.values[column]! + BIRD_SLACK / 2);
    });
    const found = solver.minimise(setTerms(model), limits.sets, first.values);
    return searchOf(goal, !('values' in found) ? first : found);
  } finally {
    solver.close();
  }
}

/** The problem with only those days for setting that `keeps` says, by calendar. */
export function withSetDays(
  problem: HatchingProblem,
  keeps: (timing: number, day: number, place: number) => boolean,
): HatchingProblem {
  return {
    ...problem,
    timings: problem.timings.map((one, timing) => ({
      ...one,
      setDays: one.setDays.filter((day, place) => keeps(timing, day, place)),
    })),
  };
}

/** The problem with no other days for setting than those chosen. */
export function onlyOn(problem: HatchingProblem, chosen: readonly ChosenSets[]): HatchingProblem {
  return withSetDays(problem, (timing, day) =>
    chosen.some((one) => one.timing === timing && one.day === day),
  );
}

/** Allows no sets but those chosen. */
export function holdTo(model: HatchingModel, chosen: readonly ChosenSets[]): void {
  for (const set of model.sets) {
    const one = chosen.find((c) => isAt(c, set));
    model.program.columns[set.column]!.upper = one?.sets ?? 0;
  }
}

/** How many sets there are in all. */
export function setsIn(chosen: readonly ChosenSets[]): number {
  return chosen.reduce((all, { sets }) => all + sets, 0);
}

export function searchOf({ model, missing, needs, birds }: GoalModel, found: Found): Search {
  const chosen = model.sets.flatMap(({ column, timing, day, setter, hatcher }) => {
    const sets = Math.round(found.values[column]!);
    return sets > 0 ? [{ timing, day, setter, hatcher, sets }] : [];
  });
  return {
    chosen,
    sets: setsIn(chosen),
    missing: missing.map((column) => found.values[column]!),
    met: needs.reduce(
      (least, need, i) =>
        need.birds > 0 ? Math.min(least, amountOf(birds[i]!, found.values) / need.birds) : least,
      1,
    ),
    isBest: false,
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

/** What a plan is bettered in: chicks lost to storage, or its end with no more lost than `lost`. */
export type LaterAim =
  | { least: 'storage' }
  /** Each set moves by so many days at most. */
  | { least: 'days'; lost: number; moves: number };

/**
 * Of the plans with no more sets that meet the needs, one near `from` that is better in a later aim. In
 * a long season the sets of one calendar after the other are moved. Null if none is found.
 */
export async function betterSets(
  p: SeasonProblem,
  needs: readonly Need[],
  from: Search,
  chickRates: readonly number[],
  aim: LaterAim,
): Promise<Search | null> {
  let best: Search | null = null;
  for (const timing of sought(p.problem, from.chosen)) {
    const found = await moved(p, needs, best ?? from, chickRates, aim, timing);
    if (found) best = found;
  }
  return best;
}

async function moved(
  p: SeasonProblem,
  needs: readonly Need[],
  from: Search,
  chickRates: readonly number[],
  aim: LaterAim,
  timing: number | null,
): Promise<Search | null> {
  const isNear = nearnessTo(p.problem, aim.least === 'days' ? aim.moves : null);
  const near = withSetDays(p.problem, (t, day) =>
    from.chosen.some(
      (one) =>
        one.timing === t && (timing === null || t === timing ? isNear(one, day) : one.day === day),
    ),
  );
  const goal = goalModel(p, near, needs, 'pooled');
  const { model, missing, older } = goal;
  const { program } = model;
  const loss = older.map(({ source, column, lost }): Term => [column, lost * chickRates[source]!]);
  // Fewer would do by the birds expected, and not by their chance: that was found before.
  addRow(program, 'as many sets', from.sets, setTerms(model), from.sets);
  let objective: Expression = loss;
  if (aim.least === 'days') {
    addRow(program, 'no more lost', Number.NEGATIVE_INFINITY, loss, aim.lost);
    const early = setTerms(model, ({ day }) => day * DAY_OF_A_SET);
    objective = [...lastOpening(model).terms, ...early];
  }
  // Each set keeps its machines and moves by some days; trays are made whole with the eggs.
  for (const set of model.sets) {
    const isOpen = from.chosen.some(
      (one) =>
        one.timing === set.timing &&
        one.setter === set.setter &&
        one.hatcher === set.hatcher &&
        isNear(one, set.day),
    );
    if (!isOpen) program.columns[set.column]!.upper = 0;
  }
  if (timing !== null) holdOthers(model, from.chosen, timing);
  const whole = model.sets.map(({ column }) => column);
  // Sets are made whole step by step, which is had sooner; trays with the eggs.
  for (const column of program.columns) column.whole = false;
  const solver = await openSolver(program);
  try {
    for (const column of missing) solver.setColumn(column, 0, BIRD_SLACK);
    const root = solver.minimise(objective);
    const found = isShortSeason(p.problem)
      ? branched(solver, whole, objective, root, finer)
      : dived(solver, whole, objective, root, surest);
    return found && searchOf(goal, found);
  } finally {
    solver.close();
  }
}

/** The later aims are pursued no further than this. */
const finer = {
  solves: 40,
  gap: (objective: number) => Math.max(0.1, 0.05 * Math.abs(objective)),
};

/** The part that is nearest to whole, with all that nearly are. */
function surest(parts: readonly Part[]): Part[] {
  const most = parts.reduce((all, { part }) => Math.max(all, part), 0);
  return parts.filter(({ part }) => part >= Math.min(most, NEARLY));
}

/** Days, or days for setting, by which a set may be moved in one search. */
const NEAR_DAYS = 2;
const NEAR_SETTINGS = 1;
/** Beside the end of the season the day of each set counts little. */
const DAY_OF_A_SET = 0.01;

/** Whether a set may move to a day: a little either way, or `earlier` by some days or one setting. */
function nearnessTo(
  { timings }: HatchingProblem,
  earlier: number | null,
): (one: ChosenSets, day: number) => boolean {
  const places = timings.map(({ setDays }) => new Map(setDays.map((day, i) => [day, i])));
  const placeOf = (timing: number, day: number) => places[timing]!.get(day)!;
  return (one, day) => {
    const settings = placeOf(one.timing, one.day) - placeOf(one.timing, day);
    const days = one.day - day;
    if (earlier !== null) return days >= 0 && (days <= earlier || settings <= 1);
    return Math.abs(days) <= NEAR_DAYS || Math.abs(settings) <= NEAR_SETTINGS;
  };
}
