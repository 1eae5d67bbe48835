import type { Row } from '../../records/record.ts';
import type { Now, Share } from '../../season/model.ts';
import { addDays } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { work } from '../tasks/work.ts';
import type { Checked } from './check.ts';

/** `order-of-events` of one share: nothing before it was set, no opening before its transfer. */
export const orderFaults = gathered(function* (share: Share): Generator<Fault> {
  const { set, on, transferredOn } = share;
  const pen = share.pen.name;
  const tell = ({ at }: Pick<Row, 'at'>, what: string, hint: string | null = null): Fault =>
    fault('order-of-events', at, `${set} ${pen}: ${what}`, { set, pen, hint });
  const steps = [
    { rows: share.candlings, what: 'candled', since: 'set', limit: on.day },
    { rows: share.transfers, what: 'moved to the hatcher', since: 'set', limit: on.day },
    {
      rows: share.openings,
      what: 'opened',
      since: transferredOn === null ? 'set' : 'moved to the hatcher',
      limit: transferredOn ?? on.day,
    },
  ];
  for (const { rows, what, since, limit } of steps)
    for (const row of rows)
      if (row.on.day < limit)
        yield tell(row, `${what} on ${row.on.day}, and it was ${since} on ${limit}`);
  for (const row of share.candlings)
    if (transferredOn !== null && row.on.day > transferredOn)
      yield tell(
        row,
        `candled on ${row.on.day}, after it was moved to the hatcher on ${transferredOn}`,
      );
  const [opening] = share.openings;
  if (opening !== undefined && transferredOn === null && !share.underHen)
    yield tell(
      opening,
      'chicks are recorded, and no transfer',
      `traybook add transfer ${set} --pen ${pen} --on DAY --moved N`,
    );
  // Chicks come when they come; days before the species' window they cannot.
  const first = share.openings.find((row) => row.values.hatched > 0);
  const { low } = share.pen.line.species.hatch_window_days.value;
  const earliest = addDays(on.day, low - work.hatch_early_days.value);
  if (first && first.on.day < earliest)
    yield tell(
      first,
      `chicks on ${first.on.day}, before ${earliest}; set on ${on.day}`,
      'is the set or the day wrong?',
    );
});

/** `order-of-events`: a row dated before what it depends on, or in the future. */
export const orderOfEvents = gathered(function* ({ season, now }: Checked): Generator<Fault> {
  for (const set of season.sets.values()) for (const share of set.shares) yield* orderFaults(share);
  for (const rows of Object.values(season.rows))
    for (const row of rows as readonly Row[]) yield* futureFault(row, now);
});

/** A row about a day that has not come. */
export function futureFault(row: Row, now: Now): Fault[] {
  const what = `on: ${row.on.day} has not come yet; today is ${now.day}`;
  return row.on.day > now.day
    ? [fault('order-of-events', row.at, what, { hint: 'is the year right?' })]
    : [];
}
