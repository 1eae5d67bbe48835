import { isHen } from '../../season/hens.ts';
import type { Setter } from '../../season/model.ts';
import { addDays, type Day, weekdayOf } from '../../text/day.ts';
import type { Fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { isDayOff, type Labour } from '../days-off.ts';
import { milestonesOfPlanned, milestonesOfSet, openPlan } from '../hatch-time.ts';
import { firstFertile } from '../laying.ts';
import { type Span, sharedDays, throughDay } from '../spans.ts';
import { type Reason, reason, type Setting } from './reason.ts';

const doing: Record<Labour, string> = {
  set: 'is set',
  candle: 'is candled',
  transfer: 'is moved to the hatcher',
  hatch: 'hatches',
};

/** `day-off`: setting, transfer or hatch on a day the keeper does not do that work. */
export const dayOff = gathered(function* ({ season, now }: Setting): Generator<Reason> {
  const due: [set: { name: string; at: Fault['at'] }, labour: Labour, day: Day][] = [];
  for (const one of openPlan(season)) {
    const dates = milestonesOfPlanned(one, season);
    due.push([one, 'set', one.on]);
    // Under a hen nobody moves eggs or opens a hatch.
    if (isHen(season, one.setter)) continue;
    due.push([one, 'transfer', dates.transfer], [one, 'hatch', dates.hatch]);
  }
  for (const set of season.sets.values()) {
    if (set.shares[0]!.underHen) continue;
    const dates = milestonesOfSet(set, season);
    const live = set.shares.filter((share) => share.live > 0);
    if (live.some((share) => share.stage === 'in-setter'))
      due.push([set, 'transfer', dates.transfer]);
    if (live.some((share) => share.stage !== 'finished')) due.push([set, 'hatch', dates.hatch]);
  }
  // What is past was done, day off or not.
  for (const [{ name, at }, labour, day] of due)
    if (day >= now.day && isDayOff(season, labour, day))
      yield reason(
        'day-off',
        at,
        `${name} ${doing[labour]} on ${weekdayOf(day)} ${day}, a day off`,
        {
          set: name,
          day,
          severity: 'warning',
        },
      );
});

/** The days a machine or brooder is closed, as spans. */
export function closedSpans(machine: {
  readonly closed: readonly Setter['closed'][number][];
}): (Span & { why: string })[] {
  return machine.closed.map(({ from, to, why }) => ({ ...throughDay(from, to), why: why ?? '' }));
}

/** `machine-closed`: eggs in a machine on days on which it is closed; what is past was done. */
export const machineClosed = gathered(function* ({
  season,
  now,
  occupancy,
}: Setting): Generator<Reason> {
  const { trays, hatchers } = occupancy;
  const stays = [
    ...trays.map((span) => ({ ...span, machine: season.setters.get(span.setter) })),
    ...hatchers.map((span) => ({
      ...span,
      to: span.emptyOn,
      machine: season.hatchers.get(span.hatcher),
    })),
  ];
  const told = new Set<string>();
  for (const { machine, set, at, ...stay } of stays) {
    if (machine === undefined) continue;
    for (const closed of closedSpans(machine)) {
      const shared = sharedDays(stay, closed);
      const key = JSON.stringify([set, machine.name, closed.from]);
      if (shared === null || shared.to <= now.day || told.has(key)) continue;
      told.add(key);
      const why = closed.why === '' ? '' : ` (${closed.why})`;
      yield reason(
        'machine-closed',
        at,
        `${machine.name}: closed from ${closed.from} to ${addDays(closed.to, -1)}${why}, and ${set} is there from ${stay.from} to ${addDays(stay.to, -1)}`,
        {
          set,
          place: machine.name,
          day: shared.from,
          hint: `set ${set} on another day, or put it into another machine`,
        },
      );
    }
  }
});

/**
 * `out-of-season`: a planned set outside the days the keeper sets eggs; where `setting:` gives none,
 * outside the days on which its pens give eggs fit to set.
 */
export const outOfSeason = gathered(function* ({ season, now }: Setting): Generator<Reason> {
  const { from, to } = season.values.setting;
  for (const { name, on, at, shares } of openPlan(season)) {
    if (on < now.day) continue;
    const tell = (words: string, pen: string | null = null): Reason =>
      reason('out-of-season', at, `${name}: planned for ${on}; ${words}`, {
        set: name,
        pen,
        day: on,
        severity: 'warning',
      });
    const isEarly = from !== undefined && on < from;
    const isLate = to !== undefined && on > to;
    if (isEarly) yield tell(`eggs are set from ${from}`);
    else if (isLate) yield tell(`eggs are set until ${to}`);
    if (isEarly || isLate) continue;
    for (const { pen } of shares) {
      const ready = firstFertile(pen);
      // The last eggs are of the day before the parting.
      const days = season.storageMaxDays(pen.line.species);
      const last = pen.parted === null ? null : addDays(pen.parted, days - 1);
      if (from === undefined && on < ready)
        yield tell(`${pen.name} gives eggs fit to set from ${ready}`, pen.name);
      else if (to === undefined && last !== null && on > last)
        yield tell(`the last eggs of ${pen.name} may be set until ${last}`, pen.name);
    }
  }
});
