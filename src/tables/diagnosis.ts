import { type Finding, isShare, type Where } from '../judge/diagnose/finding.ts';
import type { Shown } from '../judge/diagnose/replay.ts';
import { isPoor } from '../judge/diagnose/steady.ts';
import type { Worth } from '../judge/diagnose/worth.ts';
import { groupedBy } from '../text/lists.ts';
import { type Column, jsonRows, type Schema, tableOf } from './columns.ts';
import {
  between,
  chance,
  counted,
  dayMonth,
  figures,
  fixed,
  money,
  percent,
  percentRange,
  range,
  type Units,
  unitOf,
} from './numbers.ts';
import { maybe, object, text } from './schema.ts';
import type { Say, Screen, ScreenPart } from './terminal.ts';
import { causes, heads } from './words.ts';

/** Where a finding is, in brackets; the day it began is said apart. */
export function placeWords(where: Where): string {
  const words = [
    where.pen !== null && `pen ${where.pen}${where.male === null ? '' : `, male ${where.male}`}`,
    where.set !== null && `set ${where.set}`,
    where.tray !== null
      ? `tray ${where.tray}${where.setter === null ? '' : ` of ${where.setter}`}`
      : where.setter !== null && where.setter,
    where.hatcher !== null && where.hatcher,
  ].filter(Boolean);
  return words.length === 0 ? '' : ` (${words.join(', ')})`;
}

/** What was measured where the cause is, with its interval, and what is usual. */
export function measure(f: Finding, units: Units): string | null {
  if (f.estimate === null) return null;
  const isWarmth = f.unit.startsWith('°C');
  const figure = (value: number): string =>
    isShare(f.unit) ? percent(value) : isWarmth ? figures(value, 'warmth', units) : fixed(value, 1);
  const interval =
    f.low === null || f.high === null
      ? ''
      : ` (95 % interval ${
          isShare(f.unit) ? percentRange(f.low, f.high) : between(figure(f.low), figure(f.high))
        })`;
  const against = f.expected === null ? '' : `; ${figure(f.expected)} was expected`;
  const of = isShare(f.unit)
    ? f.unit.replace('share', '').trim()
    : isWarmth
      ? f.unit.replace('°C', unitOf('warmth', units))
      : f.unit;
  return `${figure(f.estimate)} ${of}${interval}${against}.`;
}

/** A raised finding as one sentence, in chicks where it costs any. */
export function sentence(f: Finding, units: Pick<Units, 'currency'>): string {
  const since =
    f.since === null
      ? ''
      : f.where.to === null
        ? `, from the set of ${dayMonth(f.since)} on`
        : ` on ${dayMonth(f.since)}`;
  const { chicks, to_come: toCome, money: worth } = f.cost;
  const lost =
    chicks !== null && chicks > 0 ? ` It has cost about ${counted(chicks, 'chick')}` : '';
  const isMore = lost !== '' && toCome !== null && toCome > 0;
  // Eggs that are set already may be past saving: nothing is promised of them.
  const more = isMore ? `; the eggs set and planned would lose about ${toCome} more` : '';
  const price =
    lost !== '' && worth !== null && worth > 0
      ? ` (${money(worth, units)}${isMore ? ' in all' : ''})`
      : '';
  return `${causes[f.cause].is}${placeWords(f.where)}${since}.${lost}${more}${price}${lost === '' ? '' : '.'}`;
}

export const isRaised = (f: Finding): boolean => f.verdict === 'act' || f.verdict === 'watch';

type DiagnosisAsked = Finding & { readonly rival: string };

/** The questions with their odds: for those who ask for numbers. */
const numberColumns = (units: Units): readonly Column<DiagnosisAsked>[] => [
  { key: 'question', kind: 'text', doc: 'what was asked', of: (f) => causes[f.cause].fine },
  { key: 'verdict', heading: 'answer', kind: 'name', doc: 'act, watch, fine or unknown' },
  {
    ...heads.chance,
    key: 'chance',
    doc: 'chance that it is so, at even odds of any fault before the records',
    of: (f) => f.probability,
  },
  {
    key: 'measured',
    kind: 'text',
    doc: 'estimate and 95 % interval',
    priority: 1,
    of: (f) => measure(f, units),
  },
  {
    key: 'rivals',
    heading: 'rivals, odds',
    kind: 'text',
    doc: 'other causes, and how likely beside it',
    priority: 2,
    of: (f) => f.rival || null,
  },
];

function raisedPart(f: Finding, index: number, numbers: boolean, units: Units): ScreenPart {
  const size = measure(f, units);
  const source = f.source === null ? '' : `Compared with: ${f.source}.`;
  const signs = f.evidence.map((sign) =>
    numbers ? `${sign.says} (odds times ${times(sign.log_odds)})` : sign.says,
  );
  return {
    heading: `${index + 1}. ${causes[f.cause].is}${placeWords(f.where)}`,
    lines: [
      ...signs.map((text) => ({ name: 'sign', text })),
      size !== null && { name: 'measured', text: size },
      numbers && source !== '' && { name: 'source', text: source },
      { name: 'chance', text: chance(f.probability) },
      f.rivals.length > 0 && {
        name: 'or else',
        text: f.rivals
          .map(
            ({ cause, odds }) =>
              `${causes[cause].is.toLowerCase()} (${numbers ? `odds ${fixed(odds, 2)}` : chance(f.probability * odds)})`,
          )
          .join('; '),
      },
      ...f.next.map((text) => ({ name: 'next', text })),
    ],
  };
}

const times = (log: number): string =>
  log >= 4 ? '10 000 and more' : log >= 1 ? fixed(10 ** log) : fixed(10 ** log, 1);

/** Questions without an answer, those with one reason together. */
function unknownLines(unknown: readonly Finding[]): { name: string; text: string }[] {
  const reasons = groupedBy(unknown, (f) => f.unknown ?? 'the records do not tell');
  return [...reasons].map(([why, all]) => ({
    name: '',
    text: `${all.map((f) => causes[f.cause].fine).join(', ')}: ${why}.`,
  }));
}

/** Causes less likely than this are not worth a word while nothing is raised. */
const NEAR = 0.25;

/** What a quiet season comes nearest to. */
function nearest(findings: readonly Finding[]): string {
  const [first] = [...findings].sort((a, b) => b.probability - a.probability);
  return first === undefined || first.probability < NEAR
    ? ''
    : ` Nearest to it: ${causes[first.cause].is.toLowerCase()} (${chance(first.probability)}).`;
}

/** The diagnosis as a screen: what is wrong in one sentence, then the signs; the rest in a line each. */
export function diagnosisScreen(
  findings: readonly Finding[],
  title: string,
  units: Units,
  numbers: boolean,
): Screen {
  const raised = findings.filter(isRaised);
  const unknown = findings.filter((f) => f.verdict === 'unknown');
  // Where a fault is raised, what it does to a level is told there.
  const poor = raised.length > 0 ? [] : findings.filter(isPoor);
  const fine = findings.filter((f) => f.verdict === 'fine' && !poor.includes(f));
  const answer: Say[] =
    raised.length > 0
      ? raised.map(
          (f): Say => ({
            meaning: f.verdict === 'act' ? 'act' : 'watch',
            text: sentence(f, units),
          }),
        )
      : [
          fine.length + poor.length === 0
            ? 'The records are too thin to answer anything yet.'
            : `Nothing stands out.${nearest(findings)}`,
        ];
  // Before anything is written every question has one answer: the sentence above.
  if (raised.length === 0 && fine.length + poor.length === 0 && !numbers)
    return { title, answer, parts: [] };
  return {
    title,
    answer,
    parts: [
      ...raised.map((f, i) => raisedPart(f, i, numbers, units)),
      { heading: 'Not known', lines: unknownLines(unknown) },
      {
        heading: 'What to write down',
        show: 'full',
        lines: unknown.map((f) => ({ name: causes[f.cause].fine, text: f.next[0] ?? '' })),
      },
      poor.length > 0 && {
        heading: 'Steady, but worse than is usual elsewhere',
        lines: poor.map((f) => ({
          name: causes[f.cause].fine,
          text: measure(f, units) ?? '',
        })),
        reasons: ['By pen and line: traybook review --full.'],
      },
      fine.length > 0 && {
        heading: 'Fine',
        lines: [{ name: '', text: fine.map((f) => causes[f.cause].fine).join(', ') }],
      },
      {
        heading: 'What would have shown',
        show: 'full',
        lines: [...fine, ...poor].map((f) => ({
          name: causes[f.cause].fine,
          text: f.would_show ?? '',
        })),
      },
      numbers && {
        heading: 'Numbers',
        table: tableOf(
          numberColumns(units),
          findings.map((f) => ({
            ...f,
            rival: f.rivals.map((r) => `${r.cause} ${fixed(r.odds, 2)}`).join(', '),
          })),
        ),
      },
    ],
    notes: [
      'It reads counts, not birds. Birds that are ill are for a vet.',
      !numbers && '--numbers shows chances and odds.',
    ],
  };
}

/** The place of a finding, for other programs. */
export const whereShape: Schema = object({
  line: maybe(text),
  pen: maybe(text),
  male: maybe(text),
  set: maybe(text),
  setter: maybe(text),
  hatcher: maybe(text),
  tray: { type: ['string', 'integer', 'null'] },
  from: maybe(text),
  to: maybe(text),
});

export const shownColumns: readonly Column<Shown>[] = [
  {
    key: 'what',
    kind: 'text',
    show: 'people',
    doc: 'the cause and its place',
    of: (one) => `${causes[one.cause].is}${placeWords(one.where)}`,
  },
  { key: 'cause', kind: 'name', show: 'data', doc: 'the cause' },
  { key: 'where', kind: 'data', schema: whereShape, doc: 'its place' },
  { key: 'since', kind: 'day', doc: 'day of the first set hit' },
  { key: 'watched', heading: 'first watched', kind: 'day', doc: 'first day it was watched' },
  { key: 'acted', heading: 'first act', kind: 'day', doc: 'first day it was to be acted on' },
  {
    key: 'saved',
    heading: 'chicks saved',
    kind: 'count',
    doc: 'chicks of sets set after it first showed, had it been mended then',
  },
  { key: 'stands', heading: 'still stands', kind: 'yes', doc: 'whether it is still raised' },
];

/** When each finding first showed, for other programs. */
export const replayJson = (shown: readonly Shown[]): object => ({
  shown: jsonRows(tableOf(shownColumns, shown)),
});

/** When each finding first showed. */
export function replayScreen(shown: readonly Shown[], title: string): Screen {
  return {
    title,
    answer: [
      shown.length === 0
        ? 'On no day of the season did anything stand out.'
        : `${counted(shown.length, 'finding')} came up over the season.`,
    ],
    parts: shown.length === 0 ? [] : [{ heading: null, table: tableOf(shownColumns, shown) }],
    notes: ['Each day is judged with what was written by its evening.'],
  };
}

export const worthColumns: readonly Column<Worth>[] = [
  { key: 'says', heading: 'change', kind: 'text', doc: 'what is changed' },
  { key: 'what', heading: 'code', kind: 'name', show: 'data', doc: 'its code' },
  { ...heads.pen, show: 'data' },
  { key: 'eggs', heading: 'eggs to come', kind: 'count', doc: 'eggs it touches' },
  {
    key: 'planned',
    kind: 'yes',
    show: 'data',
    doc: 'whether those eggs are planned; if not, they are a hundred',
  },
  { key: 'mean', heading: 'chicks more', kind: 'number', doc: 'sound chicks more, mean' },
  { ...heads.range95, kind: 'range', digits: 1, show: 'people', of: (one) => one },
  { ...heads.low, kind: 'number' },
  { ...heads.high, kind: 'number' },
  { key: 'better', heading: 'chance it helps', kind: 'chance', doc: 'chance of any gain' },
];

/** What changes would be worth, for other programs. */
export const worthJson = (worth: readonly Worth[]): object => ({
  worth: jsonRows(tableOf(worthColumns, worth)),
});

/** A change with a lesser chance to help may as well cost chicks. */
const SURELY = 0.9;

/** What changes would be worth, in chicks. */
export function worthScreen(worth: readonly Worth[], title: string): Screen {
  const best = worth[0];
  return {
    title,
    answer: [
      best === undefined || best.mean < 0.5
        ? 'None of the changes asked about is worth a chick.'
        : `${best.better < SURELY ? 'Nothing is surely worth it. The most' : 'Worth most'}: ${best.says}. About ${counted(Math.round(best.mean), 'chick')} more (95 % range ${range(best.low, best.high)}) of ${best.planned ? counted(best.eggs, 'egg') : 'a hundred eggs, as none are planned'}.`,
    ],
    parts: worth.length === 0 ? [] : [{ heading: null, table: tableOf(worthColumns, worth) }],
    notes: best?.planned === false ? [] : ['Eggs to come are those planned.'],
  };
}
