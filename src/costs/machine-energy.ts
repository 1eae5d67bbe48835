import { occupancyOf } from '../facts/occupancy.ts';
import { machineSetters } from '../season/hens.ts';
import type { Now, Season } from '../season/model.ts';
import { type Day, daysBetween, earlier } from '../text/day.ts';

const HOURS_A_DAY = 24;

/**
 * Energy of setters and hatchers at their rated watts on every day with eggs in, kWh; null if a
 * machine in use does not say its watts, which is then among `unrated`.
 */
export function machineEnergy(
  season: Season,
  now: Now,
): { readonly kwh: number | null; readonly unrated: readonly string[] } {
  const occupancy = occupancyOf(season, now);
  const machines = [
    ...machineSetters(season).map((one) => ({
      one,
      spans: occupancy.trays.filter((span) => span.setter === one.name),
    })),
    ...[...season.hatchers.values()].map((one) => ({
      one,
      spans: occupancy.hatchers.filter((span) => span.hatcher === one.name),
    })),
  ];
  let kwh: number | null = 0;
  const unrated: string[] = [];
  for (const { one, spans } of machines) {
    const days = daysTaken(
      spans.filter((span) => span.state === 'actual'),
      now.day,
    );
    if (days === 0) continue;
    if (one.watts === undefined) {
      unrated.push(one.name);
      kwh = null;
    } else if (kwh !== null) kwh += (one.watts / 1000) * HOURS_A_DAY * days;
  }
  return { kwh, unrated };
}

/** Days of the union of half-open spans, up to `until`. */
function daysTaken(spans: readonly { from: Day; to: Day }[], until: Day): number {
  let days = 0;
  let through: Day | null = null;
  for (const span of [...spans].sort((a, b) => (a.from < b.from ? -1 : 1))) {
    const from: Day = through !== null && through > span.from ? through : span.from;
    const to = earlier(span.to, until);
    if (to <= from) continue;
    days += daysBetween(from, to);
    through = to;
  }
  return days;
}
