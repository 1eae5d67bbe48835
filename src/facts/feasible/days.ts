import { isHen } from '../../season/hens.ts';
import type { Setter } from '../../season/model.ts';
import { addDays, type Day, weekdayOf } from '../../text/day.ts';
import type { Fault } from '../../text/fault.ts';
import { isDayOff, type Labour } from '../days-off.ts';
import { milestonesOfPlanned, milestonesOfSet, openPlan } from '../hatch-time.ts';
import { firstFertile } from '../laying.ts';
import { type Span, sharedDays, throughDay } from '../spans.ts';
import { type FeasibleLimit, type Reason, reason } from './reason.ts';

const doing: Record<Labour, string> = {
  set: 'is set',
  candle: 'is candled',
  transfer: 'is moved to the hatcher',
  hatch: 'hatches',
};

/** `day-off`: setting, transfer or hatch on a day the keeper does not do that work. */
export const dayOff: FeasibleLimit = ({ season, now }) => {
  const out: Reason[] = [];
  const look = (set: string, labour: Labour, day: Day, at: Fault['at']): void => {
    // What is past was done, day off or not.
    if (day < now.day || !isDayOff(season, labour, day)) return;
    out.push(
      reason('day-off', at, `${set} ${doing[labour]} on ${weekdayOf(day)} ${day}, a day off`, {
        set,
        day,
        severity: 'warning',
      }),
    );
  };
  for (const one of openPlan(season)) {
    const dates = milestonesOfPlanned(one, season);
    look(one.name, 'set', one.on, one.at);
    // Under a hen nobody moves eggs or opens a hatch.
    if (isHen(season, one.setter)) continue;
    look(one.name, 'transfer', dates.transfer, one.at);
    look(one.name, 'hatch', dates.hatch, one.at);
  }
  for (const set of season.sets.values()) {
    if (set.shares[0]!.underHen) continue;
    const dates = milestonesOfSet(set, season);
    if (set.shares.some((share) => share.stage === 'in-setter' && share.live > 0))
      look(set.name, 'transfer', dates.transfer, set.at);
    if (set.shares.some((share) => share.stage !== 'finished' && share.live > 0))
      look(set.name, 'hatch', dates.hatch, set.at);
  }
  return out;
};

/** The days a machine or brooder is closed, as spans. */
export function closedSpans(machine: {
  readonly closed: readonly Setter['closed'][number][];
}): (Span & { why: string })[] {
  return machine.closed.map(({ from, to, why }) => ({ ...throughDay(from, to), why: why ?? '' }));
}

/** `machine-closed`: eggs in a machine on days on which it is closed; what is past was done. */
export const machineClosed: FeasibleLimit = ({ season, now, occupancy }) => {
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
  return stays.flatMap(({ machine, ...stay }) =>
    (machine === undefined ? [] : closedSpans(machine)).flatMap((closed): Reason[] => {
      const shared = sharedDays(stay, closed);
      const key = JSON.stringify([stay.set, machine!.name, closed.from]);
      if (shared === null || shared.to <= now.day || told.has(key)) return [];
      told.add(key);
      const last = addDays(closed.to, -1);
      return [
        reason(
          'machine-closed',
          stay.at,
          `${machine!.name}: closed from ${closed.from} to ${last}${closed.why === '' ? '' : ` (${closed.why})`}, and ${stay.set} is there from ${stay.from} to ${addDays(stay.to, -1)}`,
          {
            set: stay.set,
            place: machine!.name,
            day: shared.from,
            hint: `set ${stay.set} on another day, or put it into another machine`,
          },
        ),
      ];
    }),
  );
};

/**
 * `out-of-season`: a planned set outside the days the keeper sets eggs; where `setting:` gives none,
 * outside the days on which its pens give eggs fit to set.
 */
export const outOfSeason: FeasibleLimit = ({ season, now }) => {
  const { from, to } = season.values.setting;
  return openPlan(season)
    .filter((one) => one.on >= now.day)
    .flatMap((one): Reason[] => {
      const tell = (words: string, pen: string | null = null): Reason[] => [
        reason('out-of-season', one.at, `${one.name}: planned for ${one.on}; ${words}`, {
          set: one.name,
          pen,
          day: one.on,
          severity: 'warning',
        }),
      ];
      if (from !== undefined && one.on < from) return tell(`eggs are set from ${from}`);
      if (to !== undefined && one.on > to) return tell(`eggs are set until ${to}`);
      return one.shares.flatMap(({ pen }) => {
        const ready = firstFertile(pen);
        if (from === undefined && one.on < ready)
          return tell(`${pen.name} gives eggs fit to set from ${ready}`, pen.name);
        const days = season.storageMaxDays(pen.line.species);
        // The last eggs are of the day before the parting.
        const last = pen.parted === null ? null : addDays(pen.parted, days - 1);
        if (to === undefined && last !== null && one.on > last)
          return tell(`the last eggs of ${pen.name} may be set until ${last}`, pen.name);
        return [];
      });
    });
};
