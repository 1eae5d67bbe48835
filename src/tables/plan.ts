/** The plan: what it comes to, its sets, what it gives each goal and order, and what would free it. */
import { claimWords } from '../facts/claims.ts';
import type { Compared } from '../planner/compare.ts';
import { isAsked } from '../planner/goals-in-reach.ts';
import type { Instead, Limit, WaysOut } from '../planner/limits.ts';
import type { Change, Mended } from '../planner/mend.ts';
import type { ClaimResult, PlanResult, SetToCome } from '../planner/plan.ts';
import type { Day } from '../text/day.ts';
import { largest, smallest } from '../text/lists.ts';
import { chanceColumns, claimColumns, drawsWords } from './claims.ts';
import { type AnyTable, type Column, jsonRows, tableOf } from './columns.ts';
import {
  chance,
  count,
  counted,
  dayMonth,
  fixed,
  percent,
  plural,
  weekdayMonth,
} from './numbers.ts';
import { list, map, count as whole } from './schema.ts';
import type { Say, Screen, ScreenPart } from './terminal.ts';
import { heads, partNames } from './words.ts';

export type PlanView = {
  readonly title: string;
  readonly plan: PlanResult;
  readonly ways: WaysOut;
  readonly draws: number;
  readonly seed: number;
  /** What was done with it: written, or how to. */
  readonly next: string;
  /** What changes, where the plan was mended. */
  readonly mended?: Mended;
};

const sharesText = (shares: Readonly<Record<string, number>>) =>
  Object.entries(shares)
    .map(([pen, eggs]) => `${pen}\u00a0${eggs}`)
    .join(', ');

const sets = (number: number) => counted(number, 'set');

/** The plan as a screen. */
export function planScreen(view: PlanView): Screen {
  const { plan, ways } = view;
  const exceptions: Say[] = [
    ...plan.missing.map(
      (one): Say => ({
        meaning: 'watch',
        text: `${one.set} wants ${counted(one.eggs, 'more egg')} of ${one.pen} than are expected to be there.`,
      }),
    ),
    ...plan.crowding.map(({ message }): Say => ({ meaning: 'watch', text: `${message}.` })),
  ];
  const changes = view.mended?.changes ?? [];
  const parts: Screen['parts'] = [
    { heading: 'Changes', table: tableOf(changeColumns, changes) },
    plan.sets.length > 0 && {
      heading: partNames.sets,
      table: setsTable(plan),
      reasons: plan.sets.some((one) => one.kept) ? ['* a line of your own plan'] : [],
    },
    { heading: partNames.claims, table: claimsTable(asked(plan)) },
  ];
  return {
    title: view.title,
    answer: view.mended ? mendedText(view.mended) : [headline(plan)],
    exceptions,
    parts: [...parts, ...waysParts(plan, ways)],
    notes: [...spareText(plan), drawsWords(plan.claims, view), view.next !== '' && view.next],
  };
}

export const changeColumns: readonly Column<Change>[] = [
  heads.set,
  { key: 'before', heading: 'was', kind: 'text', doc: 'the line as it was; null for a new one' },
  {
    key: 'after',
    heading: 'becomes',
    kind: 'text',
    doc: 'the line as it will be; null where it goes',
  },
  {
    key: 'chicks',
    heading: 'chicks gained',
    kind: 'number',
    digits: 1,
    doc: 'sound chicks expected of it, less what was expected of the line as it was',
  },
  { key: 'why', kind: 'text', doc: 'why' },
];

function mendedText({ plan, changes, superfluous }: Mended): Say[] {
  const extra: Say[] =
    superfluous.length === 0
      ? []
      : [
          {
            meaning: 'watch',
            text: `Nothing needs ${superfluous.join(', ')}: the goals are met without.`,
          },
        ];
  if (plan.status === 'infeasible') return [headline(plan), ...extra];
  if (changes.length === 0)
    return [
      { meaning: 'settled', text: 'The plan stands as it is: nothing has to change.' },
      ...extra,
    ];
  return [`${changedWords(changes)}; the rest stays.`, ...extra];
}

function changedWords(changes: readonly Change[]): string {
  const lines = counted(changes.length, 'line');
  const isOne = changes.length === 1;
  if (changes.every(({ before }) => before === null))
    return `${lines} ${isOne ? 'is' : 'are'} added to the plan`;
  if (changes.every(({ after }) => after === null))
    return `${lines} of the plan ${isOne ? 'goes' : 'go'}`;
  return `${lines} of the plan ${isOne ? 'changes' : 'change'}`;
}

function spareText(plan: PlanResult): string[] {
  const spare = plan.spare.filter((one) => one.eggs > 0);
  if (spare.length === 0) return [];
  return [
    `Spare: ${spare.map((one) => `${one.pen} ${count(one.eggs)}`).join(', ')} hatching eggs expected and not needed.`,
  ];
}

function headline(plan: PlanResult): Say {
  const made = plan.sets.filter((one) => !one.kept).length;
  const kept = plan.sets.length - made;
  const keeps =
    kept === 0
      ? ''
      : ` ${counted(kept, 'line')} of your own plan ${kept === 1 ? 'is' : 'are'} kept.`;
  const loss =
    plan.loss >= 0.05 ? ` Storage takes ${fixed(plan.loss, 1)} chicks of these sets.` : '';
  if (plan.status === 'infeasible') {
    const all = asked(plan);
    const short = all.filter((one) => !one.met);
    const which =
      all.length === 1
        ? 'The goal cannot be met as asked'
        : short.length === all.length
          ? 'No goal can be met as asked'
          : `${counted(short.length, 'goal or order', 'goals and orders')} cannot be met as asked`;
    return {
      meaning: 'act',
      text: `${which}. The nearest plan has ${sets(made)} to add.${keeps}${loss}`,
    };
  }
  if (made === 0)
    return {
      meaning: 'settled',
      text: `The goals are met by what is set${kept === 0 ? '' : ' and planned'} already: nothing has to be added.${keeps}`,
    };
  return `${sets(made)} to add; ${bestText(plan, made)}.${keeps}${loss}`;
}

function bestText({ status, fewest }: PlanResult, made: number): string {
  if (made === 1) return 'without it the goals are not met';
  if (status === 'optimal') return 'best possible: no plan has fewer';
  return fewest === made - 1 ? 'there may be one fewer' : `there may be ${made - fewest} fewer`;
}

const setsTable = ({ sets }: PlanResult): AnyTable => tableOf(plannedColumns(sets), sets);

/** Columns of the sets of a plan: where there is one setter or hatcher, people need not be told. */
export function plannedColumns(all: readonly SetToCome[]): Column<SetToCome>[] {
  const setters = new Set(all.map((one) => one.setter));
  const hatchers = new Set(all.map((one) => one.hatcher));
  return [
    { ...heads.set, show: 'people', of: (one) => `${one.set}${one.kept ? '*' : ''}` },
    { ...heads.set, show: 'data' },
    { ...heads.setOn, kind: 'name', show: 'people', of: (one) => weekdayMonth(one.on) },
    { ...heads.setOn, show: 'data' },
    {
      key: 'trays_text',
      heading: 'trays',
      kind: 'name',
      show: 'people',
      doc: 'trays of the setter',
      of: (one) => `${setters.size > 1 ? `${one.setter} ` : ''}${one.trays.join(',')}`,
    },
    { ...heads.setter, show: 'data' },
    { key: 'trays', kind: 'data', schema: list(whole), doc: 'trays of the setter' },
    {
      key: 'shares_text',
      heading: 'eggs of each pen',
      kind: 'text',
      show: 'people',
      doc: 'eggs of each pen',
      of: (one) => sharesText(one.shares),
    },
    {
      key: 'shares',
      heading: 'eggs of each pen',
      kind: 'data',
      schema: map(whole),
      doc: 'eggs of each pen',
    },
    { ...heads.eggs, show: 'data' },
    {
      key: 'oldest_days',
      heading: 'oldest',
      unit: 'days',
      kind: 'count',
      priority: 2,
      doc: 'age of the oldest egg at setting, days; a set takes the freshest there are',
    },
    {
      key: 'transfer',
      kind: 'day',
      show: 'data',
      doc: 'day of transfer to the hatcher',
    },
    {
      key: 'transfer_text',
      heading: 'transfer',
      kind: 'name',
      show: 'people',
      priority: 1,
      doc: 'day of transfer to the hatcher',
      of: (one) => dayMonth(one.transfer),
    },
    { key: 'hatch', kind: 'day', doc: 'day of hatch', show: 'data' },
    {
      key: 'hatch_text',
      heading: 'hatch',
      kind: 'name',
      show: 'people',
      doc: 'day of hatch',
      of: (one) => dayMonth(one.hatch),
    },
    { ...heads.hatcher, heading: 'into', show: hatchers.size > 1 ? 'always' : 'data' },
    {
      key: 'expected',
      heading: heads.chicks.heading,
      kind: 'number',
      digits: 0,
      doc: 'sound chicks expected',
    },
    { key: 'kept', heading: 'own', kind: 'yes', show: 'data', doc: 'a line of the keeper' },
  ];
}

export const resultColumns: readonly Column<ClaimResult>[] = [
  ...claimColumns<ClaimResult>(({ claim }) => claim),
  ...chanceColumns<ClaimResult>((one) => one),
  {
    key: 'met',
    kind: 'yes',
    doc: 'whether the chance is as asked, or as good as when the plan was accepted',
  },
];

const claimsTable = (claims: readonly ClaimResult[]): AnyTable => tableOf(resultColumns, claims);

const asked = ({ claims }: PlanResult): ClaimResult[] =>
  claims.filter(({ claim }) => isAsked(claim));

/** A way out in words. */
export function wayText(plan: PlanResult, { change, least, frees }: Limit): string {
  const short = plan.claims.filter((one) => !one.met).length;
  const goals = frees.map((i) => claimWords(plan.claims[i]!.claim)).join(' and ');
  return `${change}${least ? '' : ' (less may do)'}${frees.length === short ? '' : `, for ${goals}`}`;
}

export function insteadText(plan: PlanResult, { claim, count: number, most }: Instead): string {
  const { claim: wanted } = plan.claims[claim]!;
  return `As it stands, ${most ? '' : 'at least '}${plural(number, `${wanted.line.name} ${wanted.want.slice(0, -1)}`)} could be promised with the ${percent(wanted.confidence)} asked, not ${wanted.count}.`;
}

function waysParts(plan: PlanResult, { limits, instead, tried, untried }: WaysOut): ScreenPart[] {
  if (plan.status !== 'infeasible' || tried.length + instead.length === 0) return [];
  return [
    {
      heading: 'Ways out',
      lines: limits.map((one) => ({ name: one.limit, text: wayText(plan, one) })),
      reasons: [
        ...(limits.length === 0
          ? [
              `No single change that was tried frees it${untried.length === 0 ? ': more than one thing binds' : ''}.`,
            ]
          : ['Each of these alone would free it: a plan was made with it.']),
        ...instead.map((one) => insteadText(plan, one)),
        tried.length > 0 && `Tried: ${tried.join(', ')}.`,
        untried.length > 0 && `Not tried to the end, for the work it takes: ${untried.join(', ')}.`,
      ],
    },
  ];
}

/** Ways out alone, where the plan itself has been shown. */
export function waysScreen(plan: PlanResult, ways: WaysOut): Screen {
  const [part] = waysParts(plan, ways);
  return { title: '', answer: [], parts: part ? [{ ...part, heading: null, lines: [] }] : [] };
}

/** The plans side by side, in one sentence. */
export function compareAnswer(all: readonly Compared[]): string {
  const met = all.filter(({ plan }) => plan.status !== 'infeasible');
  if (met.length === 0) return 'None of these plans meets every goal.';
  if (all.every(({ plan }) => plan.lines.length === 0 && plan.sets.length > 0))
    return 'All are the plan that stands: nothing has to be added to it. Plans made anew, side by side: traybook plan --compare --replan';
  const sizes = met.map(({ plan }) => plan.sets.length);
  return `${met.length === all.length ? `All ${all.length}` : `${met.length} of ${all.length}`} plans meet the goals, with ${counted(smallest(sizes), 'set')}${largest(sizes) > smallest(sizes) ? ` to ${largest(sizes)}` : ''}.`;
}

export function compareTable(all: readonly Compared[]): AnyTable {
  const eggs = (plan: PlanResult) => plan.sets.reduce((sum, one) => sum + one.eggs, 0);
  const last = (plan: PlanResult) =>
    plan.sets
      .map((one) => one.hatch)
      .reduce<Day | null>((a, b) => (a === null || b > a ? b : a), null);
  return tableOf<Compared>(
    [
      {
        key: 'rhythm',
        heading: 'plan',
        kind: 'text',
        doc: 'what it aims at',
        of: (one) => one.name,
      },
      { key: 'sets', kind: 'count', doc: 'sets to come', of: ({ plan }) => plan.sets.length },
      { ...heads.eggs, of: ({ plan }) => eggs(plan) },
      {
        key: 'oldest_days',
        heading: 'oldest egg',
        unit: 'days',
        kind: 'count',
        doc: 'age of the oldest egg at setting, days',
        of: ({ plan }) => plan.sets.reduce((most, one) => Math.max(most, one.oldest_days), 0),
      },
      {
        key: 'storage_loss',
        heading: 'lost to storage',
        unit: 'chicks',
        kind: 'number',
        doc: 'sound chicks that storage takes',
        of: ({ plan }) => plan.loss,
      },
      {
        key: 'last_hatch',
        kind: 'day',
        doc: 'day of the last hatch',
        of: ({ plan }) => last(plan),
      },
      {
        key: 'chances',
        kind: 'text',
        doc: 'chance of each goal and order',
        of: ({ plan }) =>
          asked(plan)
            .map((one) => chance(one.probability))
            .join(', ') + (plan.status === 'infeasible' ? ' short' : ''),
      },
    ],
    all,
  );
}

/** The plan for other programs. */
export function planJson(view: Omit<PlanView, 'next' | 'title'>): object {
  const { mended } = view;
  const { plan, ways } = view;
  const ofKind = (kind: 'goal' | 'order') =>
    jsonRows(claimsTable(plan.claims.filter(({ claim }) => claim.kind === kind)));
  return {
    status: plan.interrupted ? 'interrupted' : plan.status,
    gap: plan.gap,
    sets: jsonRows(setsTable(plan)),
    goals: ofKind('goal'),
    orders: ofKind('order'),
    // Places in goals, then orders.
    limits: ways.limits.map(({ limit, change, amount: n, least, gain, frees }) => ({
      limit,
      change,
      amount: n,
      least,
      gain,
      frees,
    })),
    instead: ways.instead,
    tried: ways.tried,
    untried: ways.untried,
    fewest: plan.fewest,
    storage_loss: plan.loss,
    spare: plan.spare,
    missing: plan.missing,
    brooders: plan.crowding.map(({ set, message }) => ({ set, message })),
    draws: view.draws,
    seed: view.seed,
    ...(mended
      ? {
          changes: jsonRows(tableOf(changeColumns, mended.changes)),
          superfluous: mended.superfluous,
        }
      : {}),
  };
}
