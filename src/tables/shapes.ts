/**
 * JSON Schema of every document `--json` prints, by the name in its `format`. What a table prints is
 * told by the table's own columns. The build writes them to `dist/schemas/`; the program itself does
 * not load this file.
 */
import type { Schema } from './columns.ts';
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

const { text, count, number, share, day, moment, maybe, list, object, oneOf, map } = s;

const entry: Schema = { type: 'string', pattern: '^[0-9a-hjkmnp-tv-z]{10}$' };

const countedRate = {
  count: maybe(count),
  of: maybe(count),
  share: maybe(share),
  low: maybe(share),
  high: maybe(share),
};

const onCourse = object({ met: count, of: count });

const interval = { mean: number, low: number, high: number };

const reviewRate = object({
  x: count,
  n: count,
  estimate: maybe(share),
  low: maybe(share),
  high: maybe(share),
});

const documents: Readonly<Record<string, Readonly<Record<string, Schema>>>> = {
  today: {
    date: day,
    forecast: maybe(object({ on: day, goal: onCourse, order: onCourse })),
    tasks: list(
      object({
        id: text,
        kind: text,
        state: oneOf('overdue', 'due', 'coming'),
        due: moment,
        until: maybe(moment),
        set: maybe(text),
        pen: maybe(text),
        place: maybe(text),
        count: maybe(count),
        title: text,
        why: maybe(text),
      }),
    ),
  },
  check: {
    problems: list(
      object({
        code: text,
        severity: oneOf('error', 'warning'),
        file: text,
        line: maybe(s.whole),
        column: maybe(s.whole),
        message: text,
        hint: maybe(text),
        set: maybe(text),
        pen: maybe(text),
      }),
    ),
  },
  occupancy: {
    from: day,
    to: day,
    places: list(
      object({
        kind: text,
        name: text,
        tray: maybe(s.whole),
        spans: list(
          object({
            set: maybe(text),
            from: day,
            to: day,
            state: oneOf('planned', 'actual'),
            cleaning_from: maybe(day),
            eggs: maybe(count),
          }),
        ),
      }),
    ),
    conflicts: list(object({ code: text, set: maybe(text), place: text, day, message: text })),
  },
  calendar: {
    dates: list(s.rowSchema(dateColumns)),
  },
  summary: {
    season: text,
    way: list(object({ stage: text, ...countedRate })),
    sets: list(s.rowSchema(setColumns)),
    pens: list(s.rowSchema(penColumns)),
    unaccounted: list(s.rowSchema(unaccountedColumns)),
    goals: list(s.rowSchema(summaryGoals)),
  },
  review: {
    groups: list(
      object({ by: text, key: text, counts: map(maybe(count)), rates: map(reviewRate) }),
    ),
    tests: list(
      object({
        rate: text,
        by: text,
        method: text,
        statistic: maybe(number),
        df: maybe(number),
        p: maybe(share),
        p_adjusted: maybe(share),
      }),
    ),
    weight_loss: list(s.rowSchema(reviewColumns.losses)),
    hatch_times: object({ sets: list(s.rowSchema(reviewColumns.times)) }),
  },
  diagnose: {
    findings: list(
      object({
        cause: text,
        verdict: oneOf('fine', 'watch', 'act', 'unknown'),
        probability: number,
        since: maybe(text),
        where: whereShape,
        estimate: maybe(number),
        low: maybe(number),
        high: maybe(number),
        expected: maybe(number),
        source: maybe(text),
        evidence: list(object({ says: text, log_odds: number })),
        rivals: list(object({ cause: text, odds: number })),
        would_show: maybe(text),
        cost: object({ chicks: maybe(number), to_come: maybe(number), money: maybe(number) }),
        next: list(text),
        unknown: maybe(text),
      }),
    ),
  },
  replay: { shown: list(s.rowSchema(shownColumns)) },
  worth: { worth: list(s.rowSchema(worthColumns)) },
  trial: {
    trial: text,
    cannot: maybe(text),
    sets: list(s.rowSchema(trialColumns)),
    shows: list(object({ sets: count, eggs: count, points: number })),
  },
  flock: {
    date: day,
    groups: list(
      object({
        group: text,
        lines: list(text),
        placed: count,
        living: s.whole,
        lost: count,
        left: count,
        places: list(object({ place: text, birds: s.whole })),
      }),
    ),
    pens: list(s.rowSchema(layColumns)),
  },
  brooders: {
    date: day,
    brooders: list(object({ name: text, birds: s.whole })),
    weeks: list(object({ from: day })),
  },
  costs: {
    currency: maybe(text),
    items: list(s.rowSchema(itemColumns(metric))),
    income: list(s.rowSchema(itemColumns(metric))),
    per_chick: maybe(number),
    per_pullet: maybe(number),
    per_kg: maybe(number),
    missing: list(text),
  },
  breeders: {
    pens: list(
      object({
        pen: text,
        line: text,
        males: count,
        hens: count,
        effective_size: maybe(count),
        delta_f: maybe(share),
        first_fertile: maybe(day),
        pure_from: maybe(day),
      }),
    ),
    lines: list(object({ line: text, pens: count, males: count, hens: count })),
    birds: list(
      object({
        bird: text,
        line: text,
        sex: oneOf('female', 'male'),
        here: s.yes,
        sire: maybe(text),
        dam: maybe(text),
        inbreeding: share,
        index: maybe(number),
        reliability: maybe(share),
      }),
    ),
    mate: object({
      line: text,
      delta_f: number,
      delta_f_high: number,
      gap: count,
      curve: list(object({ delta_f: number, index: number, gap: number, proven: s.yes })),
      plan: object({ pens: list(object({ pen: text, males: list(text), hens: list(text) })) }),
    }),
  },
  rotation: {
    line: text,
    years: list(
      object({
        season: s.whole,
        males_from: map(text),
        inbreeding: share,
        inbreeding_without: share,
      }),
    ),
  },
  plan: {
    status: oneOf('optimal', 'bounded', 'infeasible'),
    gap: maybe(count),
    sets: list(s.rowSchema(plannedColumns([]))),
    goals: list(s.rowSchema(resultColumns)),
    orders: list(s.rowSchema(resultColumns)),
    limits: list(
      object({
        limit: text,
        change: text,
        amount: s.whole,
        least: s.yes,
        gain: maybe(number),
        frees: list(count),
      }),
    ),
    instead: list(object({ claim: count, count, most: s.yes })),
    tried: list(text),
    untried: list(text),
  },
  forecast: {
    draws: s.whole,
    seed: s.whole,
    goals: list(s.rowSchema(forecastColumns)),
    orders: list(s.rowSchema(forecastColumns)),
    weeks: list(s.rowSchema(weekColumns)),
  },
  rates: {
    rates: list(s.rowSchema(rateColumns)),
    storage: list(object({ line: text, times_table: object(interval), source: text })),
  },
  'eggs-for': {
    line: text,
    want: text,
    count,
    confidence: share,
    eggs: count,
    probability: share,
    even_odds: object({ eggs: count, probability: share }),
    chain: list(s.rowSchema(chainColumns)),
  },
  list: { record: text, rows: list(object({ entry, recorded: s.instant, on: moment })) },
  history: {
    set: text,
    events: list(
      object({
        record: text,
        entry,
        recorded: s.instant,
        on: moment,
        values: map(s.anything),
        by: text,
        note: text,
        amends: maybe(entry),
        void: s.yes,
      }),
    ),
  },
  add: { record: text, entries: list(entry), set: maybe(text) },
  amend: { entry, amends: maybe(entry) },
  void: { entry, amends: maybe(entry) },
  import: {
    record: text,
    written: count,
    new: count,
    known: count,
    doubtful: count,
    faulty: count,
    rows: list(object({ row: s.whole, verdict: text, why: maybe(text), cells: map(text) })),
  },
  export: { folder: text, tables: list(object({ name: text, rows: count })) },
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
