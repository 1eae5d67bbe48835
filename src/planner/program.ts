/**
 * The linear program of one calendar: *the fullest plan with K sets*, in the room that other sets leave.
 *
 * Columns: eggs of a pen set on a day, in two layers (sure, hoped for) and by age where storage tells ages
 * apart; eggs used or let go by a day; sets begun on a day in a class of setter with so many trays; of
 * these, sets that go to a class of hatcher; the part of each need that is met, and the least of them.
 * Rows: no egg twice and none too old; a set takes the freshest; room in trays, hatchers and under roofs.
 * What can be counted is not named: stays are intervals, and intervals that fit in sum can be laid out
 * (Dilworth; interval graphs are perfect), so a row for each day on which a stay can begin says it all, and
 * rows for sets of several trays that in parts would fill what no whole set can (Chvátal-Gomory cuts:
 * Wolsey, Integer Programming, 2nd ed., 2020, ch. 8).
 */

import { largest, smallest } from '../text/lists.ts';
import type { Effort } from './effort.ts';
import { addColumn, addRow, type LinearProgram, type Term } from './linear-program.ts';
import type { EggPool, Problem, Start } from './problem.ts';
import { type Room, roomFor } from './room.ts';
import { openSolver, type Solver, SolverFailure } from './solver.ts';

/**
 * A need may be met beyond the whole. Bounded at 1, any corner that just meets it is as good, and rounding
 * lost up to 8 % of `small`; with this much more it loses 0 to 2 % (bench:plan).
 */
export const FULLEST = 1.06;
/** Prices that decide ties alone: other goals than the least, and chicks lost to storage. */
const PRICE = { others: 0.01, loss: 0.000_05 };
const ALMOST = 1e-6;
const NONE = Number.NEGATIVE_INFINITY;
const ANY = Number.POSITIVE_INFINITY;

export interface SetColumn {
  day: number;
  setter: number;
  trays: number;
  column: number;
}
export interface StayColumn {
  day: number;
  hatcher: number;
  column: number;
}
export interface EggColumn {
  pool: number;
  layer: number;
  day: number;
  column: number;
  /** Chicks lost to storage of one egg. */
  loss: number;
}

/** What new sets are to give a claim. */
export interface Need {
  /** Birds to be counted on from them; 0 where nothing is asked. */
  birds: number;
  /** Birds that the claim takes of them: later claims do without these. */
  takes: number;
}

/** A solution: what is met of the least need, and of each. */
export interface SetsInParts {
  least: number;
  values: Float64Array;
  /** Sets, in parts. */
  sets: number;
  /** Part of each need that is met, by `wanted`. */
  shares: readonly number[];
}

export class Program {
  readonly #built: BuiltProgram;
  readonly #solver: Solver;
  readonly #effort: Effort;
  #needs: readonly Need[] = [];

  private constructor(
    readonly p: Problem,
    readonly calendar: number,
    built: BuiltProgram,
    solver: Solver,
    effort: Effort,
  ) {
    this.#built = built;
    this.#solver = solver;
    this.#effort = effort;
  }

  /**
   * The program of a calendar on some of its days, beside other sets. Close it when done.
   *
   * @param eggs as they come in the seasons that decide, or on the average
   */
  static async open(
    p: Problem,
    calendar: number,
    days: readonly number[],
    others: readonly Start[],
    effort: Effort,
    eggs: 'sure' | 'mean' = 'sure',
  ): Promise<Program> {
    await effort.turn();
    const built = build(p, calendar, days, roomFor(p, calendar, others), eggs);
    return new Program(p, calendar, built, await openSolver(built.program), effort);
  }

  close(): void {
    this.#solver.close();
  }

  get sets(): readonly SetColumn[] {
    return this.#built.sets;
  }
  get stays(): readonly StayColumn[] {
    return this.#built.stays;
  }
  get eggs(): readonly EggColumn[] {
    return this.#built.eggs;
  }

  /** Days on which a set may begin. */
  get days(): number[] {
    return [...this.#built.dayRows.keys()];
  }

  /** Says what new sets are to give each claim, by `wanted`. */
  ask(needs: readonly Need[]): void {
    this.#needs = needs;
    for (const { wanted, row, share, taken } of this.#built.birds) {
      const need = needs[wanted]!.birds;
      this.#solver.setCoefficient(row, share, -need);
      this.#solver.setRow(row, need > 0 ? 0 : NONE, ANY);
      this.#solver.setColumn(share, need > 0 ? NONE : FULLEST, FULLEST);
      for (const one of taken)
        this.#solver.setCoefficient(one.row, one.share, -needs[one.rival]!.takes);
    }
  }

  /** The fullest plan with at most so many sets; null where even none breaks a row. */
  fullest(most: number): SetsInParts | null {
    this.#solver.setRow(this.#built.most, NONE, most);
    this.#solver.setColumn(this.#built.least, NONE, FULLEST);
    return this.#solve([
      [this.#built.least, -1],
      ...this.#built.birds.map(({ share }): Term => [share, -PRICE.others]),
      ...this.#losses(PRICE.loss),
    ]);
  }

  /** The fewest sets, in parts, that meet so much of every need; null where none do. */
  fewest(part = 1): SetsInParts | null {
    this.#solver.setRow(this.#built.most, NONE, ANY);
    this.#solver.setColumn(this.#built.least, part, FULLEST);
    const sets = each(this.sets.map(({ column }) => column));
    return this.#solve([...sets, ...this.#losses(PRICE.loss)]);
  }

  /** The fewest eggs that meet the needs as far as they can be met. */
  fewestEggs(part: number): SetsInParts | null {
    this.#solver.setRow(this.#built.most, NONE, ANY);
    this.#solver.setColumn(this.#built.least, part - ALMOST, FULLEST);
    const eggs = each(
      this.eggs.map(({ column }) => column),
      EGG,
    );
    return this.#solve([...eggs, ...this.#losses(1)]);
  }

  /** Holds the number of sets of a day. */
  hold(day: number, least: number, most: number): void {
    this.#solver.setRow(this.#built.dayRows.get(day)!, least, most);
  }

  setColumn(column: number, lower: number, upper: number): void {
    this.#solver.setColumn(column, lower, upper);
  }

  /** What a column may be at most, as built. */
  upperOf(column: number): number {
    return this.#solver.program.columns[column]!.upper;
  }

  /** Sets of a day in a solution, in parts. */
  setsOn(day: number, values: ArrayLike<number>): number {
    return this.sets.reduce((sum, one) => (one.day === day ? sum + values[one.column]! : sum), 0);
  }

  #losses(price: number): Term[] {
    return this.eggs.flatMap(({ column, loss }): Term[] =>
      loss > 0 ? [[column, price * loss]] : [],
    );
  }

  #solve(aim: readonly Term[]): SetsInParts | null {
    this.#effort.spend();
    const found = this.#solver.minimise(aim);
    if (!('values' in found)) return null;
    const { values } = found;
    const { columns } = this.#solver.program;
    const broken = columns.find(
      ({ lower, upper }, i) => !(values[i]! >= lower - 1e-4 && values[i]! <= upper + 1e-4),
    );
    if (broken) throw new SolverFailure(`the solver's answer breaks a bound of ${broken.name}`);
    const shares = this.p.wanted.map(() => FULLEST);
    for (const { wanted, share } of this.#built.birds)
      if (this.#needs[wanted]!.birds > 0) shares[wanted] = values[share]!;
    return {
      least: smallest([FULLEST, ...shares]),
      values,
      sets: this.sets.reduce((sum, { column }) => sum + values[column]!, 0),
      shares,
    };
  }
}

/** An egg beside chicks lost to storage, where eggs are to be few. */
const EGG = 0.1;

/** Eggs laid from one day to another, both included. */
function laidIn(lots: readonly number[], maxAge: number, from: number, to: number): number {
  let sum = 0;
  const last = Math.min(lots.length - 1, to + maxAge);
  for (let at = Math.max(0, from + maxAge); at <= last; at++) sum += lots[at]!;
  return sum;
}

const each = (columns: readonly number[], value = 1): Term[] =>
  columns.map((column) => [column, value]);

/** Ages that storage leaves alike, freshest first. */
function bandsOf({ kept, maxAge }: EggPool): { from: number; to: number; kept: number }[] {
  const bands: { from: number; to: number; kept: number }[] = [];
  for (let age = 0; age <= maxAge; age++) {
    const last = bands.at(-1);
    if (last && Math.abs(last.kept - kept[age]!) < 1e-9) last.to = age;
    else bands.push({ from: age, to: age, kept: kept[age]! });
  }
  return bands;
}

type BuiltProgram = ReturnType<typeof build>;

function build(p: Problem, c: number, days: readonly number[], room: Room, come: 'sure' | 'mean') {
  const program: LinearProgram = { columns: [], rows: [] };
  const calendar = p.calendars[c]!;
  const { tray, warm, transfer, lastOpening } = calendar;
  const eggs: (EggColumn & { kept: number })[] = [];
  const sets: SetColumn[] = [];
  const stays: StayColumn[] = [];
  const dayRows = new Map<number, number>();

  // Eggs by day of setting, and the most that are there for a set.
  const there = new Map<number, number>(days.map((day) => [day, 0]));
  const ofDay = new Map<number, { most: number; columns: number[] }[]>(
    days.map((day) => [day, []]),
  );
  for (const s of calendar.pools) {
    const pool = p.pools[s]!;
    const { maxAge } = pool;
    const bands = bandsOf(pool);
    pool.layers.forEach(({ lots }, layer) => {
      const known: { day: number; gone: number; columns: number[]; most: number }[] = [];
      for (const day of days) {
        if (day > pool.to || pool.closed.has(day)) continue;
        const most = laidIn(lots, maxAge, day - maxAge, day);
        if (most <= 0) continue;
        const name = `${pool.pen.name} (${layer}) on ${day}`;
        // What is hoped for is taken at the age in the middle.
        const used =
          layer === 0 ? bands : [{ from: 0, to: maxAge, kept: pool.kept[Math.floor(maxAge / 2)]! }];
        const columns = used.flatMap((band) => {
          const laid = laidIn(lots, maxAge, day - band.to, day - band.from);
          if (laid <= 0) return [];
          const column = addColumn(program, `eggs of ${name}, ${band.from} days`, laid);
          const loss = (1 - band.kept) * pool.chicks;
          eggs.push({ pool: s, layer, day, column, loss, kept: band.kept });
          return [column];
        });
        const minus = each(columns, -1);
        const gone = addColumn(program, `gone of ${name}`, laidIn(lots, maxAge, NONE, day));
        const old = laidIn(lots, maxAge, NONE, day - maxAge - 1);
        addRow(program, `old ${name}`, old, [[gone, 1], ...minus], ANY);
        const last = known.at(-1);
        if (last) addRow(program, `once ${name}`, 0, [[gone, 1], [last.gone, -1], ...minus], ANY);
        // Earlier sets have taken the freshest: of what was young on both days, at least their part.
        const young = known
          .filter((one) => day - one.day <= maxAge)
          .flatMap((one) => {
            const both = laidIn(lots, maxAge, day - maxAge, one.day);
            return each(one.columns, both / one.most);
          });
        if (young.length > 0)
          addRow(program, `freshest ${name}`, NONE, [...each(columns), ...young], most);
        known.push({ day, gone, columns, most });
        there.set(day, there.get(day)! + most);
        ofDay.get(day)!.push({ most, columns });
      }
    });
  }

  const roomiest = p.hatchers.length === 0 ? ANY : largest(warm);
  for (const day of days) {
    const own = ofDay.get(day)!;
    const have = there.get(day)!;
    if (have <= 0) continue;
    const most = Math.min(roomiest, have);
    const starts: number[] = [];
    const rooms: Term[] = [];
    p.setters.forEach(({ places, names }, setter) => {
      const holds = tray[setter]!;
      if (holds === 0) return;
      const trays = Math.min(places, Math.ceil(most / holds - ALMOST));
      for (let t = 1; t <= trays; t++) {
        const column = addColumn(program, `sets on ${day} of ${t} in ${names[0]}`, names.length);
        sets.push({ day, setter, trays: t, column });
        starts.push(column);
        rooms.push([column, -Math.min(t * holds, most)]);
      }
    });
    const eggTerms = own.flatMap(({ columns }) => each(columns));
    if (starts.length === 0) {
      addRow(program, `no set on ${day}`, NONE, eggTerms, 0);
      continue;
    }
    const setTerms = each(starts);
    addRow(program, `room on ${day}`, NONE, [...eggTerms, ...rooms], 0);
    if (own.length > 1)
      for (const one of own)
        addRow(
          program,
          `none without a set on ${day}`,
          NONE,
          [...each(one.columns), ...each(starts, -one.most)],
          0,
        );
    dayRows.set(day, addRow(program, `sets on ${day}`, 0, setTerms, ANY));
    if (p.hatchers.length === 0) continue;
    const warmer: Term[] = [];
    const goes: Term[] = [];
    p.hatchers.forEach(({ names, shared }, hatcher) => {
      const eggsThere = room.warm(hatcher, day);
      if (eggsThere <= 0) return;
      const column = addColumn(program, `sets of ${day} to ${names[0]}`, shared ? 1 : names.length);
      stays.push({ day, hatcher, column });
      goes.push([column, -1]);
      warmer.push([column, -Math.min(eggsThere, have)]);
    });
    addRow(program, `sets of ${day} go`, 0, [...setTerms, ...goes], 0);
    addRow(program, `warm on ${day}`, NONE, [...eggTerms, ...warmer], 0);
  }

  p.setters.forEach(({ names, places }, s) => {
    const own = sets.filter(({ setter }) => setter === s);
    for (const day of turning(
      own.map((one) => one.day),
      room.trayDays(s),
    )) {
      const inside = own.filter((one) => one.day <= day && day < one.day + transfer);
      if (inside.length === 0) continue;
      const free = room.trays(s, day);
      addRow(
        program,
        `trays of ${names[0]} on ${day}`,
        NONE,
        inside.map((one): Term => [one.column, one.trays]),
        free,
      );
      // Whole sets of so many trays: in part of a setter lies none. The bound rises by it (bench:plan, small: 9
      // sets proved, not 8); rounding finds less (small: 10 sets, not 9), so it does without.
      if (come === 'sure') continue;
      for (let trays = 2; trays <= largest(inside.map((one) => one.trays)); trays++) {
        const whole = Math.min(names.length * Math.floor(places / trays), Math.floor(free / trays));
        if (whole * trays < free)
          addRow(
            program,
            `sets of ${trays} trays of ${names[0]} on ${day}`,
            NONE,
            inside.map((one): Term => [one.column, Math.floor(one.trays / trays)]),
            whole,
          );
      }
    }
  });
  p.hatchers.forEach(({ names, cleanDays }, h) => {
    const own = stays.filter(({ hatcher }) => hatcher === h);
    const starts = own.map((one) => one.day + transfer);
    for (const day of turning(starts, room.hatcherDays(h))) {
      const inside = own.filter(
        (one) => one.day + transfer <= day && day < one.day + lastOpening + cleanDays,
      );
      if (inside.length === 0) continue;
      const there = each(inside.map(({ column }) => column));
      addRow(program, `${names[0]} on ${day}`, NONE, there, room.hatchers(h, day));
    }
  });
  for (const { name, free, asked } of room.roofs) {
    const terms = eggs.flatMap(({ pool, day, column }): Term[] => {
      const each = asked(pool, day);
      return each > 0 ? [[column, each]] : [];
    });
    // Only looks that all eggs together could exceed.
    const all = terms.reduce(
      (sum, [column, each]) => sum + each * program.columns[column]!.upper,
      0,
    );
    if (all > free) addRow(program, name, NONE, terms, free);
  }

  const all = each(sets.map(({ column }) => column));
  const most = addRow(program, 'sets in all', NONE, all, ANY);
  const least = addColumn(program, 'least', FULLEST, { lower: NONE });
  const own = wantedOf(p, c);
  const shareOf = new Map(
    own.map((wanted) => [
      wanted,
      addColumn(program, `share of ${wanted}`, FULLEST, { lower: NONE }),
    ]),
  );
  const worth = (wanted: number, isMeant: (day: number) => boolean): Term[] => {
    const { rates, from, to } = p.wanted[wanted]!;
    return eggs.flatMap(({ pool, layer, day, column, kept }): Term[] => {
      if (day < from || day > to || !isMeant(day) || rates[pool] === 0) return [];
      return [[column, rates[pool]! * p.pools[pool]!.layers[layer]![come] * kept]];
    });
  };
  const birds = own.map((wanted) => {
    const { rivals, from, to } = p.wanted[wanted]!;
    const taken = rivals.map(({ rival, share, others }) => {
      // A rival takes first what this claim cannot use.
      const column = addColumn(program, `taken of ${wanted} by ${rival}`, ANY);
      const elsewhere = worth(rival, (day) => day < from || day > to);
      const opposite = others
        ? worth(rival, (day) => day >= from && day <= to).map(
            ([at, rate]): Term => [at, rate * HALF],
          )
        : [];
      const row = addRow(
        program,
        `taken of ${wanted} by ${rival}`,
        0,
        [[column, 1], ...elsewhere, ...opposite],
        ANY,
      );
      return { rival, row, share: shareOf.get(rival)!, term: [column, -share] as Term };
    });
    const share = shareOf.get(wanted)!;
    const row = addRow(
      program,
      `birds of ${wanted}`,
      0,
      [...worth(wanted, () => true), ...taken.map(({ term }) => term)],
      ANY,
    );
    addRow(program, `least of ${wanted}`, 0, [...each([share]), ...each([least], -1)], ANY);
    return { wanted, row, share, taken };
  });
  return { program, sets, stays, eggs, dayRows, most, least, birds };
}

/** The claims of a calendar, as places in `wanted`. */
export function wantedOf(p: Problem, calendar: number): number[] {
  return p.wanted.flatMap((one, wanted) => (one.calendar === calendar ? [wanted] : []));
}

/** About as many birds are of one sex as of the other. */
const HALF = 0.5;

/** Days on which a stay can begin, or on which what is taken already changes. */
function turning(starts: Iterable<number>, changes: readonly number[]): number[] {
  return [...new Set([...starts, ...changes])].sort((a, b) => a - b);
}
