/** What the sets of some calendars leave for another of machines and brooders. */
import { sum } from './candidate.ts';
import type { HatchingProblem } from './hatching-model.ts';
import type { Start } from './hatching-schedule.ts';
import type { BroodingRoom } from './roofs.ts';
import { withSetDays } from './set-search.ts';

/** The problem of one calendar beside sets of others: what these lie in and what their chicks ask is taken. */
export function aloneBeside(
  problem: HatchingProblem,
  timing: number,
  others: readonly Start[],
): HatchingProblem {
  return {
    ...withSetDays(problem, (one) => one === timing),
    ...(problem.brooding === undefined ? {} : { brooding: roomBeside(problem.brooding, others) }),
    setters: problem.setters.map((setter, c) => ({
      ...setter,
      taken: withStays(
        setter.taken,
        others
          .filter((one) => one.setter === c)
          .map((one) => ({
            from: one.day,
            to: one.day + problem.timings[one.timing]!.transfer,
            places: sum(one.trays, ({ trays }) => trays),
          })),
      ),
    })),
    hatchers: problem.hatchers.map((hatcher, h) => {
      const taken = withStays(
        hatcher.taken,
        others
          .filter((one) => one.hatcher === h)
          .map((one) => ({
            from: one.day + problem.timings[one.timing]!.transfer,
            to: one.day + problem.timings[one.timing]!.lastOpening + hatcher.cleanDays,
            places: one.sets,
          })),
      );
      // Sets that lie together take the one hatcher there is.
      return { ...hatcher, taken: taken.map((places) => Math.min(places, hatcher.count)) };
    }),
  };
}

/** Room in the brooders where the chicks of some sets are awaited. */
function roomBeside(room: BroodingRoom, sets: readonly Start[]): BroodingRoom {
  const lots = sets.flatMap(({ day, eggs }) => eggs.map((lot) => ({ ...lot, set: day })));
  return {
    ...room,
    looks: room.looks.map((look) => ({
      ...look,
      awaited: look.awaited.map((birds, group) =>
        lots.reduce(
          (all, { source, set, eggs }) =>
            room.groupOf[source] === group ? all + eggs * look.asked(source, set) : all,
          birds,
        ),
      ),
    })),
  };
}

/** Places taken by day, with those of further stays. */
function withStays(
  taken: readonly number[],
  stays: readonly { from: number; to: number; places: number }[],
): number[] {
  const last = stays.reduce((most, { to }) => Math.max(most, to), taken.length);
  const found = Array.from({ length: last }, (_, day) => taken[day] ?? 0);
  for (const { from, to, places } of stays)
    for (let day = from; day < to; day++) found[day]! += places;
  return found;
}
