import type { Share } from '../../season/model.ts';

/**
 * Live eggs expected at transfer. Until something is known of these eggs, every one of them may
 * live: a hatcher that holds them all is never overfull.
 */
export function expectedLive(share: Pick<Share, 'eggs'> & Partial<Pick<Share, 'live'>>): number {
  return share.live ?? share.eggs;
}
