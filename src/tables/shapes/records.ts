import * as z from 'zod';
import { count, dayOrMinute, instant, list, open, shape, text } from './common.ts';

const entry = z.string().regex(/^[0-9a-hjkmnp-tv-z]{10}$/);

export const listed = shape('list', {
  record: text,
  rows: list(open({ entry, recorded: instant, on: dayOrMinute })),
});

export const history = shape('history', {
  set: text,
  events: list(
    open({
      record: text,
      entry,
      recorded: instant,
      on: dayOrMinute,
      values: z.record(text, z.unknown()),
      by: text,
      note: text,
      amends: entry.nullable(),
      void: z.boolean(),
    }),
  ),
});

export const added = shape('add', { record: text, entries: list(entry), set: text.nullable() });
export const amended = shape('amend', { entry, amends: entry.nullable() });
export const voided = shape('void', { entry, amends: entry.nullable() });

export const imported = shape('import', {
  record: text,
  written: count,
  new: count,
  known: count,
  doubtful: count,
  faulty: count,
  rows: list(
    open({ row: z.int().min(1), verdict: text, why: text.nullable(), cells: z.record(text, text) }),
  ),
});

export const exported = shape('export', {
  folder: text,
  tables: list(open({ name: text, rows: count })),
});

export const calendar = shape('calendar', {
  dates: list(
    open({
      id: text,
      kind: text,
      due: dayOrMinute,
      until: dayOrMinute.nullable(),
      set: text.nullable(),
      place: text.nullable(),
      title: text,
    }),
  ),
});

export const made = shape('new', { folder: text, season: text });
export const rotation = shape('rotation', {
  line: text,
  years: list(
    open({
      season: z.int(),
      males_from: z.record(text, text),
      inbreeding: z.number().min(0).max(1),
      inbreeding_without: z.number().min(0).max(1),
    }),
  ),
});
