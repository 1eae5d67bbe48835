/** The `schedule` check vectors, through the model builder that the season's plan uses. */
import * as z from 'zod';
import type { Expression } from '../../src/planner/linear-program.ts';
import { addRow, merged, type Term } from '../../src/planner/linear-program.ts';
import { openSolver } from '../../src/planner/solver.ts';
import {
  eggTerms,
  type HatchingProblem,
  hatchingModel,
  lastOpening,
  setTerms,
} from '../support/exact-model.ts';
import { brokenRules, startsOf } from '../support/exact-schedule.ts';
import { type Adapter, adapter } from './shared.ts';

const list = z.array(z.number());
const shape = z.object({
  objective: z.enum([
    'max_chicks',
    'min_sets',
    'min_loss',
    'min_last_takeoff',
    'min_eggs',
    'max_value',
  ]),
  D: z.number(),
  tray_positions: z.number(),
  tray_eggs: z.number(),
  setter_days: z.number(),
  hatcher_days: z.number(),
  clean_days: z.number(),
  hatcher_eggs: z.number(),
  max_age: z.number(),
  set_days: list,
  supply: z.array(list),
  last_takeoff_day: z.number(),
  hatch_per_mille: list,
  loss_per_mille: list.optional(),
  target_eggs: z.number().optional(),
  target_chicks_per_mille: list.optional(),
  chick_value: z.number().default(0),
  set_cost: z.number().default(0),
  egg_cost: z.number().default(0),
});
type ScheduleInputs = z.infer<typeof shape>;

/** The vectors count days from 1, the model from 0. */
function problemOf(inputs: ScheduleInputs): HatchingProblem {
  const byLine = <T>(value: T): T[] => inputs.supply.map(() => value);
  return {
    days: inputs.D,
    sources: inputs.supply.map((supply, kind) => ({
      name: `line ${kind + 1}`,
      kind,
      supply,
      maxAge: inputs.max_age,
    })),
    kinds: inputs.supply.map((_, i) => ({ name: `line ${i + 1}`, timing: 0, liveShare: 1 })),
    timings: [
      {
        setDays: inputs.set_days.map((d) => d - 1),
        transfer: inputs.setter_days,
        hatch: inputs.setter_days + inputs.hatcher_days,
        lastOpening: inputs.setter_days + inputs.hatcher_days,
      },
    ],
    setters: [
      {
        name: 'the setter',
        count: 1,
        trays: inputs.tray_positions,
        holds: byLine(inputs.tray_eggs),
        taken: [],
      },
    ],
    hatchers: [
      {
        name: 'the hatcher',
        count: 1,
        holds: byLine(inputs.hatcher_eggs),
        cleanDays: inputs.clean_days,
        oneSet: true,
        taken: [],
      },
    ],
    oneSetADay: true,
    lastOpeningBy: inputs.last_takeoff_day - 1,
  };
}

async function schedule(
  inputs: ScheduleInputs,
): Promise<{ feasible: boolean; optimum: number | null }> {
  const problem = problemOf(inputs);
  const model = hatchingModel(problem);
  const eggs = eggTerms(model, () => 1);
  const chicks = (line?: number) =>
    eggTerms(model, ({ source, age }) =>
      line === undefined || source === line ? inputs.hatch_per_mille[age]! : 0,
    );
  const scaled = (terms: Expression, by: number) => terms.map(([c, v]): Term => [c, v * by]);
  let constant = 0;
  let sign = 1;
  let objective: Expression;
  switch (inputs.objective) {
    case 'max_chicks':
      sign = -1;
      objective = scaled(chicks(), -1);
      break;
    case 'min_sets':
      objective = setTerms(model);
      break;
    case 'min_loss':
      objective = eggTerms(model, ({ age }) => inputs.loss_per_mille![age]!);
      break;
    case 'min_last_takeoff': {
      const last = lastOpening(model);
      objective = last.terms;
      constant = last.constant + 1;
      break;
    }
    case 'min_eggs':
      objective = eggs;
      break;
    case 'max_value':
      sign = -1;
      objective = merged([
        ...scaled(chicks(), -inputs.chick_value),
        ...scaled(setTerms(model), 1000 * inputs.set_cost),
        ...scaled(eggs, 1000 * inputs.egg_cost),
      ]);
      break;
  }
  const exactly = inputs.objective === 'min_loss';
  if (inputs.target_eggs !== undefined)
    addRow(
      model.program,
      'eggs wanted',
      inputs.target_eggs,
      eggs,
      exactly ? inputs.target_eggs : Number.POSITIVE_INFINITY,
    );
  inputs.target_chicks_per_mille?.forEach((target, line) => {
    addRow(
      model.program,
      `chicks of line ${line + 1}`,
      target,
      chicks(line),
      Number.POSITIVE_INFINITY,
    );
  });
  const solver = await openSolver(model.program);
  try {
    const outcome = solver.minimise(objective);
    if (!('values' in outcome)) return { feasible: false, optimum: null };
    const broken = brokenRules(problem, startsOf(model, outcome.values));
    if (broken.length > 0) throw new Error(`the schedule breaks its rules: ${broken.join('; ')}`);
    return { feasible: true, optimum: Math.round(sign * outcome.objective + constant) };
  } finally {
    solver.close();
  }
}

export const adapters: Record<string, Adapter> = { schedule: adapter(shape, schedule) };
