import type { Share } from '../../season/model.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { imbalancesOf } from '../tally.ts';
import type { Check } from './check.ts';

/** `out-of-balance` of one share: an error if more came out than went in, a warning if fewer. */
export function balanceFaults(share: Share): Fault[] {
  const { set, pen } = share;
  return imbalancesOf(share).map(({ step, eggs, counts, at }) =>
    eggs < 0
      ? fault('out-of-balance', at, `${set} ${pen.name}: ${-eggs} too many: ${counts}`, {
          set,
          pen: pen.name,
        })
      : fault('out-of-balance', at, `${set} ${pen.name}: ${eggs} not accounted for: ${counts}`, {
          set,
          pen: pen.name,
          severity: 'warning',
          ...(step === 'hatch'
            ? {
                hint: 'one in the basket, or a chick that went off unseen? amend the row if you find out',
              }
            : {}),
        }),
  );
}

/** `out-of-balance`: what went in and what came out of each share do not agree. */
export const outOfBalance: Check = ({ season }) =>
  [...season.sets.values()].flatMap((set) => set.shares.flatMap(balanceFaults));
