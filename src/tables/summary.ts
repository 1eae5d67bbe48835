/** The season in counts: the eggs' way, sets, pens, birds, goals. */

import type { BirdSummary } from '../facts/birds/summary.ts';
import { wantedWords } from '../facts/goals.ts';
import type { Finding } from '../judge/diagnose/finding.ts';
import type { PenLine, SetLine, Step, Summary } from '../judge/summary/way.ts';
import { there } from '../text/lists.ts';
import { birdsAnswer, birdTable, livingTable, lossSay, soFar } from './birds.ts';
import { type AnyTable, type Column, jsonRows, tableOf } from './columns.ts';
import { placeWords } from './diagnosis.ts';
import { count, counted, percent } from './numbers.ts';
import type { Say, ScreenPart } from './terminal.ts';
import { causes, heads, partNames, rates, wayStages, whereabouts } from './words.ts';

export const wayColumns: readonly Column<Step>[] = [
  { ...heads.stage, of: (step) => wayStages[step.stage] },
  heads.count,
  heads.of,
  { ...heads.rated, of: (step) => step },
  { key: 'base', heading: 'divided by', kind: 'text', doc: 'what the count is divided by' },
];

type Fate = { readonly name: string; readonly eggs: number; readonly of: number };

const fateColumns: readonly Column<Fate>[] = [
  {
    key: 'fate',
    heading: 'what became of them',
    kind: 'text',
    doc: 'what became of the eggs',
    of: (fate) => fate.name,
  },
  { ...heads.eggs, doc: 'eggs' },
  {
    key: 'part',
    heading: 'of eggs set',
    kind: 'percent',
    doc: 'part of the eggs set',
    of: (fate) => (fate.of === 0 ? null : fate.eggs / fate.of),
  },
];

export const setColumns: readonly Column<SetLine>[] = [
  heads.set,
  heads.setOn,
  { ...heads.species, show: 'data' },
  { ...heads.pens, priority: 1 },
  { ...heads.state, doc: 'in setter, in hatcher or finished', priority: 4 },
  heads.eggs,
  { key: 'clear', kind: 'count', doc: 'eggs taken out as clear', priority: 2 },
  { key: 'quit', kind: 'count', doc: 'eggs that began and died', priority: 2 },
  {
    key: 'lost',
    heading: 'cracked, rotten',
    kind: 'count',
    doc: 'eggs taken out cracked or rotten',
    priority: 3,
  },
  { key: 'moved', kind: 'count', doc: 'live eggs moved to the hatcher', priority: 2 },
  heads.chicks,
  { key: 'weak', kind: 'count', doc: 'chicks culled or not sound', show: 'data' },
  {
    key: 'unaccounted',
    heading: 'not accounted for',
    kind: 'number',
    doc: 'eggs that no record accounts for',
    show: 'data',
  },
  {
    key: 'hatch_of_set',
    heading: rates.hatch_of_set.name,
    kind: 'rate',
    doc: 'live chicks of eggs set',
  },
];

export const penColumns: readonly Column<PenLine>[] = [
  heads.pen,
  heads.line,
  heads.eggs,
  {
    key: 'fertile_apparent',
    heading: rates.fertile_apparent.name,
    kind: 'rate',
    doc: 'eggs not clear, of eggs set and looked at',
  },
  {
    key: 'hatch_of_set',
    heading: rates.hatch_of_set.name,
    kind: 'rate',
    doc: 'live chicks of eggs set',
  },
  {
    key: 'hatch_of_fertile',
    heading: rates.hatch_of_fertile.name,
    kind: 'rate',
    doc: 'live chicks of fertile eggs',
  },
];

type Unaccounted = Summary['unaccounted'][number];

export const unaccountedColumns: readonly Column<Unaccounted>[] = [
  heads.set,
  heads.pen,
  {
    key: 'eggs',
    heading: 'eggs missing',
    kind: 'number',
    digits: 0,
    doc: 'eggs missing; below zero where too many are written',
  },
  { key: 'at', heading: 'found at', kind: 'name', doc: 'transfer or hatch' },
];

type GoalLine = Summary['goals'][number] & { readonly soFar: string };

export const goalColumns: readonly Column<GoalLine>[] = [
  { ...heads.line, show: 'data' },
  { key: 'want', kind: 'name', doc: 'chicks, pullets, cockerels or birds', show: 'data' },
  { key: 'at', kind: 'name', doc: 'age wanted', show: 'data' },
  { ...heads.count, doc: 'birds wanted', show: 'data' },
  { ...heads.wanted, show: 'people', of: (goal) => wantedWords(goal, goal.line) },
  heads.by,
  {
    key: 'confidence',
    heading: 'chance asked for',
    kind: 'percent',
    doc: 'chance asked for',
    show: 'data',
  },
  { key: 'so_far', kind: 'text', doc: 'birds there are', of: (goal) => goal.soFar },
];

export const wayTable = ({ way }: Summary): AnyTable => tableOf(wayColumns, way);
export const setTable = ({ sets }: Summary): AnyTable => tableOf(setColumns, sets);
export const penTable = ({ pens }: Summary): AnyTable => tableOf(penColumns, pens);
export const unaccountedTable = ({ unaccounted }: Summary): AnyTable =>
  tableOf(unaccountedColumns, unaccounted);

/** The goals with what there is of each so far. */
export function goalTable({ goals }: Summary, birds: BirdSummary): AnyTable {
  return tableOf(
    goalColumns,
    goals.map((goal) => ({ ...goal, soFar: soFar(goal, birds) })),
  );
}

/** Where the eggs of finished shares went: the rows add up to the last. */
export function fateTable({ whereabouts: where }: Summary): AnyTable {
  return tableOf<Fate>(
    fateColumns,
    whereabouts.map(([key, name]) => ({ name, eggs: where[key], of: where.set })),
    { name: 'set, in finished shares', eggs: where.set, of: where.set },
  );
}

/** What there is of eggs, chicks, birds and goals, in one to three sentences. */
export function summaryAnswer(summary: Summary, birds: BirdSummary): string[] {
  const { whereabouts: where, sets } = summary;
  const set = sets.reduce((sum, one) => sum + one.eggs, 0);
  if (set === 0) return ['No eggs have been set yet.'];
  const finished =
    where.set === 0
      ? 'none of them finished'
      : `of ${count(where.set)} eggs in finished shares came ${counted(where.sound, 'sound chick')} (${percent(where.sound / where.set)})`;
  return there([
    `${counted(set, 'egg')} set in ${counted(sets.length, 'set')}; ${finished}.`,
    ...(birds.placed === 0 ? [] : [birdsAnswer(birds)]),
    summary.goals.length > 0 &&
      `${summary.goals.length === 1 ? 'Goal' : 'Goals'}: ${summary.goals
        .map(
          (goal) => `${wantedWords(goal, goal.line)} by ${goal.by}, so far ${soFar(goal, birds)}`,
        )
        .join('; ')}.`,
  ]);
}

/** What is out of the usual: findings to act on or watch, groups that lost many, eggs that no record accounts for. */
export function summaryExceptions(
  summary: Summary,
  findings: readonly Finding[],
  birds: BirdSummary,
): Say[] {
  const raised = findings.flatMap((one): Say[] =>
    one.verdict === 'act' || one.verdict === 'watch'
      ? [
          {
            meaning: one.verdict,
            text: `${causes[one.cause].is}${placeWords(one.where)}. See traybook diagnose.`,
          },
        ]
      : [],
  );
  const missing = summary.unaccounted.map(
    ({ set, pen, eggs, at }): Say => ({
      meaning: 'watch',
      text: `${set} ${pen}: ${counted(Math.abs(eggs), 'egg')} ${eggs > 0 ? 'not accounted for' : 'too many'} at ${at}.`,
    }),
  );
  const order = { act: 0, watch: 1, settled: 2 };
  const rank = (say: Say): number => (typeof say === 'string' ? 3 : order[say.meaning]);
  return [...raised, ...birds.beyond_usual.map(lossSay), ...missing].sort(
    (a, b) => rank(a) - rank(b),
  );
}

/** The tables of the summary, for every medium. */
export function summaryParts(summary: Summary, birds: BirdSummary): ScreenPart[] {
  return there([
    { heading: "The eggs' way", table: wayTable(summary) },
    summary.whereabouts.set !== 0 && {
      heading: 'Where the eggs of finished shares went',
      table: fateTable(summary),
    },
    ...(summary.sets.length === 0 ? [] : [{ heading: partNames.sets, table: setTable(summary) }]),
    { heading: partNames.pens, table: penTable(summary) },
    ...(birds.groups.length === 0
      ? []
      : [
          { heading: 'Birds: placed = living + lost + left', table: birdTable(birds) },
          {
            heading: 'Living birds by group over time',
            table: livingTable(birds),
            show: 'full' as const,
          },
        ]),
    ...(summary.goals.length === 0 ? [] : [{ heading: 'Goals', table: goalTable(summary, birds) }]),
  ]);
}

export const summaryCaution =
  'Percentages are of pooled counts; in brackets the 95 % interval, which allows for the scatter of sets: few eggs, wide interval. Fertility from candling is apparent: an early death looks clear.';

/** The season's counts for other programs. */
export function summaryJson(summary: Summary, birds: BirdSummary): object {
  return {
    way: summary.way,
    whereabouts: summary.whereabouts,
    sets: jsonRows(setTable(summary)),
    pens: jsonRows(penTable(summary)),
    unaccounted: jsonRows(unaccountedTable(summary)),
    goals: jsonRows(goalTable(summary, birds)),
  };
}
