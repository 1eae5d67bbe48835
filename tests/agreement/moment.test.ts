// The book read at a moment of the past says what it said then: later rows change no task, no tally and
// no conflict of that day.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { conflictsOf } from '../../src/facts/checks/index.ts';
import { buildSeason } from '../../src/facts/fold.ts';
import { tasksOf } from '../../src/facts/tasks/tasks.ts';
import { summaryOf } from '../../src/judge/summary/way.ts';
import { rowsUpTo } from '../../src/season/moment.ts';
import { nowAt, seasonOf } from '../support/season.ts';
import { anySeason, anySeasonOf, written } from './seasons.ts';

test('rows written later are as if they were not', () => {
  fc.assert(
    fc.property(anySeason, (any) => {
      const { season: whole, today } = anySeasonOf(any);
      const now = nowAt(today);
      const { yaml, rows } = written(any);
      const read = buildSeason(whole.file, rowsUpTo(whole.rows, now).rows).season;
      const then = seasonOf(
        yaml,
        rows.filter(([, on]) => on <= `${today}T${now.time}`),
      );
      const said = (season: typeof whole) => ({
        tasks: tasksOf(season, now, 3).map((one) => [one.id, one.due, one.count]),
        summary: summaryOf(season),
        conflicts: conflictsOf(season, now).map((one) => one.message),
        lots: season.lots,
      });
      expect(said(read)).toEqual(said(then));
    }),
    { numRuns: 25 },
  );
});
