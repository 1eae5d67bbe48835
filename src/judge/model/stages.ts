/** The way of an egg, stage by stage: the one place that says how often each end comes about. */
import { logistic } from './grid.ts';

/** Where an egg that neither cracked nor rotted can end; `out` is a chick out of the shell. */
export const ends = ['infertile', 'early', 'middle', 'late', 'pipped', 'out'] as const;

/** Stages at which an egg can fail, in order: of those that reached it, the rest go on. */
export const failing = ['infertile', 'early', 'middle', 'late', 'pipped'] as const;
export type Failing = (typeof failing)[number];

/** Log-odds of failing at each stage. */
export type StageOdds = Readonly<Record<Failing, number>>;

/** Parts of each end, 0 to 1, that a look or a cell holds, in the order of `ends`. */
export type Parts = readonly number[];

/**
 * Chance that an egg is in the cell, given that it is in the cell or in the rest; `shifts` are added to
 * the log-odds of the stages.
 */
export function conditional(
  odds: StageOdds,
  cell: Parts,
  rest: Parts,
  shifts: Partial<StageOdds> = {},
): number {
  let hit = 0;
  let other = 0;
  let left = 1;
  for (let i = 0; i < ends.length; i++) {
    const stage = failing[i];
    const chance = stage === undefined ? left : left * logistic(odds[stage] + (shifts[stage] ?? 0));
    left -= chance;
    hit += chance * cell[i]!;
    other += chance * rest[i]!;
  }
  return hit / (hit + other);
}
