import type { Share } from '../../season/model.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { imbalancesOf } from '../tally.ts';
import type { Check } from './check.ts';

/** `out-of-balance` of one share: an error if more came out than went in, a warning if fewer. */
export function balanceFaults(share: Share): Fault[] {
  const { set } = share;
  const pen = share.pen.name;
  return imbalancesOf(share).map(({ step, eggs, counts, at }) => {
    const found = eggs < 0 ? `${-eggs} too many` : `${eggs} not accounted for`;
    return fault('out-of-balance', at, `${set} ${pen}: ${found}: ${counts}`, {
      set,
      pen,
      severity: eggs < 0 ? 'error' : 'warning',
      hint:
        eggs > 0 && step === 'hatch'
          ? 'one in the basket, or a chick that went off unseen? amend the row if you find out'
          : null,
    });
  });
}

/** `out-of-balance`: what went in and what came out of each share do not agree. */
export const outOfBalance: Check = ({ season }) =>
  [...season.sets.values()].flatMap((set) => set.shares.flatMap(balanceFaults));
