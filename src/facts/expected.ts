import type { Share } from '../season/model.ts';

/**
 * Live eggs expected at transfer. Until something is known of these eggs, every one of them may
 * live: a hatcher that holds them all is never overfull.
 */
export function expectedLive(share: Pick<Share, 'eggs'> & Partial<Pick<Share, 'live'>>): number {
  return share.live ?? share.eggs;
}

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
