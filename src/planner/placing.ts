/**
 * Which machine each stay goes to, where machines are planned by their sum: whole sets must lie in one
 * machine, and what is free may be scattered over several.
 */
import { addColumn, addRow, type LinearProgram, type Term } from './linear-program.ts';
import { openSolver, type SolveLimits } from './solver.ts';

/** Days [from, to) in a machine. */
export interface PlacedStay {
  from: number;
  to: number;
}

/** A machine with room for so much at a time, and what lies in it already. */
export interface Machine {
  room: number;
  taken: readonly (PlacedStay & { size: number })[];
}

/** A stay to be placed: the machines that could take it, what it takes of each, and how ill it suits. */
export interface Placing extends PlacedStay {
  choices: readonly { machine: number; size: number; cost: number }[];
}

const limits: SolveLimits = { relativeGap: 0.2, absoluteGap: 0.5, nodes: 200, seconds: 10 };

/**
 * A machine for each stay, so that none is over its room on any day; if there is no such way,
 * one that found none. In
 * order of day each takes the fullest machine that suits it best, which nearly always will do; else
 * a program decides.
 */
export async function placed(
  stays: readonly Placing[],
  machines: readonly Machine[],
): Promise<number[] | { unplaced: number }> {
  const found = inOrder(stays, machines);
  return 'unplaced' in found ? ((await byProgram(stays, machines)) ?? found) : found;
}

export const meets = (a: PlacedStay, b: PlacedStay) => a.from < b.to && b.from < a.to;

/** The most that lies in a machine on any day of a stay. */
function load(taken: Machine['taken'], stay: PlacedStay): number {
  const meeting = taken.filter((one) => meets(one, stay));
  return [stay.from, ...meeting.map(({ from }) => Math.max(from, stay.from))].reduce(
    (most, day) =>
      Math.max(
        most,
        meeting.reduce((sum, o) => sum + (o.from <= day && day < o.to ? o.size : 0), 0),
      ),
    0,
  );
}

function inOrder(
  stays: readonly Placing[],
  machines: readonly Machine[],
): number[] | { unplaced: number } {
  const taken = machines.map((one) => [...one.taken]);
  const found: number[] = new Array(stays.length);
  const order = stays.map((stay, i) => ({ stay, i })).sort((a, b) => a.stay.from - b.stay.from);
  for (const { stay, i } of order) {
    const [best] = stay.choices
      .map((choice) => {
        const { machine, size } = choice;
        const free = machines[machine]!.room - load(taken[machine]!, stay) - size;
        return { ...choice, free };
      })
      .filter(({ free }) => free >= 0)
      .sort((a, b) => a.cost - b.cost || a.free - b.free || a.machine - b.machine);
    if (!best) return { unplaced: i };
    taken[best.machine]!.push({ from: stay.from, to: stay.to, size: best.size });
    found[i] = best.machine;
  }
  return found;
}

async function byProgram(
  stays: readonly Placing[],
  machines: readonly Machine[],
): Promise<number[] | null> {
  const program: LinearProgram = { columns: [], rows: [] };
  const aim: Term[] = [];
  const inMachine = machines.map((): { stay: PlacedStay; column: number; size: number }[] => []);
  const columns = stays.map((stay, i) =>
    stay.choices.map(({ machine, size, cost }) => {
      const column = addColumn(program, `stay ${i} in ${machine}`, 1, { whole: true });
      if (cost > 0) aim.push([column, cost]);
      inMachine[machine]!.push({ stay, column, size });
      return { machine, column };
    }),
  );
  columns.forEach((own, i) => {
    const terms = own.map(({ column }): Term => [column, 1]);
    addRow(program, `stay ${i} in one`, 1, terms, 1);
  });
  machines.forEach(({ room, taken }, m) => {
    const days = new Set([
      ...inMachine[m]!.map(({ stay }) => stay.from),
      ...taken.map((o) => o.from),
    ]);
    for (const day of days) {
      const there = inMachine[m]!.filter(({ stay }) => stay.from <= day && day < stay.to);
      const already = taken.reduce(
        (sum, one) => sum + (one.from <= day && day < one.to ? one.size : 0),
        0,
      );
      if (there.length > 0)
        addRow(
          program,
          `room of ${m} on day ${day}`,
          Number.NEGATIVE_INFINITY,
          there.map(({ column, size }): Term => [column, size]),
          Math.max(0, room - already),
        );
    }
  });
  const solver = await openSolver(program);
  try {
    const found = solver.minimise(aim, limits);
    if (!('values' in found)) return null;
    return columns.map((own) => own.find(({ column }) => found.values[column] === 1)!.machine);
  } finally {
    solver.close();
  }
}
