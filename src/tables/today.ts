import type { Task } from '../facts/tasks/task.ts';
import { addDays, type Day, daysBetween } from '../text/day.ts';
import { escapeMarkdown } from '../text/escape.ts';
import { longDay, shortDay } from './numbers.ts';
import { hanging, padded } from './wrap.ts';

/** The tasks of a morning. */
export type TodayView = {
  readonly day: Day;
  readonly place: string;
  readonly season: string;
  /** Days looked ahead, today being the first. */
  readonly days: number;
  readonly tasks: readonly Task[];
};

type Paper = { readonly width: number; readonly colour: boolean };

/** The day's work as text: overdue, due, every day, coming. Ends with a line feed. */
export function todayText(view: TodayView, paper: Paper): string {
  const out = [`${longDay(view.day)}, ${view.place}, season ${view.season}`];
  const ids = Math.max(
    0,
    ...view.tasks.filter((task) => !task.daily).map((task) => task.id.length),
  );
  const section = (heading: string, tasks: readonly Task[], lead: (task: Task) => string): void => {
    if (tasks.length === 0) return;
    out.push('', heading);
    for (const task of tasks) {
      const head = `  ${lead(task)}${padded(task.id, ids)}  `;
      out.push(hanging(head, task.title, paper.width));
      if (task.state !== 'coming')
        out.push(hanging(' '.repeat(head.length), task.why, paper.width));
    }
  };
  const of = (state: Task['state']): Task[] =>
    view.tasks.filter((task) => task.state === state && !task.daily);
  section(
    'OVERDUE',
    of('overdue'),
    (task) => `${String(daysBetween(task.until, view.day)).padStart(2)} d late  `,
  );
  section('DUE TODAY', of('due'), (task) =>
    task.until > view.day ? `by ${task.until.slice(5)}   ` : '           ',
  );
  const daily = view.tasks.filter((task) => task.daily);
  if (daily.length > 0) out.push('', 'EVERY DAY', hanging('  ', dailyLine(daily), paper.width));
  section('COMING', of('coming'), (task) => `${shortDay(task.due)}  `);
  if (view.tasks.length === 0)
    out.push('', `Nothing is due until ${addDays(view.day, view.days)}.`);
  const pressing = view.tasks.filter((task) => task.state !== 'coming' && !task.daily);
  const urgent = pressing.find((task) => !task.settle.startsWith('add tick')) ?? pressing[0];
  if (urgent) out.push('', hanging('when done: ', `traybook ${urgent.settle}`, paper.width));
  return `${out.join('\n')}\n`;
}

/** Daily tasks of one kind read as one piece: `Collect eggs from north, south`. */
function dailyLine(tasks: readonly Task[]): string {
  const pieces = new Map<string, Task[]>();
  for (const task of tasks) {
    const same = pieces.get(task.kind);
    if (same) same.push(task);
    else pieces.set(task.kind, [task]);
  }
  const words: Record<string, (all: readonly Task[]) => string> = {
    collect: (all) => `collect eggs: ${all.map((task) => task.place).join(', ')}`,
    read: (all) => `read ${all.map((task) => task.place).join(', ')}`,
    // A group stands first in the id of its task.
    birds: (all) => `feed, water and count ${all.map((task) => task.id.split('/')[0]).join(', ')}`,
    warmth: (all) => `heat at its edge: ${all.map((task) => task.title).join(', ')}`,
    water: (all) => `water in ${all.map((task) => task.place).join(', ')}`,
  };
  return [...pieces]
    .map(
      ([kind, all]) =>
        words[kind]?.(all) ??
        all.map((task) => task.title.charAt(0).toLowerCase() + task.title.slice(1)).join('; '),
    )
    .join('; ');
}

/** The same as a Markdown list with boxes to tick. */
export function todayMarkdown(view: TodayView): string {
  const out = [`# ${longDay(view.day)}, ${escapeMarkdown(view.place)}`];
  const section = (heading: string, tasks: readonly Task[], lead: (task: Task) => string): void => {
    if (tasks.length === 0) return;
    out.push('', `## ${heading}`, '');
    for (const task of tasks)
      out.push(`- [ ] ${lead(task)}${escapeMarkdown(task.title)} (\`${task.id}\`)`);
  };
  const of = (state: Task['state']): Task[] =>
    view.tasks.filter((task) => task.state === state && !task.daily);
  section('Overdue', of('overdue'), (task) => `**since ${task.due}** `);
  section('Due', of('due'), () => '');
  section(
    'Every day',
    view.tasks.filter((task) => task.daily),
    () => '',
  );
  section('Coming', of('coming'), (task) => `${task.due}: `);
  return `${out.join('\n')}\n`;
}
