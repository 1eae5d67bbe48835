/** How many eggs were looked through, and what that tells of fertility. */
import type { Share } from '../season/model.ts';

/** Eggs of a share that somebody looked through. */
export type Looks = {
  /** Eggs set that are accounted for: of the others nobody knows what they were. */
  readonly eggs: number;
  /** Nothing seen in them; an egg that died in its first days looks clear too. */
  readonly clear: number;
  /** Fertile by the look alone: not clear. An egg taken out cracked or rotten was not clear. */
  readonly apparent: number;
};

/**
 * What looks at a share have shown, or null if nobody looked: then its fertility is not known. A
 * transfer is a look if clear or quit eggs were sorted out at it.
 */
export function looksOf({ candlings, tally }: Pick<Share, 'candlings' | 'tally'>): Looks | null {
  const { at, clear } = tally;
  if (candlings.length === 0 && at.transfer.clear + at.transfer.quit === 0) return null;
  const eggs = tally.eggs - Math.max(0, tally.missingAtTransfer ?? 0);
  return { eggs, clear, apparent: Math.max(0, eggs - clear) };
}
