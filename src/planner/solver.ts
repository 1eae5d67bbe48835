/**
 * The solver: HiGHS (Huangfu & Hall, "Parallelizing the dual revised simplex method", Math. Prog.
 * Comp. 10, 2018, 119–142) in WebAssembly, loaded only when a program is to be solved. Limits are a
 * gap and a number of nodes, which give the same answer on every machine; never a time.
 */
import type { Highs } from 'highs';
import { addRow, type Expression, type LinearProgram, violations } from './linear-program.ts';

export interface SolveLimits {
  /** Stop when solution and bound differ by no more than this share. */
  relativeGap?: number;
  /** Stop when they differ by no more than this. */
  absoluteGap?: number;
  /** Stop after this many nodes of the search tree. */
  nodes?: number;
}

export interface SolverFound {
  /** `optimal` within the gap asked for; `bounded` when the limit of nodes ended the search. */
  status: 'optimal' | 'bounded';
  objective: number;
  bound: number;
  values: Float64Array;
}

/** `none`: a limit ended the search before any solution was found. */
export type Outcome = { status: 'infeasible' | 'none' } | SolverFound;

export interface Solver {
  readonly program: LinearProgram;
  /** Minimises; starts from `start` if given. Throws SolverFailure if there is no trustworthy answer. */
  minimise(objective: Expression, limits?: SolveLimits, start?: Float64Array): Outcome;
  /** Adds a row to the program and to the solver's copy. Returns its index. */
  add(name: string, lower: number, terms: Expression, upper: number): number;
  setRow(row: number, lower: number, upper: number): void;
  setColumn(column: number, lower: number, upper: number): void;
  setCoefficient(row: number, column: number, value: number): void;
  close(): void;
}

/** The solver gave no answer, or one that breaks the program it was given. */
export class SolverFailure extends Error {
  override name = 'SolverFailure';
}

/** Searches within the search for a first solution: whole programs start from one, and these took half of the time. */
const noSearchWithin = {
  mip_heuristic_run_rins: false,
  mip_heuristic_run_rens: false,
  mip_heuristic_run_root_reduced_cost: false,
  mip_heuristic_run_feasibility_jump: false,
};

/**
 * Ways of the simplex method: the primal one finds a first solution of the plan's programs in half the
 * steps, the dual one goes on from there when bounds change.
 */
const primalSimplex = 4;
const dualSimplex = 1;

let loaded: Promise<Highs> | undefined;

async function load(): Promise<Highs> {
  loaded ??= import('highs').then(({ default: loader }) => loader());
  try {
    return await loaded;
  } catch (error) {
    throw new SolverFailure(`it could not be loaded: ${(error as Error).message}`);
  }
}

function created(highs: Highs, data: Parameters<Highs['createModel']>[0]) {
  try {
    return highs.createModel(data);
  } catch (error) {
    throw new SolverFailure(`it does not take the program: ${(error as Error).message}`);
  }
}

/**
 * Hands a program to the solver. Close it when done: its memory is not collected by itself.
 *
 * @throws SolverFailure if it cannot be loaded or does not take the program
 */
export async function openSolver(program: LinearProgram): Promise<Solver> {
  const highs = await load();
  const columns = program.columns;
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const { terms } of program.rows) {
    for (const [column, coefficient] of terms) {
      indices.push(column);
      values.push(coefficient);
    }
    starts.push(indices.length);
  }
  const bound = (x: number) =>
    x === Number.POSITIVE_INFINITY
      ? highs.infinity
      : x === Number.NEGATIVE_INFINITY
        ? -highs.infinity
        : x;
  const model = created(highs, {
    numCols: columns.length,
    numRows: program.rows.length,
    colCost: columns.map(() => 0),
    colLower: columns.map((c) => bound(c.lower)),
    colUpper: columns.map((c) => bound(c.upper)),
    rowLower: program.rows.map((r) => bound(r.lower)),
    rowUpper: program.rows.map((r) => bound(r.upper)),
    matrix: {
      format: 'csr',
      numRows: program.rows.length,
      numCols: columns.length,
      starts,
      indices,
      values,
    },
    integrality: columns.map((c) => (c.whole ? 1 : 0)),
  });
  model.options.set({ output_flag: false, random_seed: 0, ...noSearchWithin });
  const status = highs.constants.modelStatus;
  const isInParts = columns.every((column) => !column.whole);
  let isFirst = true;

  return {
    program,
    minimise(objective, limits = {}, start) {
      const costs = new Float64Array(columns.length);
      for (const [column, coefficient] of objective) costs[column]! += coefficient;
      model.changeColsCost({ kind: 'range', from: 0, to: columns.length - 1 }, costs);
      model.options.set({
        mip_rel_gap: limits.relativeGap ?? 0,
        mip_abs_gap: limits.absoluteGap ?? 1e-6,
        mip_max_nodes: limits.nodes ?? 2_147_483_647,
        simplex_strategy: isInParts && isFirst ? primalSimplex : dualSimplex,
      });
      isFirst = false;
      try {
        if (start) model.setSolution({ colValue: start });
        model.run();
        // From where the last program ended the simplex method now and then finds no way: from anew it does.
        if (model.getModelStatus() === status.unknown) {
          model.clearSolver();
          model.options.set({ simplex_strategy: primalSimplex });
          model.run();
        }
      } catch (error) {
        throw new SolverFailure(`the solver stopped: ${(error as Error).message}`);
      }
      const code = model.getModelStatus();
      if (code === status.infeasible || code === status.unboundedOrInfeasible)
        return { status: 'infeasible' };
      const usable: number[] = [
        status.optimal,
        status.iterationLimit,
        status.solutionLimit,
        status.interrupted,
      ];
      if (!usable.includes(code))
        throw new SolverFailure(`the solver ended without an answer (status ${code})`);
      const raw = model.getSolution().colValue;
      const values = raw.map((v, i) => (columns[i]!.whole ? Math.round(v) : v));
      if (values.length !== columns.length)
        throw new SolverFailure(`the solver ended without a solution (status ${code})`);
      const broken = violations(program, values);
      if (broken.length > 0) {
        // A limit reached before any solution was found leaves zeros behind.
        if (code !== status.optimal && values.every((value) => value === 0))
          return { status: 'none' };
        throw new SolverFailure(
          `the solver's answer (status ${code}) breaks the program: ${broken.slice(0, 3).join('; ')}`,
        );
      }
      let value = 0;
      for (const [column, coefficient] of objective) value += coefficient * values[column]!;
      const lowerBound = isInParts ? value : Number(model.info.get('mip_dual_bound'));
      return {
        status: code === status.optimal ? 'optimal' : 'bounded',
        objective: value,
        bound: Number.isFinite(lowerBound) ? Math.min(value, lowerBound) : Number.NEGATIVE_INFINITY,
        values,
      };
    },
    add(name, lower, terms, upper) {
      const row = addRow(program, name, lower, terms, upper);
      const own = program.rows[row]!.terms;
      model.addRow(bound(lower), bound(upper), {
        indices: own.map(([column]) => column),
        values: own.map(([, coefficient]) => coefficient),
      });
      return row;
    },
    setRow(row, lower, upper) {
      Object.assign(program.rows[row]!, { lower, upper });
      model.changeRowBounds(row, bound(lower), bound(upper));
    },
    setColumn(column, lower, upper) {
      Object.assign(program.columns[column]!, { lower, upper });
      model.changeColBounds(column, bound(lower), bound(upper));
    },
    setCoefficient(row, column, value) {
      const others = program.rows[row]!.terms.filter(([c]) => c !== column);
      program.rows[row]!.terms = value === 0 ? others : [...others, [column, value]];
      model.changeCoefficient(row, column, value);
    },
    close: () => model.dispose(),
  };
}
