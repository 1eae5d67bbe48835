import * as z from 'zod';
import { count, day, dayOrMinute, list, open, shape, text } from './common.ts';

export const today = shape('today', {
  date: day,
  tasks: list(
    open({
      id: text,
      kind: text,
      state: z.enum(['overdue', 'due', 'coming']),
      due: dayOrMinute,
      until: dayOrMinute.nullable(),
      set: text.nullable(),
      pen: text.nullable(),
      place: text.nullable(),
      count: count.nullable(),
      title: text,
      why: text.nullable(),
    }),
  ),
});

export const check = shape('check', {
  problems: list(
    open({
      code: text,
      severity: z.enum(['error', 'warning']),
      file: text,
      line: z.int().min(1).nullable(),
      column: z.int().min(1).nullable(),
      message: text,
      hint: text.nullable(),
      set: text.nullable(),
      pen: text.nullable(),
    }),
  ),
});

export const occupancy = shape('occupancy', {
  from: day,
  to: day,
  places: list(
    open({
      kind: text,
      name: text,
      tray: z.int().min(1).nullable(),
      spans: list(
        open({
          set: text.nullable(),
          from: day,
          to: day,
          state: z.enum(['planned', 'actual']),
          /** The first day of cleaning, for a hatcher. */
          cleaning_from: day.nullable(),
          eggs: count.nullable(),
        }),
      ),
    }),
  ),
});
