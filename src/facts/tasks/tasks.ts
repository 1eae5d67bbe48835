import type { Now, Season } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';
import { flockTasks } from './bird-tasks.ts';
import { dailyTasks } from './daily-tasks.ts';
import { penTasks } from './pen-tasks.ts';
import { setTasks } from './set-tasks.ts';
import type { Task, TaskSource } from './task.ts';

/** Every source of tasks. A new one is one file and one line here. */
const sources: readonly TaskSource[] = [penTasks, setTasks, flockTasks, dailyTasks];

/**
 * The tasks that are not settled, in order of urgency, up to `days` ahead (1: today alone). A
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
        state: draft.until < now.day ? 'overdue' : draft.due <= now.day ? 'due' : 'coming',
      }),
    );
  const rank = { overdue: 0, due: 1, coming: 2 } as const;
  // What is due on one day stays in the order of the work: transfer, then damp up.
  return tasks.sort(
    (a, b) =>
      rank[a.state] - rank[b.state] || Number(a.daily) - Number(b.daily) || order(a.due, b.due),
  );
}

function order(a: Day, b: Day): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
