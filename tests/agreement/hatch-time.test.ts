// When a hatch is over: tasks, the calendar, occupancy, cleaning and the conflicts go by one day, and
// nothing is closed or cleaned while a chick may still come.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { milestonesOfPlanned, milestonesOfSet, openPlan } from '../../src/facts/hatch-time.ts';
import { occupancyOf } from '../../src/facts/occupancy.ts';
import { setTasks } from '../../src/facts/tasks/set-tasks.ts';
import { addDays, daysBetween, later } from '../../src/text/day.ts';
import { nowAt } from '../support/season.ts';
import { anySeason, anySeasonOf } from './seasons.ts';

test('the last opening is one day everywhere, and cleaning never comes before it', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season, today } = anySeasonOf(any);
      const now = nowAt(today);
      const occupancy = occupancyOf(season, now);
      const tasks = setTasks(season, now);
      const dueOf = (all: typeof tasks, id: string) => all.find((one) => one.id === id)?.due;
      for (const set of season.sets.values()) {
        const over = milestonesOfSet(set, season).lastOpening;
        const task = dueOf(tasks, `${set.name}/last-opening`);
        if (task !== undefined) expect(task).toBe(over);
        const clean = dueOf(tasks, `${set.name}/clean`);
        const isOpen = set.shares.some((one) => one.stage !== 'finished' && one.live > 0);
        if (clean !== undefined && isOpen) expect(clean).toBe(over);
        const spans = occupancy.hatchers.filter((one) => one.set === set.name);
        if (spans.length === 0) continue;
        const empty = spans.map((one) => one.emptyOn).reduce(later);
        // What is past its day and not closed holds its place until today.
        expect(empty).toBe(isOpen ? later(over, today) : over);
        // A hatch is never over while its kind's window runs and some of its eggs may live.
        if (isOpen)
          expect(daysBetween(set.on.day, over)).toBeGreaterThanOrEqual(
            set.species.hatch_window_days.value.high,
          );
        for (const span of spans)
          expect(span.to).toBe(
            addDays(span.emptyOn, season.hatchers.get(span.hatcher)!.clean_days),
          );
      }
      for (const one of openPlan(season)) {
        const over = milestonesOfPlanned(one, season).lastOpening;
        if (one.on >= today) expect(dueOf(tasks, `${one.name}/last-opening`)).toBe(over);
        expect(occupancy.hatchers.find((span) => span.set === one.name)!.emptyOn).toBe(over);
      }
    }),
    { numRuns: 30 },
  );
});
