import binomialQuantile from '@stdlib/stats-base-dists-binomial-quantile';
import type { Now, Season } from '../../season/model.ts';
import { later } from '../../text/day.ts';
import { milestonesOfPlanned, milestonesOfShare, openPlan } from '../schedule/milestones.ts';
import type { ExpectedChicks } from './brooders.ts';

/** Hatch of set where nothing has been recorded: extension texts call 70 % fair (a copy). */
const USUAL_HATCH = 0.7;
/** Sets from which on the season's own counts are believed alone. */
const OWN_EGGS = 100;
const NINE_IN_TEN = 0.9;

/**
 * Chicks to come from sets not finished, by share: the season's own hatch of set so far, drawn
 * towards 70 % while few eggs are counted; binomial median and nine in ten. Sets differ by more
 * than chance, so `forecast` gives the wider and better figure; this is for room.
 */
export function expectedHatches(season: Season, now: Now): ExpectedChicks[] {
  const shares = [...season.sets.values()].flatMap((set) => set.shares);
  const done = shares.filter((share) => share.stage === 'finished');
  const eggs = done.reduce((sum, share) => sum + share.eggs, 0);
  const chicks = done.reduce(
    (sum, share) => sum + Math.max(0, (share.tally.hatched ?? 0) - share.tally.weak),
    0,
  );
  const prior = Math.max(0, OWN_EGGS - eggs);
  const rate = (chicks + prior * USUAL_HATCH) / (eggs + prior);
  const one = (
    set: string,
    line: ExpectedChicks['line'],
    count: number,
    hatch: ExpectedChicks['hatch'],
  ): ExpectedChicks => ({
    set,
    line,
    hatch: later(hatch, now.day),
    median: count <= 0 ? 0 : binomialQuantile(0.5, count, rate),
    high: count <= 0 ? 0 : binomialQuantile(NINE_IN_TEN, count, rate),
  });
  return [
    ...shares
      .filter((share) => share.stage !== 'finished' && share.openings.length === 0)
      .map((share) =>
        one(share.set, share.pen.line, share.eggs, milestonesOfShare(share, season).hatch),
      ),
    ...openPlan(season).flatMap((planned) =>
      planned.shares.map((share) =>
        one(planned.name, share.pen.line, share.eggs, milestonesOfPlanned(planned, season).hatch),
      ),
    ),
  ];
}
