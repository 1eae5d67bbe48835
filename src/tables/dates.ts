/** The dates of the calendar as a list. */
import type { Task } from '../facts/tasks/task.ts';
import { type AnyTable, type Column, jsonRows, tableOf } from './columns.ts';
import { counted, shortDay } from './numbers.ts';
import { moment, text } from './schema.ts';
import type { Screen } from './terminal.ts';
import { heads } from './words.ts';

export const dateColumns: readonly Column<Task>[] = [
  { key: 'id', kind: 'name', show: 'data', doc: 'id of the task' },
  {
    key: 'first',
    heading: 'first day',
    kind: 'name',
    show: 'people',
    doc: 'first day',
    of: ({ due }) => shortDay(due),
  },
  {
    key: 'last',
    heading: 'last day',
    kind: 'name',
    show: 'people',
    doc: 'last day',
    of: ({ until }) => shortDay(until),
  },
  { ...heads.set, show: 'data' },
  {
    key: 'whose',
    kind: 'name',
    show: 'people',
    doc: 'set, group, pen or place',
    // A set, group or pen stands first in the id of its task.
    of: ({ id }) => id.split('/')[0]!,
  },
  { key: 'kind', heading: 'task', kind: 'name', doc: 'kind of task' },
  { key: 'due', kind: 'data', schema: moment, doc: 'day it is due' },
  { key: 'until', kind: 'data', schema: moment, doc: 'last day of it' },
  { ...heads.eggsOrBirds, key: 'count' },
  { ...heads.place, priority: 1 },
  { key: 'title', kind: 'data', schema: text, doc: 'the task in words' },
];

const table = (dates: readonly Task[]): AnyTable => tableOf(dateColumns, dates);

/** The dates as a screen, the next one first. */
export function datesScreen(dates: readonly Task[], title: string): Screen {
  const first = dates[0];
  return {
    title,
    answer: [
      first === undefined
        ? 'No date is ahead.'
        : `${counted(dates.length, 'date')} ahead; first, ${shortDay(first.due)}: ${first.title}.`,
    ],
    parts: dates.length === 0 ? [] : [{ heading: null, table: table(dates) }],
  };
}

/** The dates for other programs. */
export const datesJson = (dates: readonly Task[]): object => ({ dates: jsonRows(table(dates)) });
