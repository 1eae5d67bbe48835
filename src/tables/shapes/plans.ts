import * as z from 'zod';
import { count, day, dayOrMinute, list, open, shape, share, text } from './common.ts';

const goal = open({
  line: text,
  want: text,
  at: text.nullable(),
  by: day,
  count,
  confidence: share,
  expected: z.number().min(0).nullable(),
  probability: share.nullable(),
  met: z.boolean().nullable(),
});

export const plan = shape('plan', {
  status: z.enum(['optimal', 'bounded', 'infeasible']),
  gap: z.number().min(0).nullable(),
  sets: list(
    open({
      set: text,
      on: day,
      setter: text,
      trays: list(z.int().min(1)),
      shares: z.record(text, count),
      eggs: count,
      oldest_days: count,
      transfer: day,
      hatch: dayOrMinute,
      hatcher: text.nullable(),
      expected: z.number().min(0),
    }),
  ),
  goals: list(goal),
  limits: list(
    open({
      limit: text,
      change: text,
      amount: z.int().min(1),
      least: z.boolean(),
      gain: z.number().nullable(),
      goals: list(count),
    }),
  ),
  instead: list(open({ goal: count, count, most: z.boolean() })),
});

export const forecast = shape('forecast', {
  draws: z.int().min(1),
  seed: z.int(),
  goals: list(
    goal.extend({
      median: z.number().min(0).nullable(),
      low: z.number().min(0).nullable(),
      high: z.number().min(0).nullable(),
      error: z.number().min(0),
      last_set: day.nullable(),
    }),
  ),
  weeks: list(
    open({
      from: day,
      sets: list(text),
      median: count,
      low: count,
      high: count,
    }),
  ),
});

const interval = { mean: z.number(), low: z.number(), high: z.number() };
const tally = open({ x: count, n: count, sets: count });

export const rates = shape('rates', {
  rates: list(
    open({
      line: text,
      species: text,
      pen: text.nullable(),
      stage: text,
      of: text,
      prior: open({ mean: share, strength: z.number().min(0), source: text, from: text }),
      this_season: tally,
      other_pens: tally,
      earlier: tally,
      ...interval,
      spread: open({ prior: share, ...interval }),
    }),
  ),
  storage: list(open({ line: text, times_table: open(interval), source: text })),
});

export const eggsFor = shape('eggs-for', {
  line: text,
  want: text,
  count,
  confidence: share,
  eggs: count,
  probability: share,
  even_odds: open({ eggs: count, probability: share }),
  chain: list(open({ stage: text, mean: share, low: share, high: share, source: text })),
});
