import type { Share } from '../../season/model.ts';
import { type Fault, fault } from '../../text/fault.ts';
import type { Check } from './check.ts';

/** `out-of-balance` of one share: an error if more came out than went in, a warning if fewer. */
export function balanceFaults(share: Share): Fault[] {
  const faults: Fault[] = [];
  const extras = { set: share.set, pen: share.pen.name };
  const name = `${share.set} ${share.pen.name}`;
  const { tally } = share;
  const removed = tally.clear + tally.quit + tally.cracked + tally.rotten;
  if (share.tally.moved === null) {
    if (removed > share.eggs)
      faults.push(
        fault(
          'out-of-balance',
          share.candlings.at(-1)!.at,
          `${name}: ${removed} eggs taken out at candling, and ${share.eggs} were set`,
          extras,
        ),
      );
  } else {
    const atTransfer =
      tally.transferClear + tally.transferQuit + tally.transferCracked + tally.transferRotten;
    const sum = `${share.eggs} set, ${removed} taken out at candling, ${atTransfer} at transfer, ${share.tally.moved} moved`;
    const left = share.unaccountedAtTransfer!;
    const at = share.transfers.at(-1)!.at;
    if (left < 0)
      faults.push(fault('out-of-balance', at, `${name}: ${-left} too many: ${sum}`, extras));
    else if (left > 0)
      faults.push(
        fault('out-of-balance', at, `${name}: ${left} not accounted for: ${sum}`, {
          ...extras,
          severity: 'warning',
        }),
      );
  }
  if (share.openings.length > 0 && tally.moved !== null) {
    const out = (tally.hatched ?? 0) + tally.dead + tally.pipped + tally.unpipped;
    const sum = `${tally.moved} moved, ${tally.hatched} hatched, ${tally.dead} dead, ${tally.pipped} pipped, ${tally.unpipped} unpipped`;
    const at = share.openings.at(-1)!.at;
    if (out > tally.moved)
      faults.push(
        fault('out-of-balance', at, `${name}: ${out - tally.moved} too many: ${sum}`, extras),
      );
    else if (share.unaccountedAtHatch !== null && share.unaccountedAtHatch > 0)
      faults.push(
        fault(
          'out-of-balance',
          at,
          `${name}: ${share.unaccountedAtHatch} not accounted for: ${sum}`,
          {
            ...extras,
            severity: 'warning',
            hint: 'one in the basket, or a chick that went off unseen? amend the row if you find out',
          },
        ),
      );
  }
  return faults;
}

/** `out-of-balance`: what went in and what came out of each share do not agree. */
export const outOfBalance: Check = ({ season }) =>
  [...season.sets.values()].flatMap((set) => set.shares.flatMap(balanceFaults));
