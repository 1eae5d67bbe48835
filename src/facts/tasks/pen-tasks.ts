import type { Now, Pen, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { carriesOf, endOfLay, firstFertile, layEnds, pureFrom } from '../laying.ts';
import { type TaskDraft, taskOf } from './task.ts';

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
  return [...season.pens.values()]
    .filter((pen) => pen.hens > 0 && pen.males > 0)
    .flatMap((pen) =>
      daysOf(season, pen, now)
        // A day to know of, not work left undone: past its week it is let go.
        .filter(({ due }) => addDays(due, WINDOW_DAYS) >= now.day)
        .filter(({ due }) => pen.parted === null || pen.parted > due)
        .filter(({ due }) => !inUseSince(season, pen, due))
        .map((one) =>
          taskOf({
            ...one,
            id: `${pen.name}/${one.kind}${one.kind === 'pure' ? `-${one.due}` : ''}`,
            until: addDays(one.due, WINDOW_DAYS),
            pen: pen.name,
            place: pen.name,
          }),
        ),
    );
}

/** The days of a pen to know of. */
function daysOf(
  season: Season,
  pen: Pen,
  now: Now,
): { kind: string; due: Day; title: string; why: string }[] {
  const { name, joined } = pen;
  const fertile = firstFertile(pen);
  const pure = pureFrom(pen);
  const last = carriesOf(pen).find((one) => one.pureFrom === pure);
  const pureLater =
    last !== undefined && last.changed <= fertile && fertile < last.pureFrom
      ? `; of its own males from ${last.pureFrom}`
      : '';
  const out = [
    {
      kind: 'fertile',
      due: fertile,
      title: `Keep eggs of ${name} for hatching`,
      why: `joined on ${joined}, and ${daysBetween(joined, fertile)} days to good fertility${pureLater}`,
    },
  ];
  const end = layEnds(season, pen);
  if (end !== null && end <= addDays(now.day, AHEAD_DAYS))
    out.push({
      kind: 'lay-ends',
      due: end,
      title: `Lay of ${name} may end: count its eggs`,
      why: endOfLay(name, end),
    });
  if (last !== undefined && last.pureFrom > fertile)
    out.push({
      kind: 'pure',
      due: last.pureFrom,
      title: `Eggs of ${name} are of its own males`,
      why: `${daysBetween(last.changed, last.pureFrom)} days after the other males left on ${last.changed}: fit to breed from`,
    });
  return out;
}
