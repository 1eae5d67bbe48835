import { type Fault, fault } from '../../text/fault.ts';
import { overlaps } from '../spans.ts';
import type { Check } from './check.ts';

/** `tray-taken`: two sets in one tray on one day. */
export const trayTaken: Check = ({ occupancy }) => {
  const faults: Fault[] = [];
  forEachPair(occupancy.trays, (a, b) => {
    if (a.setter !== b.setter || a.tray !== b.tray || a.set === b.set || !overlaps(a, b)) return;
    const [first, second] =
      a.from < b.from || (a.from === b.from && a.state === 'actual') ? [a, b] : [b, a];
    faults.push(
      fault(
        'tray-taken',
        second.at,
        `${second.setter} tray ${second.tray}: ${second.set} goes in on ${second.from}, and ${first.set} lies there until ${first.to}`,
        {
          set: second.set,
          hint: `put ${second.set} into another tray, or on ${first.to} or later`,
        },
      ),
    );
  });
  return faults;
};

/** `tray-overfull`: more eggs in a tray than it holds of that species. */
export const trayOverfull: Check = ({ season, occupancy }) => {
  const faults: Fault[] = [];
  for (const span of occupancy.trays) {
    const setter = season.setters.get(span.setter);
    const holds = setter?.tray_holds[span.speciesName];
    if (holds === undefined)
      faults.push(
        fault(
          'tray-overfull',
          span.at,
          `${span.setter}: season.yaml does not say how many ${span.speciesName} eggs a tray holds`,
          { set: span.set, hint: `add ${span.speciesName} to tray_holds of ${span.setter}` },
        ),
      );
    else if (span.eggs > holds)
      faults.push(
        fault(
          'tray-overfull',
          span.at,
          `${span.setter} tray ${span.tray}: ${span.eggs} ${span.speciesName} eggs of ${span.set}, and it holds ${holds}`,
          { set: span.set },
        ),
      );
  }
  return faults;
};

/** Calls back once for every unordered pair that shares a key by position in time. */
export function forEachPair<T>(all: readonly T[], visit: (a: T, b: T) => void): void {
  for (let i = 0; i < all.length; i += 1)
    for (let j = i + 1; j < all.length; j += 1) visit(all[i]!, all[j]!);
}
