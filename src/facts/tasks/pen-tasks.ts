import type { Now, Pen, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { carriesOf, endOfLay, firstFertile, layEnds } from '../laying.ts';
import type { TaskDraft } from './task.ts';

/** A day on which a pen's eggs become good for hatching is looked at for a week. */
const WINDOW_DAYS = 6;

/** The end of a pen's lay is told a fortnight before: eggs written meanwhile may move it. */
const AHEAD_DAYS = 14;

/** Eggs of a pen were written down, or set, on a day or after it: the keeper knows. */
function inUseSince(season: Season, pen: Pen, day: Day): boolean {
  return (
    season.rows.eggs.some((row) => row.values.pen === pen.name && row.on.day >= day) ||
    [...season.sets.values()].some(
      (set) => set.on.day >= day && set.shares.some((share) => share.pen.name === pen.name),
    )
  );
}

/** The days from which a pen's eggs are worth setting: fertile after joining, pure after a change. */
export function penTasks(season: Season, now: Now): TaskDraft[] {
  const out: TaskDraft[] = [];
  for (const pen of season.pens.values()) {
    if (pen.hens === 0 || pen.males === 0) continue;
    const put = (id: string, due: Day, title: string, why: string) => {
      // A day to know of, not work left undone: past its week it is let go.
      if (addDays(due, WINDOW_DAYS) < now.day) return;
      if (pen.parted !== null && pen.parted <= due) return;
      if (inUseSince(season, pen, due)) return;
      out.push({
        id,
        kind: 'pen',
        due,
        until: addDays(due, WINDOW_DAYS),
        set: null,
        pen: pen.name,
        place: pen.name,
        count: null,
        title,
        why,
        settle: `add tick ${id}`,
      });
    };
    const fertile = firstFertile(pen);
    const carries = carriesOf(pen);
    const last = carries.reduce<(typeof carries)[number] | null>(
      (latest, one) => (latest === null || one.pureFrom > latest.pureFrom ? one : latest),
      null,
    );
    put(
      `${pen.name}/fertile`,
      fertile,
      `Keep eggs of ${pen.name} for hatching`,
      `joined on ${pen.joined}, and ${daysBetween(pen.joined, fertile)} days to good fertility${
        last !== null && last.changed <= fertile && fertile < last.pureFrom
          ? `; of its own males from ${last.pureFrom}`
          : ''
      }`,
    );
    const end = layEnds(season, pen);
    if (end !== null && end <= addDays(now.day, AHEAD_DAYS))
      put(
        `${pen.name}/lay-ends`,
        end,
        `Lay of ${pen.name} may end: count its eggs`,
        endOfLay(pen.name, end),
      );
    if (last !== null && last.pureFrom > fertile)
      put(
        `${pen.name}/pure-${last.pureFrom}`,
        last.pureFrom,
        `Eggs of ${pen.name} are of its own males`,
        `${daysBetween(last.changed, last.pureFrom)} days after the other males left on ${last.changed}: fit to breed from`,
      );
  }
  return out;
}
