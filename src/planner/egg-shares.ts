/** How many eggs of which pen and age go into each set, once the sets are fixed. */

import { dived, withBounds } from './dive.ts';
import { eggTerms } from './hatching-model.ts';
import { brokenRules, type Start, startsOf } from './hatching-schedule.ts';
import { amountOf, type Expression, type LinearProgram } from './linear-program.ts';
import type { Need } from './needs.ts';
import type { SeasonProblem } from './season-problem.ts';
import {
  BIRD_IN_SETS,
  type GoalModel,
  goalModel,
  holdTo,
  onlyOn,
  type Search,
} from './set-search.ts';
import { type Found, openSolver, type SolveLimits, type Solver, SolverFailure } from './solver.ts';
import { wholeEggs } from './whole-eggs.ts';

export interface Shares {
  starts: Start[];
  /** Birds missing of each need. */
  missing: number[];
  /** Sound chicks expected to be lost to storage. */
  loss: number;
}

/** Beside chicks lost, an egg saved counts little: only between plans alike in all else. */
const EGG_IN_CHICKS = 0.002;
const limits: SolveLimits = { relativeGap: 0, absoluteGap: 0.05, nodes: 200, seconds: 5 };
/** Parts of a tray below this are rounding. */
const NO_TRAY = 1e-6;

/**
 * The eggs of sets that are fixed: least shortfall, then least loss to storage, then fewest eggs. In
 * parts of eggs first, with the trays as they were found with the sets or, where those fall short,
 * with others; then the few parts are made whole. Only where that breaks a rule is the whole program
 * solved. Close it when done.
 */
export class EggSharing {
  readonly #p: SeasonProblem;
  readonly #goal: GoalModel;
  readonly #lost: Expression;
  readonly #aim: Expression;
  /** Trays of the search by column; null where it has them in parts. */
  readonly #trays: ReadonlyMap<number, number> | null;
  readonly #inParts: Solver;
  #whole: Solver | null = null;

  private constructor(
    p: SeasonProblem,
    goal: GoalModel,
    trays: ReadonlyMap<number, number> | null,
    chickRates: readonly number[],
    inParts: Solver,
  ) {
    this.#p = p;
    this.#goal = goal;
    this.#trays = trays;
    this.#lost = eggTerms(
      goal.model,
      ({ source, age }) => chickRates[source]! * (1 - p.kept(source, age)),
    );
    const few = eggTerms(goal.model, () => EGG_IN_CHICKS);
    this.#aim = [...goal.shortfall, ...this.#lost, ...few];
    this.#inParts = inParts;
  }

  /** The sharing of a search's sets; `needs` says which goals there are. */
  static async open(
    p: SeasonProblem,
    needs: readonly Need[],
    search: Search,
    chickRates: readonly number[],
  ): Promise<EggSharing> {
    const goal = goalModel(p, onlyOn(p.problem, search.chosen), needs, 'whole');
    const { model } = goal;
    holdTo(model, search.chosen);
    const { columns } = model.program;
    const trays = model.trays.map(({ trays: column }): [number, number] => [
      column,
      search.values.get(columns[column]!.name) ?? 0,
    ]);
    const isWhole = trays.every(([, n]) => Math.abs(n - Math.round(n)) <= NO_TRAY);
    const inParts = await openSolver(parts(model.program));
    return new EggSharing(p, goal, isWhole ? new Map(trays) : null, chickRates, inParts);
  }

  close(): void {
    this.#inParts.close();
    this.#whole?.close();
  }

  /** The eggs for the birds of these needs. Throws SolverFailure if the sets break a rule. */
  async share(needs: readonly Need[]): Promise<Shares> {
    const rounded = this.#rounded(needs);
    if (rounded !== null && rounded.broken.length === 0) return rounded;
    const { broken, ...shares } = await this.#exact(needs);
    if (broken.length > 0)
      throw new SolverFailure(`the plan breaks its rules: ${broken.slice(0, 3).join('; ')}`);
    return shares;
  }

  /** From the solution in parts: with the trays found with the sets if they will do, else with others. */
  #rounded(needs: readonly Need[]): (Shares & { broken: string[] }) | null {
    this.#ask(this.#inParts, needs);
    const held = this.#withTrays();
    const isShort = held === null || this.#shortOf(held.values) > EGG_SLACK;
    const other = isShort ? this.#withOtherTrays() : null;
    const found = held && other && held.objective <= other.objective ? held : (other ?? held);
    if (!found) return null;
    return this.#sharesOf(needs, wholeEggs(this.#p, this.#goal.model, needs, found.values));
  }

  #withTrays(): Found | null {
    if (!this.#trays) return null;
    const solver = this.#inParts;
    const found = withBounds(solver, [...this.#trays.keys()], () => {
      for (const [column, trays] of this.#trays!) solver.setColumn(column, 0, Math.round(trays));
      return solver.minimise(this.#aim);
    });
    return 'values' in found ? found : null;
  }

  #withOtherTrays(): Found | null {
    const trays = this.#goal.model.trays.map((tray) => tray.trays);
    const root = this.#inParts.minimise(this.#aim);
    return dived(this.#inParts, trays, this.#aim, root, (parts) =>
      parts.toSorted((a, b) => b.part - a.part),
    );
  }

  async #exact(needs: readonly Need[]): Promise<Shares & { broken: string[] }> {
    this.#whole ??= await openSolver(this.#goal.model.program);
    this.#ask(this.#whole, needs);
    const found = this.#whole.minimise(this.#aim, limits);
    if (!('values' in found)) throw new SolverFailure('the chosen sets were refused');
    return this.#sharesOf(needs, found.values);
  }

  #shortOf(values: ArrayLike<number>): number {
    return amountOf(this.#goal.shortfall, values) / BIRD_IN_SETS;
  }

  #ask(solver: Solver, needs: readonly Need[]): void {
    needs.forEach(({ birds }, i) => {
      solver.setRow(this.#goal.rows[i]!, birds, Number.POSITIVE_INFINITY);
      solver.setColumn(this.#goal.missing[i]!, 0, Math.max(0, birds));
    });
  }

  #sharesOf(needs: readonly Need[], values: ArrayLike<number>): Shares & { broken: string[] } {
    const starts = startsOf(this.#goal.model, values);
    return {
      starts,
      broken: brokenRules(this.#p.problem, starts),
      missing: needs.map((need, i) =>
        Math.max(0, need.birds - amountOf(this.#goal.birds[i]!, values)),
      ),
      loss: amountOf(this.#lost, values),
    };
  }
}

/** Birds missing for want of whole eggs alone, below which other trays are not tried. */
export const EGG_SLACK = 0.5;

/** A copy of a program with nothing whole. */
function parts({ columns, rows }: LinearProgram): LinearProgram {
  return {
    columns: columns.map((column) => ({ ...column, whole: false })),
    rows: rows.map((row) => ({ ...row })),
  };
}
