/** The season's looks in order: when each finding first showed, and what it would have saved. */

import { buildSeason } from '../../facts/fold.ts';
import type { Season } from '../../season/model.ts';
import { rowsUpTo } from '../../season/moment.ts';
import type { Day } from '../../text/day.ts';
import { raisedFindings } from './diagnose.ts';
import type { Cause, Finding, Where } from './finding.ts';

/** One finding over the season. */
export type Shown = {
  readonly cause: Cause;
  readonly where: Where;
  /** The day of the first set hit, as last told. */
  readonly since: Day | null;
  /** First day it was watched, and acted on; null if it never was. */
  readonly watched: Day | null;
  readonly acted: Day | null;
  /** Still raised at the end. */
  readonly stands: boolean;
  /** Chicks of sets set after the first day it showed, had it been mended then; null if not to be said. */
  readonly saved: number | null;
};

/** Days on which something was seen that can change the answer: hatches ended, looks, and each week. */
function looksOf(season: Season, last: Day): Day[] {
  const days = new Set<Day>();
  for (const set of season.sets.values())
    for (const share of set.shares) {
      if (share.finishedOn !== null) days.add(share.finishedOn);
      for (const row of share.candlings) days.add(row.on.day);
    }
  return [...days].filter((day) => day <= last).sort();
}

/** Asks the diagnosis on every day that a look was made, with what was known that day; `told` hears which. */
export function replay(
  season: Season,
  previous: readonly Season[],
  last: Day,
  told?: (day: Day) => void,
): Shown[] {
  type Seen = { first: Finding; latest: Finding; watched: Day; acted: Day | null; stands: boolean };
  const seen = new Map<Cause, Seen>();
  for (const day of looksOf(season, last)) {
    told?.(day);
    const then = buildSeason(season.file, rowsUpTo(season.rows, endOf(day)).rows).season;
    const raised = raisedFindings(then, previous);
    for (const one of seen.values()) one.stands = false;
    for (const f of raised) {
      const known = seen.get(f.cause);
      if (!known)
        seen.set(f.cause, {
          first: f,
          latest: f,
          watched: day,
          acted: f.verdict === 'act' ? day : null,
          stands: true,
        });
      else {
        known.latest = f;
        known.stands = true;
        if (f.verdict === 'act') known.acted ??= day;
      }
    }
  }
  return [...seen.values()].map(({ latest, watched, acted, stands }) => ({
    cause: latest.cause,
    where: latest.where,
    since: latest.since,
    watched,
    acted,
    stands,
    saved: stands ? savedFrom(season, latest, watched) : null,
  }));
}

/** Part of the chicks lost that came of eggs set after a day. */
function savedFrom(season: Season, f: Finding, told: Day): number | null {
  const { chicks } = f.cost;
  if (chicks === null || f.since === null) return null;
  let all = 0;
  let after = 0;
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const inPlace =
        (f.where.pen === null || f.where.pen === share.pen.name) &&
        (f.where.set === null || f.where.set === set.name) &&
        (f.where.setter === null || share.trays.some((tray) => tray.setter === f.where.setter));
      if (!inPlace || set.on.day < f.since || share.stage !== 'finished') continue;
      all += share.eggs;
      if (set.on.day > told) after += share.eggs;
    }
  return all === 0 ? null : Math.round((chicks * after) / all);
}

const endOf = (day: Day) => ({ instant: 0, day, time: '23:59' });
