import { goalWords } from '../facts/goals.ts';
import type { GoalResult } from '../planner/candidate.ts';
import type { WaysOut } from '../planner/limits.ts';
import type { PlanResult } from '../planner/plan.ts';
import { type Day, weekdayOf } from '../text/day.ts';
import { goalJson } from './goal-json.ts';
import { longDay } from './numbers.ts';
import type { Table } from './table.ts';
import { plainTable } from './table.ts';
import { hanging, widthOf, wrapped } from './wrap.ts';

export type PlanView = {
  readonly day: Day;
  readonly place: string;
  readonly season: string;
  readonly plan: PlanResult;
  readonly ways: WaysOut;
  readonly draws: number;
  readonly seed: number;
  /** What was done with it: written, or how to. */
  readonly next: string;
};

type Paper = { readonly width: number; readonly draw: (one: Table) => string };

const weekday = (day: Day) => {
  const name = weekdayOf(day);
  return `${name[0]!.toUpperCase()}${name.slice(1)} ${day.slice(5)}`;
};

const crowded = {
  floor: 'floor (m²)',
  heat: 'places under the heat',
  feeder: 'feeder edge (cm)',
  drinker: 'drinker edge (cm)',
};
const amount = (value: number) => (value < 100 ? value.toFixed(1) : String(Math.round(value)));

const sharesText = (shares: Readonly<Record<string, number>>) =>
  Object.entries(shares)
    .map(([pen, eggs]) => `${pen} ${eggs}`)
    .join(', ');

/** The plan as text: what it comes to, the sets in order, the goals, what is spare, what binds. */
export function planText(view: PlanView, paper: Paper): string {
  const { plan } = view;
  const out = [
    `Plan from ${longDay(view.day)}, ${view.place}, season ${view.season}`,
    '',
    wrapped(headline(plan, view.ways), paper.width),
  ];
  if (plan.sets.length > 0) out.push('', setsText(plan, paper).trimEnd());
  out.push('', paper.draw(goalsTable(plan.goals, plan.status === 'infeasible')).trimEnd());
  for (const one of plan.missing)
    out.push(
      '',
      wrapped(
        `${one.set} wants ${one.eggs} more eggs of ${one.pen} than are expected to be there.`,
        paper.width,
      ),
    );
  for (const one of plan.crowding)
    out.push(
      '',
      hanging(
        'brooders: ',
        `on ${one.day} the chicks to come need ${amount(one.need)} of ${crowded[one.what]}, and there are ${amount(one.have)} in all; see traybook brooders`,
        paper.width,
      ),
    );
  const spare = plan.spare.filter((one) => one.eggs > 0);
  if (spare.length > 0)
    out.push(
      '',
      hanging(
        'spare: ',
        `${spare.map((one) => `${one.pen} ${one.eggs}`).join(', ')} hatching eggs expected and not needed`,
        paper.width,
      ),
    );
  if (plan.status === 'infeasible') out.push('', waysText(plan, view.ways, paper.width));
  out.push(
    '',
    wrapped(
      `Chances from ${view.draws.toLocaleString('en')} simulated seasons (seed ${view.seed}): right to about ${(100 * Math.max(...plan.goals.map((one) => error(one, view.draws)))).toFixed(1)} points.`,
      paper.width,
    ),
    ...(view.next === '' ? [] : [wrapped(view.next, paper.width)]),
  );
  return `${out.join('\n')}\n`;
}

/** Standard error of a chance from so many draws. */
function error(one: GoalResult, draws: number): number {
  return Math.sqrt((one.probability * (1 - one.probability)) / draws);
}

function headline(plan: PlanResult, { limits }: WaysOut): string {
  const made = plan.sets.filter((one) => !one.kept).length;
  const kept = plan.sets.length - made;
  const keeps = kept === 0 ? '' : ` ${kept} of your own plan ${kept === 1 ? 'is' : 'are'} kept.`;
  const loss =
    plan.loss >= 0.05 ? ` Storage takes ${plan.loss.toFixed(1)} chicks of these sets.` : '';
  if (plan.status === 'infeasible') {
    const binding = [...new Set(limits.map((one) => one.limit))].join(', ');
    const which =
      plan.goals.length === 1 ? 'The goal cannot be met' : 'The goals cannot all be met';
    return `${which} as asked${binding === '' ? '' : `; what binds: ${binding}`}. The nearest plan has ${sets(made)} to add.${keeps}${loss}`;
  }
  if (made === 0)
    return kept === 0
      ? 'The goals are met by what is set already: nothing need be added.'
      : `The goals are met by what is set and planned already: nothing need be added.${keeps}`;
  const best =
    plan.status === 'optimal'
      ? made === 1
        ? 'it cannot be done with none'
        : 'no plan has fewer'
      : `there may be one with ${plan.fewest} (within ${Math.round(100 * plan.gap)} %)`;
  return `${sets(made)} to add; ${best}.${keeps}${loss}`;
}

const sets = (count: number) => `${count} ${count === 1 ? 'set' : 'sets'}`;

function setsText(plan: PlanResult, paper: Paper): string {
  const setters = new Set(plan.sets.map((one) => one.setter));
  const hatchers = new Set(plan.sets.map((one) => one.hatcher));
  const marks = plan.sets.some((one) => one.kept);
  const tableOf = (withShares: boolean): Table => ({
    columns: [
      { heading: 'set' },
      { heading: 'on' },
      { heading: 'trays' },
      withShares ? { heading: 'eggs of each pen' } : { heading: 'eggs' },
      { heading: 'oldest (d)', align: 'right' },
      { heading: 'move' },
      { heading: 'hatch' },
      ...(hatchers.size > 1 ? [{ heading: 'into' }] : []),
      { heading: 'chicks', align: 'right' },
    ],
    rows: plan.sets.map((one) => [
      `${one.set}${marks && one.kept ? '*' : ''}`,
      weekday(one.on),
      `${setters.size > 1 ? `${one.setter} ` : ''}${one.trays.join(',')}`,
      withShares ? sharesText(one.shares) : one.eggs,
      one.oldest_days,
      one.transfer.slice(5),
      one.hatch.slice(5),
      ...(hatchers.size > 1 ? [one.hatcher] : []),
      Math.round(one.expected),
    ]),
  });
  const wide = tableOf(true);
  const fits = plainTable(wide)
    .split('\n')
    .every((line) => widthOf(line) <= paper.width);
  const note = marks ? '* your own line of the plan\n' : '';
  if (fits) return paper.draw(wide) + note;
  return [
    paper.draw(tableOf(false)).trimEnd(),
    ...plan.sets.map((one) => hanging(`${one.set}: `, sharesText(one.shares), paper.width)),
    note,
  ].join('\n');
}

function goalsTable(goals: readonly GoalResult[], short: boolean): Table {
  return {
    columns: [
      { heading: 'goal' },
      { heading: 'expected', align: 'right' },
      { heading: 'chance (%)', align: 'right' },
      { heading: 'asked', align: 'right' },
      ...(short ? [{ heading: 'met' }] : []),
    ],
    rows: goals.map((one) => [
      goalWords(one.goal),
      Math.round(one.expected),
      Math.floor(100 * one.probability + 0.05),
      Math.round(100 * one.goal.confidence),
      ...(short ? [one.met ? 'yes' : 'no'] : []),
    ]),
  };
}

function waysText(plan: PlanResult, { limits, instead }: WaysOut, width: number): string {
  const short = plan.goals.filter((one) => !one.met).length;
  const out: string[] = [];
  if (limits.length === 0)
    out.push(
      wrapped(
        'No single change frees it (more hens, a later day, trays, hatcher room, longer storage and days off were tried): more than one thing binds.',
        width,
      ),
    );
  let before: string | null = null;
  for (const one of limits) {
    const goals = one.frees.map((i) => goalWords(plan.goals[i]!.goal)).join(' and ');
    if (goals !== before)
      out.push(
        wrapped(
          one.frees.length === short
            ? 'Each of these alone would free it (from plans made with the change):'
            : `Each of these alone would free the ${goals}:`,
          width,
        ),
      );
    before = goals;
    out.push(
      hanging(`  ${one.limit}: `, `${one.change}${one.least ? '' : ' (less may do)'}`, width),
    );
  }
  for (const one of instead) {
    const { goal } = plan.goals[one.goal]!;
    out.push(
      wrapped(
        `As it stands, ${one.most ? '' : 'at least '}${one.count} ${goal.line.name} ${goal.want} could be had with the ${Math.round(100 * goal.confidence)} % asked, not ${goal.count}.`,
        width,
      ),
    );
  }
  return out.join('\n');
}

/** Several rhythms side by side. */
export type Compared = { readonly name: string; readonly plan: PlanResult };

export function compareTable(all: readonly Compared[]): Table {
  const eggs = (plan: PlanResult) => plan.sets.reduce((sum, one) => sum + one.eggs, 0);
  const last = (plan: PlanResult) =>
    plan.sets
      .map((one) => one.hatch)
      .reduce<Day | null>((a, b) => (a === null || b > a ? b : a), null);
  const oldest = (plan: PlanResult) =>
    plan.sets.reduce((most, one) => Math.max(most, one.oldest_days), 0);
  return {
    columns: [
      { heading: 'rhythm' },
      { heading: 'sets', align: 'right' },
      { heading: 'eggs', align: 'right' },
      { heading: 'oldest (d)', align: 'right' },
      { heading: 'storage takes (chicks)', align: 'right' },
      { heading: 'last hatch' },
      { heading: 'chances (%)', align: 'right' },
    ],
    rows: all.map(({ name, plan }) => [
      name,
      plan.sets.length,
      eggs(plan),
      oldest(plan),
      plan.loss.toFixed(1),
      last(plan),
      plan.goals.map((one) => Math.floor(100 * one.probability + 0.05)).join(', ') +
        (plan.status === 'infeasible' ? ' short' : ''),
    ]),
  };
}

export function planJson(view: Omit<PlanView, 'next'>): object {
  const { plan } = view;
  return {
    status: plan.status,
    gap: plan.gap,
    sets: plan.sets,
    goals: plan.goals.map((one) => ({
      ...goalJson(one.goal),
      expected: one.expected,
      probability: one.probability,
      met: one.met,
    })),
    limits: view.ways.limits.map(({ limit, change, amount, least, gain, frees }) => ({
      limit,
      change,
      amount,
      least,
      gain,
      goals: frees,
    })),
    instead: view.ways.instead,
    fewest: plan.fewest,
    storage_loss: plan.loss,
    spare: plan.spare,
    missing: plan.missing,
    brooders: plan.crowding,
    draws: view.draws,
    seed: view.seed,
  };
}
