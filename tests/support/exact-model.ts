/**
 * The hatching season as a mixed-integer linear program.
 *
 * Days are whole numbers from 0. Eggs laid on a day are set on a later day while young enough; sets
 * fill whole trays until transfer, then hatcher space until the last opening and its cleaning. Which
 * aim is pursued is up to the caller: the model only hands out its expressions.
 *
 * The formulation is the tight one where there is a choice. Trays of like setters are counted
 * together, and so are like hatchers that take one set at a time: stays are intervals, and any family
 * of intervals that never exceeds a number of places can be laid out in that many (Dilworth; interval
 * graphs are perfect), so nothing is lost and no two solutions differ by names alone. Occupancy is one
 * row for each day a stay can begin (the maximal cliques), not one for each pair of stays.
 */
import {
  addColumn,
  addRow,
  type Expression,
  type LinearProgram,
  type Term,
} from '../../src/planner/linear-program.ts';

/** A pen, or another source of hatching eggs of one kind. */
export interface EggSource {
  name: string;
  /** Index into `kinds`. */
  kind: number;
  /** Whole hatching eggs to be had from each day. */
  supply: readonly number[];
  /** Eggs in store when the season begins, by their age in days on day 0. */
  stored?: readonly { age: number; eggs: number }[];
  /** Oldest an egg may be when set, days. */
  maxAge: number;
  /** Last day this source's eggs may be set, if earlier than the kind's. */
  to?: number;
  /** Days on which they may not be. */
  closed?: ReadonlySet<number>;
}

/** Eggs that may share a tray: one species. */
export interface EggKind {
  name: string;
  /** Index into `timings`. */
  timing: number;
  /** Share of the eggs set that are expected to be moved to the hatcher. */
  liveShare: number;
}

/** The calendar of a set: kinds of one timing may be put in as one set. */
export interface Timing {
  /** Days on which such a set may be started: none of its dates falls on a day off. */
  setDays: readonly number[];
  /** Day of transfer, counted from setting. */
  transfer: number;
  /** Day the chicks are expected. */
  hatch: number;
  /** Day of the last opening: the hatcher is free for cleaning from then. */
  lastOpening: number;
}

/** Like setters, counted together. */
export interface SetterClass {
  name: string;
  /** How many setters. */
  count: number;
  /** Trays of one setter. */
  trays: number;
  /** Eggs one tray holds, by kind; 0 where the kind does not fit. */
  holds: readonly number[];
  /** Trays already taken on each day, all setters of the class together. */
  taken: readonly number[];
}

/** Like hatchers, counted together if they take one set at a time; otherwise `count` is 1. */
export interface HatcherClass {
  name: string;
  count: number;
  /** Live eggs one hatcher holds, by kind; 0 where the kind does not fit. */
  holds: readonly number[];
  cleanDays: number;
  oneSet: boolean;
  /** Hatchers already taken on each day. */
  taken: readonly number[];
}

export interface HatchingProblem {
  /** Length of the season, days. */
  days: number;
  sources: readonly EggSource[];
  kinds: readonly EggKind[];
  timings: readonly Timing[];
  setters: readonly SetterClass[];
  hatchers: readonly HatcherClass[];
  /** At most one set may be started a day. */
  oneSetADay?: boolean;
  /** Latest day a set's last opening may fall on. */
  lastOpeningBy?: number;
}

interface EggColumn {
  source: number;
  /** Day laid; the day of setting where lots are pooled. */
  laid: number;
  set: number;
  column: number;
  /** Where lots are pooled: eggs of the source used or let go up to this day. */
  gone?: number;
}

/** Sets on their way through the machines: through a setter and a hatcher, or one of the two alone. */
export interface Way {
  /** Class of setter, or ANY. */
  setter: number;
  /** Class of hatcher, or ANY. */
  hatcher: number;
}

/** Stands for a machine that a way leaves open. */
export const ANY = -1;

export interface SetColumn extends Way {
  timing: number;
  day: number;
  /** Number of sets. */
  column: number;
  /** Trays that one of them can fill. */
  mostTrays: number;
}

export interface EggsInWay extends Way {
  kind: number;
  day: number;
  eggs: Expression;
}

interface TrayColumn extends EggsInWay {
  /** Whole trays. */
  trays: number;
}

export interface HatchingModel {
  problem: HatchingProblem;
  machines: MachineCount;
  program: LinearProgram;
  eggs: readonly EggColumn[];
  /** Sets by the setters they lie in. */
  sets: readonly SetColumn[];
  trays: readonly TrayColumn[];
  /** The same sets by the hatchers they go to, and their eggs; with machines together these are those. */
  stays: readonly SetColumn[];
  eggsInHatchers: readonly EggsInWay[];
  /** Rows of the trays of a class of setter on a day. */
  trayRows: readonly { setter: number; day: number; row: number }[];
}

/** Rounding of amounts. */
const ALMOST = 1e-6;

const key = (...parts: number[]) => parts.join(' ');

function push<K, V>(map: Map<K, V[]>, at: K, value: V): void {
  const list = map.get(at);
  if (list) list.push(value);
  else map.set(at, [value]);
}

/** Eggs of a source by the day laid; what was in store has a day before 0. */
export function lotsOf(source: EggSource): [laid: number, eggs: number][] {
  return [
    ...(source.stored ?? []).map(({ age, eggs }): [number, number] => [-age, eggs]),
    ...source.supply.map((eggs, day): [number, number] => [day, eggs]),
  ];
}

/**
 * How eggs are counted: `whole` eggs of each lot; `parts`, eggs of each lot as continuous amounts;
 * `pooled`, continuous amounts of a source by day of setting, whatever their age. Pooling loses
 * nothing but the ages: the eggs of a source that can be set are those in a window that slides
 * over the days laid, so taking the oldest first serves every choice of amounts.
 */
export type EggCount = 'whole' | 'parts' | 'pooled';

/**
 * How sets are counted: `together`, by setter and hatcher, so that each set has a way of its own; or
 * `apart`, by setter and once more by hatcher, as many in sum and with as many eggs. Apart there are
 * fewer columns, and hardly less is said: where several sets of one calendar begin on one day it is
 * open which of them goes where.
 */
export type MachineCount = 'together' | 'apart';

/** Builds the program; every expression of the model is over its columns. */
export function hatchingModel(
  problem: HatchingProblem,
  eggCount: EggCount = 'whole',
  machines: MachineCount = 'together',
): HatchingModel {
  const program: LinearProgram = { columns: [], rows: [] };
  const { kinds, timings, sources } = problem;
  const wholeEggs = eggCount === 'whole';

  // Eggs: one column for each source, lay day and set day within the storage limit.
  const eggs: EggColumn[] = [];
  const eggsByKindDay = new Map<string, EggColumn[]>();
  const latestSet = (timing: Timing) =>
    Math.min(
      problem.days - 1,
      (problem.lastOpeningBy ?? Number.POSITIVE_INFINITY) - timing.lastOpening,
    );
  sources.forEach((source, s) => {
    const timing = timings[kinds[source.kind]!.timing]!;
    const days = timing.setDays.filter(
      (d) =>
        d <= latestSet(timing) &&
        d <= (source.to ?? Number.POSITIVE_INFINITY) &&
        !source.closed?.has(d),
    );
    if (eggCount === 'pooled') {
      for (const egg of pooled(program, s, source, days)) {
        eggs.push(egg);
        push(eggsByKindDay, key(source.kind, egg.set), egg);
      }
      return;
    }
    for (const [laid, supply] of lotsOf(source)) {
      if (supply <= 0) continue;
      const terms: Term[] = [];
      for (const set of days) {
        if (set < laid || set - laid > source.maxAge) continue;
        const name = `eggs of ${source.name} laid ${laid} set ${set}`;
        const column = addColumn(program, name, supply, { whole: wholeEggs });
        const egg = { source: s, laid, set, column };
        eggs.push(egg);
        push(eggsByKindDay, key(source.kind, set), egg);
        terms.push([column, 1]);
      }
      if (terms.length > 1)
        addRow(
          program,
          `supply of ${source.name} on ${laid}`,
          Number.NEGATIVE_INFINITY,
          terms,
          supply,
        );
    }
  });

  // Sets and their trays, for each way through the machines.
  const sets: SetColumn[] = [];
  const stays: SetColumn[] = [];
  const trays: TrayColumn[] = [];
  const eggsInHatchers: EggsInWay[] = [];
  const kindsOf = timings.map((_, t) => kinds.flatMap((k, i) => (k.timing === t ? [i] : [])));
  timings.forEach((timing, t) => {
    for (const day of timing.setDays) {
      if (day > latestSet(timing)) continue;
      const present = kindsOf[t]!.filter((k) => eggsByKindDay.has(key(k, day)));
      if (present.length === 0) continue;
      const eggsOf = new Map(present.map((k) => [k, eggsByKindDay.get(key(k, day))!]));
      const families = waysOf(problem, present, machines).map((ways) =>
        addWays(program, problem, { timing: t, day, ways, eggsOf, wholeEggs }),
      );
      const [starts, lying = starts] = families;
      sets.push(...starts!.sets);
      trays.push(...starts!.trays);
      stays.push(...lying!.sets);
      eggsInHatchers.push(...lying!.eggs);
      const setTerms = starts!.sets.map(({ column }): Term => [column, 1]);
      for (const [k, ofDay] of eggsOf) {
        if (eggCount === 'pooled') noneWithoutSets(program, sources, day, ofDay, setTerms);
        for (const { eggs: inWays } of families) {
          const held = inWays.filter(({ kind }) => kind === k);
          // With one way through, the eggs of the day are the eggs of the way.
          if (held.length === 1) continue;
          addRow(
            program,
            `all ${kinds[k]!.name} set on ${day} lie in a tray`,
            0,
            [
              ...ofDay.map((e): Term => [e.column, 1]),
              ...held.flatMap((one) => one.eggs).map(([c, v]): Term => [c, -v]),
            ],
            0,
          );
        }
      }
      if (lying !== starts)
        addRow(
          program,
          `sets of timing ${t} on ${day} go to a hatcher`,
          0,
          [...setTerms, ...lying!.sets.map(({ column }): Term => [column, -1])],
          0,
        );
      if (problem.oneSetADay)
        addRow(program, `one set on ${day}`, Number.NEGATIVE_INFINITY, setTerms, 1);
    }
  });
  if (problem.oneSetADay && timings.length > 1) {
    const byDay = new Map<number, Term[]>();
    for (const set of sets) push(byDay, set.day, [set.column, 1] as Term);
    for (const [day, terms] of byDay)
      addRow(program, `one set of any timing on ${day}`, Number.NEGATIVE_INFINITY, terms, 1);
  }

  const trayRows = occupyTrays(program, problem, sets, trays);
  occupyHatchers(program, problem, stays, eggsInHatchers);
  return { problem, machines, program, eggs, sets, trays, stays, eggsInHatchers, trayRows };
}

/** True if a way along `machine`, or any, is along `one`. */
export const isOn = (machine: number, one: number): boolean => machine === ANY || machine === one;

/** A way with the kinds that fit it, and the pairs of setter and hatcher that it stands for. */
interface FittingWay extends Way {
  fits: readonly number[];
  pairs: readonly { setter: number; hatcher: number; fits: readonly number[] }[];
}

/** Ways that some of these kinds fit: those through both machines, or first by setter, then by hatcher. */
function waysOf(
  { setters, hatchers }: HatchingProblem,
  present: readonly number[],
  machines: MachineCount,
): FittingWay[][] {
  const pairs = setters.flatMap((setter, c) =>
    hatchers.flatMap((hatcher, h) => {
      const fits = present.filter((k) => setter.holds[k]! > 0 && hatcher.holds[k]! > 0);
      return fits.length > 0 ? [{ setter: c, hatcher: h, fits }] : [];
    }),
  );
  if (machines === 'together') return [pairs.map((one) => ({ ...one, pairs: [one] }))];
  const along = (way: Way): FittingWay[] => {
    const own = pairs.filter(
      (one) => isOn(way.setter, one.setter) && isOn(way.hatcher, one.hatcher),
    );
    const fits = present.filter((k) => own.some((pair) => pair.fits.includes(k)));
    return own.length > 0 ? [{ ...way, fits, pairs: own }] : [];
  };
  return [
    setters.flatMap((_, setter) => along({ setter, hatcher: ANY })),
    hatchers.flatMap((_, hatcher) => along({ setter: ANY, hatcher })),
  ];
}

function whereOf({ setters, hatchers }: HatchingProblem, day: number, way: Way): string {
  const machines = [setters[way.setter], hatchers[way.hatcher]];
  return `day ${day} in ${machines.flatMap((one) => one?.name ?? []).join(', ')}`;
}

/** The name of the column of sets of a calendar and day along a way. */
export const setsName = (problem: HatchingProblem, timing: number, day: number, way: Way) =>
  `sets of timing ${timing} on ${whereOf(problem, day, way)}`;

/** The name of the column of trays of a kind on a day along a way. */
export const traysName = (problem: HatchingProblem, kind: number, day: number, way: Way) =>
  `trays of ${problem.kinds[kind]!.name} on ${whereOf(problem, day, way)}`;

/** The name of the column of eggs of a kind on a day along a way, if there are several ways. */
export const eggsName = (problem: HatchingProblem, kind: number, day: number, way: Way) =>
  `eggs of ${problem.kinds[kind]!.name} on ${whereOf(problem, day, way)}`;

/** The columns and rows of the sets of one calendar and day, with their trays and eggs, in such ways. */
function addWays(
  program: LinearProgram,
  problem: HatchingProblem,
  {
    timing,
    day,
    ways,
    eggsOf,
    wholeEggs,
  }: {
    timing: number;
    day: number;
    ways: readonly FittingWay[];
    eggsOf: ReadonlyMap<number, readonly EggColumn[]>;
    wholeEggs: boolean;
  },
): { sets: SetColumn[]; trays: TrayColumn[]; eggs: EggsInWay[] } {
  const { kinds, setters, hatchers } = problem;
  const sets: SetColumn[] = [];
  const trays: TrayColumn[] = [];
  const eggs: EggsInWay[] = [];
  for (const { fits, pairs, ...way } of ways) {
    const setter = way.setter === ANY ? null : setters[way.setter]!;
    const hatcher = way.hatcher === ANY ? null : hatchers[way.hatcher]!;
    const where = whereOf(problem, day, way);
    const mostSets = problem.oneSetADay
      ? 1
      : pairs.reduce(
          (sum, pair) => sum + mostOf(setters[pair.setter]!, hatchers[pair.hatcher]!),
          0,
        );
    const set = addColumn(program, setsName(problem, timing, day, way), mostSets, {
      whole: true,
    });
    const traysOfSet: Term[] = [];
    let mostTrays = 0;
    const loadOfHatcher: Term[] = [];
    for (const k of fits) {
      const kind = kinds[k]!;
      const own = eggsOf.get(k)!;
      const supply = own.reduce((sum, e) => sum + program.columns[e.column]!.upper, 0);
      const count =
        setter &&
        addColumn(
          program,
          traysName(problem, k, day, way),
          Math.min(setter.count * setter.trays, Math.ceil(supply / setter.holds[k]!)),
          { whole: true },
        );
      const held: Expression =
        ways.filter((w) => w.fits.includes(k)).length === 1
          ? own.map((e): Term => [e.column, 1])
          : [
              [
                addColumn(program, eggsName(problem, k, day, way), supply, {
                  whole: wholeEggs,
                }),
                1,
              ],
            ];
      eggs.push({ ...way, kind: k, day, eggs: held });
      // No more of the kind than the machines take and the pens lay, and none without a set.
      const room = pairs.reduce((most, pair) => {
        if (!pair.fits.includes(k)) return most;
        const { trays, holds } = setters[pair.setter]!;
        const live = hatchers[pair.hatcher]!.holds[k]! / Math.max(kind.liveShare, Number.EPSILON);
        return Math.max(most, Math.min(live, trays * holds[k]!));
      }, 0);
      const most = Math.min(room, supply);
      const noneWithout = () =>
        addRow(
          program,
          `no ${kind.name} without a set on ${where}`,
          Number.NEGATIVE_INFINITY,
          [...held, [set, -most]],
          0,
        );
      if (setter === null || count === null) noneWithout();
      else {
        const hold = setter.holds[k]!;
        trays.push({ ...way, kind: k, day, trays: count, eggs: held });
        addRow(
          program,
          `tray room for ${kind.name} on ${where}`,
          Number.NEGATIVE_INFINITY,
          [...held, [count, -hold]],
          0,
        );
        noneWithout();
        // A set that fills some trays has only the rest for the last one: a tray in part holds no
        // more than its part of that (mixed-integer rounding: Wolsey, "Integer Programming", 2nd ed.,
        // 2020, ch. 8).
        const filled = Math.floor(most / hold + ALMOST);
        const rest = most - filled * hold;
        if (rest > ALMOST)
          addRow(
            program,
            `the last tray of ${kind.name} on ${where}`,
            Number.NEGATIVE_INFINITY,
            [...held, [count, -rest], [set, -filled * (hold - rest)]],
            0,
          );
        traysOfSet.push([count, 1]);
        mostTrays += filled + (rest > ALMOST ? 1 : 0);
      }
      if (hatcher !== null)
        for (const [column, coefficient] of held)
          loadOfHatcher.push([column, (coefficient * kind.liveShare) / hatcher.holds[k]!]);
    }
    mostTrays = Math.min(setter?.trays ?? 0, mostTrays);
    sets.push({ ...way, timing, day, column: set, mostTrays });
    // With one kind these say what is said already.
    if (fits.length > 1 && setter !== null)
      addRow(
        program,
        `trays of a set on ${where}`,
        Number.NEGATIVE_INFINITY,
        [...traysOfSet, [set, -mostTrays]],
        0,
      );
    if (fits.length > 1 && hatcher !== null)
      addRow(
        program,
        `hatcher room on ${where}`,
        Number.NEGATIVE_INFINITY,
        [...loadOfHatcher, [set, -1]],
        0,
      );
  }
  return { sets, trays, eggs };
}

/** Most sets of one day from a class of setter to one of hatcher. */
function mostOf(setter: SetterClass, hatcher: HatcherClass): number {
  // Two sets of one day in one setter are told apart only by the hatchers they go to.
  return hatcher.oneSet && hatcher.count < Number.MAX_SAFE_INTEGER
    ? Math.min(hatcher.count, setter.count * setter.trays)
    : setter.count;
}

/**
 * A part of a set takes no more than that part of what a source has on the day. What sources have
 * together is said for each way already: a row of its own keeps a set in parts from being filled by
 * one source alone.
 */
function noneWithoutSets(
  program: LinearProgram,
  sources: readonly EggSource[],
  day: number,
  eggs: readonly EggColumn[],
  sets: readonly Term[],
): void {
  if (eggs.length < 2) return;
  for (const { source, column } of eggs) {
    const { upper } = program.columns[column]!;
    addRow(
      program,
      `no eggs of ${sources[source]!.name} without a set on ${day}`,
      Number.NEGATIVE_INFINITY,
      [[column, 1], ...sets.map(([set]): Term => [set, -upper])],
      0,
    );
  }
}

/**
 * Eggs of a source by day of setting. Beside each runs the sum of all eggs used or let go so far,
 * oldest first: never more than were laid, and before a setting never less than have grown too old.
 */
function pooled(
  program: LinearProgram,
  s: number,
  source: EggSource,
  days: readonly number[],
): EggColumn[] {
  const lots = lotsOf(source);
  const laidBy = (day: number) =>
    lots.reduce((sum, [laid, eggs]) => (laid <= day ? sum + eggs : sum), 0);
  const found: EggColumn[] = [];
  let before: number | undefined;
  for (const set of days) {
    const there = laidBy(set);
    const gone = laidBy(set - source.maxAge - 1);
    if (there - gone <= 0) continue;
    const column = addColumn(program, `eggs of ${source.name} set ${set}`, there - gone);
    const used = addColumn(program, `eggs of ${source.name} gone by ${set}`, there);
    addRow(
      program,
      `none of ${source.name} too old on ${set}`,
      gone,
      [
        [used, 1],
        [column, -1],
      ],
      Number.POSITIVE_INFINITY,
    );
    if (before !== undefined)
      addRow(
        program,
        `eggs of ${source.name} once, by ${set}`,
        0,
        [
          [used, 1],
          [before, -1],
          [column, -1],
        ],
        Number.POSITIVE_INFINITY,
      );
    before = used;
    found.push({ source: s, laid: set, set, column, gone: used });
  }
  return found;
}

/** Days on which a stay can begin, or on which what is already taken changes. */
function turningDays(starts: Iterable<number>, taken: readonly number[]): number[] {
  const days = new Set(starts);
  taken.forEach((n, day) => {
    if (n !== (taken[day - 1] ?? 0)) days.add(day);
  });
  return [...days].sort((a, b) => a - b);
}

function occupyTrays(
  program: LinearProgram,
  problem: HatchingProblem,
  sets: readonly SetColumn[],
  trays: readonly TrayColumn[],
): HatchingModel['trayRows'] {
  const rows: { setter: number; day: number; row: number }[] = [];
  const until = (timing: number, day: number) => day + problem.timings[timing]!.transfer;
  problem.setters.forEach((setter, c) => {
    const own = trays.filter((t) => t.setter === c);
    const ownSets = sets.filter((s) => s.setter === c);
    for (const day of turningDays(
      own.map((t) => t.day),
      setter.taken,
    )) {
      const inside = own.filter(
        (t) => t.day <= day && day < until(problem.kinds[t.kind]!.timing, t.day),
      );
      if (inside.length === 0) continue;
      const free = Math.max(0, setter.count * setter.trays - (setter.taken[day] ?? 0));
      const row = addRow(
        program,
        `trays of ${setter.name} on day ${day}`,
        Number.NEGATIVE_INFINITY,
        inside.map((t): Term => [t.trays, 1]),
        free,
      );
      rows.push({ setter: c, day, row });
      largeSets(
        program,
        `${setter.name} on day ${day}`,
        free,
        inside,
        ownSets.filter((s) => s.day <= day && day < until(s.timing, s.day)),
      );
    }
  });
  return rows;
}

/**
 * Where sets take up to m trays each, few large ones lie side by side: of `free` trays, the sets have
 * at most free · (1 − k/m) in sum beyond k each, and that in whole trays (a Chvátal-Gomory cut: Wolsey,
 * "Integer Programming", 2nd ed., 2020, ch. 8).
 */
function largeSets(
  program: LinearProgram,
  where: string,
  free: number,
  trays: readonly TrayColumn[],
  sets: readonly SetColumn[],
): void {
  const most = sets.reduce((all, one) => Math.max(all, one.mostTrays), 0);
  for (let each = 1; each < most; each++) {
    const beyond = free * (1 - each / most);
    const whole = Math.floor(beyond + ALMOST);
    if (beyond - whole < ALMOST) continue;
    addRow(
      program,
      `trays beyond ${each} a set in ${where}`,
      Number.NEGATIVE_INFINITY,
      [...trays.map((t): Term => [t.trays, 1]), ...sets.map((s): Term => [s.column, -each])],
      whole,
    );
  }
}

function occupyHatchers(
  program: LinearProgram,
  problem: HatchingProblem,
  sets: readonly SetColumn[],
  eggs: readonly EggsInWay[],
): void {
  problem.hatchers.forEach((hatcher, h) => {
    const own = sets
      .filter((s) => s.hatcher === h)
      .map((s) => {
        const timing = problem.timings[s.timing]!;
        return {
          ...s,
          hatchDay: s.day + timing.hatch,
          from: s.day + timing.transfer,
          to: s.day + timing.lastOpening + hatcher.cleanDays,
        };
      });
    const days = turningDays(
      own.map((s) => s.from),
      hatcher.taken,
    );
    if (hatcher.oneSet) {
      for (const day of days) {
        const inside = own.filter((s) => s.from <= day && day < s.to);
        if (inside.length === 0) continue;
        addRow(
          program,
          `${hatcher.name} on day ${day}`,
          Number.NEGATIVE_INFINITY,
          inside.map((s): Term => [s.column, 1]),
          Math.max(0, hatcher.count - (hatcher.taken[day] ?? 0)),
        );
      }
      return;
    }
    // Several sets may lie together if they hatch on one day; different hatch days never overlap.
    // One column for each hatch day and each group of timings that lie there on some day.
    const together = new Map<string, number>();
    const column = (hatchDay: number, members: typeof own): number => {
      const name = `${hatcher.name} hatching ${hatchDay} with ${[...new Set(members.map((s) => s.timing))].sort().join(',')}`;
      const known = together.get(name);
      if (known !== undefined) return known;
      const made = addColumn(program, name, 1, { whole: true });
      together.set(name, made);
      for (const s of members)
        addRow(
          program,
          `${name} if set`,
          Number.NEGATIVE_INFINITY,
          [
            [s.column, 1],
            [made, -program.columns[s.column]!.upper],
          ],
          0,
        );
      return made;
    };
    const byHatchDay = new Map<number, typeof own>();
    for (const s of own) push(byHatchDay, s.hatchDay, s);
    for (const day of days) {
      const terms: Term[] = [];
      for (const [hatchDay, members] of byHatchDay) {
        const inside = members.filter((s) => s.from <= day && day < s.to);
        if (inside.length > 0) terms.push([column(hatchDay, inside), 1]);
      }
      if (terms.length > 0)
        addRow(
          program,
          `${hatcher.name} on day ${day}`,
          Number.NEGATIVE_INFINITY,
          terms,
          Math.max(0, hatcher.count - (hatcher.taken[day] ?? 0)),
        );
    }
    for (const [hatchDay, members] of byHatchDay) {
      const all = column(hatchDay, members);
      const load: Term[] = [];
      for (const t of eggs) {
        const kind = problem.kinds[t.kind]!;
        const member = members.some(
          (s) => s.timing === kind.timing && s.day === t.day && s.setter === t.setter,
        );
        if (t.hatcher !== h || !member) continue;
        for (const [c, v] of t.eggs) load.push([c, (v * kind.liveShare) / hatcher.holds[t.kind]!]);
      }
      addRow(
        program,
        `${hatcher.name} room hatching ${hatchDay}`,
        Number.NEGATIVE_INFINITY,
        [...load, [all, -1]],
        0,
      );
    }
  });
}

/** Eggs set, each weighted by `weight` (0 leaves it out). */
export function eggTerms(
  model: HatchingModel,
  weight: (egg: { source: number; laid: number; set: number; age: number }) => number,
): Expression {
  return model.eggs.flatMap(({ source, laid, set, column }): Term[] => {
    const w = weight({ source, laid, set, age: set - laid });
    return w === 0 ? [] : [[column, w]];
  });
}

/** Sets started, each weighted by `weight`. */
export function setTerms(
  model: HatchingModel,
  weight: (set: { timing: number; day: number }) => number = () => 1,
): Expression {
  return model.sets.flatMap(({ timing, day, column }): Term[] => {
    const w = weight({ timing, day });
    return w === 0 ? [] : [[column, w]];
  });
}

/**
 * Adds the day of the last opening as a staircase of yes-or-no columns, one for each possible day
 * (tighter than one column above every set's day), and returns the expression with its constant.
 */
export function lastOpening(model: HatchingModel): { terms: Expression; constant: number } {
  const { program, problem } = model;
  const opening = (s: { timing: number; day: number }) =>
    s.day + problem.timings[s.timing]!.lastOpening;
  const days = [...new Set(model.sets.map(opening))].sort((a, b) => a - b);
  const terms: Term[] = [];
  let previous: number | undefined;
  days.forEach((day, i) => {
    if (i === 0) return;
    // Whole by itself: whole sets push it to 1, the aim to 0.
    const step = addColumn(program, `last opening on or after ${day}`, 1);
    terms.push([step, day - days[i - 1]!]);
    if (previous !== undefined)
      addRow(
        program,
        `steps at ${day}`,
        Number.NEGATIVE_INFINITY,
        [
          [step, 1],
          [previous, -1],
        ],
        0,
      );
    for (const s of model.sets)
      if (opening(s) === day)
        addRow(
          program,
          `last opening if set on ${s.day}`,
          Number.NEGATIVE_INFINITY,
          [
            [s.column, 1],
            [step, -program.columns[s.column]!.upper],
          ],
          0,
        );
    previous = step;
  });
  return { terms, constant: days[0] ?? 0 };
}
