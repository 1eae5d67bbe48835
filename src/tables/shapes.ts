/**
 * JSON Schema of every document `--json` prints, by the name in its `format`. What a table prints is
 * told by the table's own columns. The build writes them to `dist/schemas/`; the program itself does
 * not load this file.
 */
import type { AnyColumn, Schema } from './columns.ts';
import { itemColumns } from './costs.ts';
import { dateColumns } from './dates.ts';
import { shownColumns, whereShape, worthColumns } from './diagnosis.ts';
import { chainColumns } from './eggs-for.ts';
import { layColumns } from './flock.ts';
import { forecastColumns, weekColumns } from './forecast.ts';
import { metric } from './numbers.ts';
import { plannedColumns, resultColumns } from './plan.ts';
import { rateColumns } from './rates.ts';
import { reviewColumns } from './review.ts';
import * as s from './schema.ts';
import {
  penColumns,
  setColumns,
  goalColumns as summaryGoals,
  unaccountedColumns,
} from './summary.ts';

import { trialColumns } from './trial.ts';

const { text, count, number, whole, share, day, moment, maybe, list, object, oneOf, map } = s;

const entry: Schema = { type: 'string', pattern: '^[0-9a-hjkmnp-tv-z]{10}$' };

/** Properties of one shape, by name. */
const all = (schema: Schema, ...names: readonly string[]): Record<string, Schema> =>
  Object.fromEntries(names.map((name) => [name, schema]));
const lists = (properties: Readonly<Record<string, Schema>>): Schema => list(object(properties));

const rows = (columns: readonly AnyColumn[]): Schema => list(s.rowSchema(columns));
const maybeText = maybe(text);
const maybeNumber = maybe(number);
const onCourse = object({ met: count, of: count });

const documents: Readonly<Record<string, Readonly<Record<string, Schema>>>> = {
  today: {
    date: day,
    forecast: maybe(object({ on: day, ...all(onCourse, 'goal', 'order') })),
    tasks: lists({
      ...all(text, 'id', 'kind', 'title'),
      ...all(maybeText, 'set', 'pen', 'place', 'why'),
      state: oneOf('overdue', 'due', 'coming'),
      due: moment,
      until: maybe(moment),
      count: maybe(count),
    }),
  },
  check: {
    problems: lists({
      ...all(text, 'code', 'file', 'message'),
      ...all(maybeText, 'hint', 'set', 'pen'),
      ...all(maybe(whole), 'line', 'column'),
      severity: oneOf('error', 'warning'),
    }),
  },
  occupancy: {
    ...all(day, 'from', 'to'),
    places: lists({
      ...all(text, 'kind', 'name'),
      tray: maybe(whole),
      spans: lists({
        ...all(day, 'from', 'to'),
        set: maybeText,
        state: oneOf('planned', 'actual'),
        cleaning_from: maybe(day),
        eggs: maybe(count),
      }),
    }),
    conflicts: lists({ ...all(text, 'code', 'place', 'message'), set: maybeText, day }),
  },
  calendar: { dates: rows(dateColumns) },
  summary: {
    season: text,
    way: lists({
      stage: text,
      ...all(maybe(count), 'count', 'of'),
      ...all(maybe(share), 'share', 'low', 'high'),
    }),
    sets: rows(setColumns),
    pens: rows(penColumns),
    unaccounted: rows(unaccountedColumns),
    goals: rows(summaryGoals),
  },
  review: {
    groups: lists({
      ...all(text, 'by', 'key'),
      counts: map(maybe(count)),
      rates: map(
        object({ ...all(count, 'x', 'n'), ...all(maybe(share), 'estimate', 'low', 'high') }),
      ),
    }),
    tests: lists({
      ...all(text, 'rate', 'by', 'method'),
      ...all(maybeNumber, 'statistic', 'df'),
      ...all(maybe(share), 'p', 'p_adjusted'),
    }),
    weight_loss: rows(reviewColumns.losses),
    hatch_times: object({ sets: rows(reviewColumns.times) }),
  },
  diagnose: {
    findings: lists({
      ...all(maybeText, 'since', 'source', 'would_show', 'unknown'),
      ...all(maybeNumber, 'estimate', 'low', 'high', 'expected'),
      cause: text,
      verdict: oneOf('fine', 'watch', 'act', 'unknown'),
      probability: number,
      where: whereShape,
      evidence: lists({ says: text, log_odds: number }),
      rivals: lists({ cause: text, odds: number }),
      cost: object(all(maybeNumber, 'chicks', 'to_come', 'money')),
      next: list(text),
    }),
  },
  replay: { shown: rows(shownColumns) },
  worth: { worth: rows(worthColumns) },
  trial: {
    trial: text,
    cannot: maybeText,
    sets: rows(trialColumns),
    shows: lists({ ...all(count, 'sets', 'eggs'), points: number }),
  },
  flock: {
    date: day,
    groups: lists({
      ...all(count, 'placed', 'lost', 'left'),
      group: text,
      lines: list(text),
      living: whole,
      places: lists({ place: text, birds: whole }),
    }),
    pens: rows(layColumns),
  },
  brooders: {
    date: day,
    brooders: lists({ name: text, birds: whole }),
    weeks: lists({ from: day }),
  },
  costs: {
    currency: maybeText,
    items: rows(itemColumns(metric)),
    income: rows(itemColumns(metric)),
    ...all(maybeNumber, 'per_chick', 'per_pullet', 'per_kg'),
    missing: list(text),
  },
  breeders: {
    pens: lists({
      ...all(text, 'pen', 'line'),
      ...all(count, 'males', 'hens'),
      ...all(maybe(day), 'first_fertile', 'pure_from'),
      effective_size: maybe(count),
      delta_f: maybe(share),
    }),
    lines: lists({ line: text, ...all(count, 'pens', 'males', 'hens') }),
    birds: lists({
      ...all(text, 'bird', 'line'),
      ...all(maybeText, 'sire', 'dam'),
      sex: oneOf('female', 'male'),
      here: s.yes,
      inbreeding: share,
      index: maybeNumber,
      reliability: maybe(share),
    }),
    mate: object({
      line: text,
      ...all(number, 'delta_f', 'delta_f_high'),
      gap: count,
      curve: lists({ ...all(number, 'delta_f', 'index', 'gap'), proven: s.yes }),
      plan: object({ pens: lists({ pen: text, ...all(list(text), 'males', 'hens') }) }),
    }),
  },
  rotation: {
    line: text,
    years: lists({
      season: whole,
      males_from: map(text),
      ...all(share, 'inbreeding', 'inbreeding_without'),
    }),
  },
  plan: {
    status: oneOf('optimal', 'bounded', 'infeasible', 'interrupted'),
    gap: maybe(count),
    sets: rows(plannedColumns([])),
    ...all(rows(resultColumns), 'goals', 'orders'),
    limits: lists({
      ...all(text, 'limit', 'change'),
      amount: whole,
      least: s.yes,
      gain: maybeNumber,
      frees: list(count),
    }),
    instead: lists({ ...all(count, 'claim', 'count'), most: s.yes }),
    ...all(list(text), 'tried', 'untried'),
  },
  forecast: {
    ...all(whole, 'draws', 'seed'),
    ...all(rows(forecastColumns), 'goals', 'orders'),
    weeks: rows(weekColumns),
  },
  rates: {
    rates: rows(rateColumns),
    storage: lists({
      ...all(text, 'line', 'source'),
      times_table: object(all(number, 'mean', 'low', 'high')),
    }),
  },
  'eggs-for': {
    ...all(text, 'line', 'want'),
    ...all(count, 'count', 'eggs'),
    ...all(share, 'confidence', 'probability'),
    even_odds: object({ eggs: count, probability: share }),
    chain: rows(chainColumns),
  },
  list: { record: text, rows: lists({ entry, recorded: s.instant, on: moment }) },
  history: {
    set: text,
    events: lists({
      ...all(text, 'record', 'by', 'note'),
      entry,
      recorded: s.instant,
      on: moment,
      values: map(s.anything),
      amends: maybe(entry),
      void: s.yes,
    }),
  },
  add: { record: text, entries: list(entry), set: maybeText },
  amend: { entry, amends: maybe(entry) },
  void: { entry, amends: maybe(entry) },
  import: {
    record: text,
    ...all(count, 'written', 'new', 'known', 'doubtful', 'faulty'),
    rows: lists({ row: whole, verdict: text, why: maybeText, cells: map(text) }),
  },
  export: { folder: text, tables: lists({ name: text, rows: count }) },
  new: { folder: text, season: text },
};

/** Keys that are there only when they were asked for. */
const optional: Readonly<Record<string, readonly string[]>> = { breeders: ['mate'] };

/** Every schema, by name. */
export function jsonSchemas(): Map<string, Schema> {
  return new Map(
    Object.entries(documents).map(([name, properties]) => [
      name,
      s.documentSchema(name, properties, optional[name]),
    ]),
  );
}
