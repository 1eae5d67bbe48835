import type { Now, Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';

export type TaskState = 'overdue' | 'due' | 'coming';

/**
 * What a task is to a morning, in the order of the morning: live birds, eggs that must move or be
 * opened, what must be today, what can wait, what comes back every day, what is coming.
 */
export type TaskClass = 'live' | 'eggs' | 'must' | 'can' | 'routine' | 'coming';

/** Something to do. `due` to `until` is its window; past it, it is overdue until settled. */
export type Task = {
  /** Stable: the same work has the same id on every day and in every run. */
  readonly id: string;
  readonly kind: string;
  readonly class: TaskClass;
  readonly state: TaskState;
  readonly due: Day;
  readonly until: Day;
  readonly set: string | null;
  readonly pen: string | null;
  readonly place: string | null;
  /** Eggs, chicks or birds it is about. */
  readonly count: number | null;
  readonly title: string;
  readonly why: string;
  /** Daily tasks collapse to one line. */
  readonly daily: boolean;
  /** The command that settles it. */
  readonly settle: string;
};

export type TaskDraft = Omit<Task, 'state' | 'daily' | 'class'> & { readonly daily?: boolean };

/** A source of tasks: pure, and leaves out what a record has settled. */
export type TaskSource = (season: Season, now: Now) => TaskDraft[];

export type Put = Partial<TaskDraft> & Pick<TaskDraft, 'id' | 'kind' | 'due' | 'title' | 'why'>;

/** A task of one day, about nothing more than it says, settled by a tick, unless told otherwise. */
export function taskOf(one: Put): TaskDraft {
  const { id, kind, due, title, why, ...rest } = one;
  const nothing = { set: null, pen: null, place: null, count: null };
  const settle = `add tick ${id}`;
  return { id, kind, due, title, why, until: due, ...nothing, settle, ...rest };
}
