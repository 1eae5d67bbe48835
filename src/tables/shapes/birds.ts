import * as z from 'zod';
import { count, day, list, open, shape, share, text } from './common.ts';

export const flock = shape('flock', {
  date: day,
  groups: list(
    open({
      group: text,
      lines: list(text),
      placed: count,
      living: z.int(),
      lost: count,
      left: count,
      places: list(open({ place: text, birds: z.int() })),
    }),
  ),
});

export const brooders = shape('brooders', {
  date: day,
  brooders: list(open({ name: text, birds: z.int() })),
  weeks: list(open({ from: day })),
});

const line = open({
  item: text,
  amount: z.number(),
  quantity: z.number().nullable(),
  unit: text.nullable(),
  how: text,
});

export const costs = shape('costs', {
  currency: text,
  items: list(line),
  income: list(line),
  per_chick: z.number().nullable(),
  per_pullet: z.number().nullable(),
  per_kg: z.number().nullable(),
  missing: list(text),
});

export const breeders = shape('breeders', {
  pens: list(
    open({
      pen: text,
      line: text,
      males: count,
      hens: count,
      effective_size: z.number().min(0).nullable(),
      delta_f: share.nullable(),
      first_fertile: day.nullable(),
      pure_from: day.nullable(),
    }),
  ),
  lines: list(open({ line: text, pens: count, males: count, hens: count })),
  birds: list(
    open({
      bird: text,
      line: text,
      sex: z.enum(['female', 'male']),
      here: z.boolean(),
      sire: text.nullable(),
      dam: text.nullable(),
      inbreeding: share,
      index: z.number().nullable(),
      reliability: share.nullable(),
    }),
  ),
  /** Only with `--mate`. */
  mate: open({
    line: text,
    delta_f: z.number(),
    delta_f_high: z.number(),
    gap: z.number().min(0),
    curve: list(
      open({ delta_f: z.number(), index: z.number(), gap: z.number(), proven: z.boolean() }),
    ),
    plan: open({ pens: list(open({ pen: text, males: list(text), hens: list(text) })) }),
  }).optional(),
});
