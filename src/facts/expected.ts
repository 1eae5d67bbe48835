/**
 * What is expected of pens, eggs and chicks, by whoever knows the farm's rates: facts only ask. What
 * is expected with nothing known is asked of nobody: then only what is recorded counts.
 */
import type { Line, Share } from '../season/model.ts';
import type { Day } from '../text/day.ts';
import type { EggsADay } from './egg-store.ts';

/** A count still to come: its mean, and the variance of what it may be. */
export type ComingCount = { readonly mean: number; readonly variance: number };

export type Expected = {
  readonly eggsADay: EggsADay;
  /** Live eggs to be moved of a share not moved yet, recorded or planned; null for any other. */
  readonly liveEggs: (set: string, pen: string) => ComingCount | null;
  /** Sound chicks to come of each share that no chick has come of. */
  readonly chicks: () => readonly {
    readonly set: string;
    readonly line: Line;
    readonly hatch: Day;
    readonly mean: number;
  }[];
};

/**
 * True once a look into the hatcher found something of a share: chicks, dead ones, shells, or that
 * there is no more to come. A look through the glass that found nobody out settles nothing.
 */
export function hasHatched(share: Pick<Share, 'openings'>): boolean {
  return share.openings.some(
    ({ values }) =>
      values.final || values.hatched + values.dead + values.pipped + values.unpipped > 0,
  );
}
