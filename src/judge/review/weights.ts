import { type Course, courseOf } from '../../facts/water-loss.ts';
import type { Season } from '../../season/model.ts';
import { norms } from '../norms.ts';

/** How the water loss of a share stands at its last weighing. */
export type ShareLoss = {
  set: string;
  pen: string;
  course: Course;
  transferDay: number;
  finished: boolean;
};

/** The last weighing of every share that was weighed, as the alarms and the diagnosis read it. */
export function lossesOf(season: Season): ShareLoss[] {
  return [...season.sets.values()].flatMap((set) =>
    set.shares.flatMap((share): ShareLoss[] => {
      const course = courseOf(season, share).at(-1);
      return course === undefined
        ? []
        : [
            {
              set: set.name,
              pen: share.pen.name,
              course,
              transferDay: share.pen.line.species.transfer_day.value,
              finished: share.stage !== 'in-setter',
            },
          ];
    }),
  );
}

/**
 * Advice for eggs still in the setter, given the humidity they had so far: loss goes with the vapour gap
 * between shell and air, (100 - new) = (100 - old) x wanted / rate (from the conductance of Ar & Rahn,
 * from memory). Kept within 1 to 99, and one change within a step.
 */
export function humidityAdvice(
  { course, transferDay, finished }: ShareLoss,
  rh: number | null,
): { aim: number; next: number } | null {
  const left = transferDay - course.elapsed;
  const rate = course.lost / course.elapsed;
  if (rh === null || finished || left <= 0 || !(rate > 0)) return null;
  const wanted = Math.max(0, course.target.target - course.lost) / left;
  const aim = Math.min(99, Math.max(1, 100 - ((100 - rh) * wanted) / rate));
  const step = norms.loss.step_rh_points.value;
  return { aim, next: rh + Math.min(step, Math.max(-step, aim - rh)) };
}
