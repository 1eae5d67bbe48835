import * as z from 'zod';
import { count, countedShare, day, list, open, rate, shape, share, text } from './common.ts';

export const summary = shape('summary', {
  season: text,
  way: list(countedShare.extend({ stage: text })),
  sets: list(
    open({
      set: text,
      on: day,
      species: text,
      pens: list(text),
      state: text,
      eggs: count,
      hatched: count.nullable(),
      unaccounted: count,
      hatch_of_set: countedShare,
    }),
  ),
  pens: list(
    open({
      pen: text,
      line: text,
      eggs: count,
      fertile_apparent: countedShare,
      hatch_of_set: countedShare,
      hatch_of_fertile: countedShare,
    }),
  ),
  unaccounted: list(open({ set: text, pen: text, eggs: z.int(), at: text })),
  goals: list(
    open({
      line: text,
      want: text,
      at: text.nullable(),
      by: day,
      count,
      confidence: share,
    }),
  ),
});

const rates = z.partialRecord(
  z.enum([
    'settable',
    'fertile_apparent',
    'fertile',
    'early',
    'middle',
    'late',
    'pipped',
    'rotten',
    'hatch_of_set',
    'hatch_of_fertile',
    'weak',
    'dead',
  ]),
  rate,
);

export const review = shape('review', {
  groups: list(open({ by: text, key: text, counts: z.record(text, count.nullable()), rates })),
  tests: list(
    open({
      rate: text,
      by: text,
      method: text,
      statistic: z.number().nullable(),
      df: z.number().nullable(),
      p: share.nullable(),
      p_adjusted: share.nullable(),
    }),
  ),
});

export const diagnose = shape('diagnose', {
  findings: list(
    open({
      cause: text,
      verdict: z.enum(['fine', 'watch', 'act', 'unknown']),
      where: open({
        pen: text.nullable(),
        set: text.nullable(),
        tray: z.union([text, z.int()]).nullable(),
        from: text.nullable(),
        to: text.nullable(),
      }),
      estimate: z.number().nullable(),
      low: z.number().nullable(),
      high: z.number().nullable(),
      expected: z.number().nullable(),
      source: text.nullable(),
      evidence: list(open({ says: text })),
      rivals: list(z.unknown()),
      next: list(text),
    }),
  ),
});
