import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { flockTasks } from './bird-tasks.ts';
import { dailyTasks } from './daily-tasks.ts';
import { penTasks } from './pen-tasks.ts';
import { setTasks } from './set-tasks.ts';
import type { Task, TaskClass, TaskDraft, TaskSource } from './task.ts';
import { work } from './work.ts';

/** Every source of tasks. A new one is one file and one line here. */
const sources: readonly TaskSource[] = [penTasks, setTasks, flockTasks, dailyTasks];

/** Days of what is coming that a morning shows, today not counted. */
export const COMING_DAYS = 3;

/** Kinds of task that keep birds alive, and kinds in which eggs move or are opened. */
const LIVE: ReadonlySet<string> = new Set(['brood', 'heat', 'shade']);
const EGGS: ReadonlySet<string> = new Set([
  'transfer',
  'damp-up',
  'watch',
  'hatch',
  'last-opening',
]);

/** The order of a morning. */
export const classes: readonly TaskClass[] = ['live', 'eggs', 'must', 'can', 'routine', 'coming'];

/** What keeps birds warm and fed goes before the rest of its class; then by kind of work. */
const kindRank = ['brood', 'heat', 'shade', 'hatch', 'last-opening', 'transfer', 'damp-up'];

function classOf(draft: TaskDraft, today: Day): TaskClass {
  if (draft.due > today) return 'coming';
  if (draft.daily || daysBetween(draft.until, today) > work.stale_days.value) return 'routine';
  if (LIVE.has(draft.kind)) return 'live';
  if (EGGS.has(draft.kind)) return 'eggs';
  return draft.until <= today ? 'must' : 'can';
}

/**
 * The tasks that are not settled, in the order of a morning, up to `days` ahead (1: today alone). A
 * record that does the work settles a task, and so does a tick with its id.
 */
export function tasksOf(season: Season, now: Now, days: number): Task[] {
  const ticked = new Set(season.rows.tick.map((row) => row.values.task));
  const last = addDays(now.day, days - 1);
  const tasks = sources
    .flatMap((source) => source(season, now))
    .filter((draft) => !ticked.has(draft.id) && draft.due <= last)
    .map(
      (draft): Task => ({
        ...draft,
        daily: draft.daily ?? false,
        class: classOf(draft, now.day),
        state: draft.until < now.day ? 'overdue' : draft.due <= now.day ? 'due' : 'coming',
      }),
    );
  const rank = (task: Task): number => {
    const kind = kindRank.indexOf(task.kind);
    return task.class === 'live' || task.class === 'eggs' ? (kind < 0 ? kindRank.length : kind) : 0;
  };
  const dated = (task: Task): Day => (task.class === 'coming' ? task.due : task.until);
  // What is due on one day stays in the order of the work: transfer, then damp up.
  return tasks.sort(
    (a, b) =>
      classes.indexOf(a.class) - classes.indexOf(b.class) ||
      rank(a) - rank(b) ||
      (dated(a) < dated(b) ? -1 : dated(a) > dated(b) ? 1 : 0),
  );
}
