import type { Row } from '../../records/record.ts';
import type { Now, Share } from '../../season/model.ts';
import { addDays } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { work } from '../tasks/work.ts';
import type { Check } from './check.ts';

/** `order-of-events` of one share: nothing before it was set, no opening before its transfer. */
export function orderFaults(share: Share): Fault[] {
  const faults: Fault[] = [];
  const extras = { set: share.set, pen: share.pen.name };
  const name = `${share.set} ${share.pen.name}`;
  const before = (row: Row<unknown>, what: string, limit: string, since: string): void => {
    if (row.on.day < limit)
      faults.push(
        fault(
          'order-of-events',
          row.at,
          `${name}: ${what} on ${row.on.day}, and it was ${since} on ${limit}`,
          extras,
        ),
      );
  };
  for (const row of share.candlings) {
    before(row, 'candled', share.on.day, 'set');
    if (share.transferredOn !== null && row.on.day > share.transferredOn)
      faults.push(
        fault(
          'order-of-events',
          row.at,
          `${name}: candled on ${row.on.day}, after it was moved to the hatcher on ${share.transferredOn}`,
          extras,
        ),
      );
  }
  for (const row of share.transfers) before(row, 'moved to the hatcher', share.on.day, 'set');
  for (const row of share.openings) {
    if (share.transferredOn !== null)
      before(row, 'opened', share.transferredOn, 'moved to the hatcher');
    else before(row, 'opened', share.on.day, 'set');
  }
  if (share.openings.length > 0 && share.transferredOn === null && !share.underHen)
    faults.push(
      fault(
        'order-of-events',
        share.openings[0]!.at,
        `${name}: chicks are recorded, and no transfer`,
        {
          ...extras,
          hint: `traybook add transfer ${share.set} --pen ${share.pen.name} --on DAY --moved N`,
        },
      ),
    );
  // Chicks come when they come; days before the species' window they cannot.
  const first = share.openings.find((row) => row.values.hatched > 0);
  const earliest = addDays(
    share.on.day,
    share.pen.line.species.hatch_window_days.value.low - work.hatch_early_days.value,
  );
  if (first && first.on.day < earliest)
    faults.push(
      fault(
        'order-of-events',
        first.at,
        `${name}: chicks on ${first.on.day}, before ${earliest}; set on ${share.on.day}`,
        {
          ...extras,
          hint: 'is the set or the day wrong?',
        },
      ),
    );
  return faults;
}

/** `order-of-events`: a row dated before what it depends on, or in the future. */
export const orderOfEvents: Check = ({ season, now }) => [
  ...[...season.sets.values()].flatMap((set) => set.shares.flatMap(orderFaults)),
  ...Object.values(season.rows).flatMap((rows) =>
    (rows as readonly Row[]).flatMap((row) => futureFault(row, now)),
  ),
];

/** A row about a day that has not come. */
export function futureFault(row: Row, now: Now): Fault[] {
  return row.on.day > now.day
    ? [
        fault(
          'order-of-events',
          row.at,
          `on: ${row.on.day} has not come yet; today is ${now.day}`,
          { hint: 'is the year right?' },
        ),
      ]
    : [];
}
