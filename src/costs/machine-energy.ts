import { occupancyOf } from '../facts/occupancy.ts';
import type { Span } from '../facts/spans.ts';
import { sumOf } from '../facts/tally.ts';
import { machineSetters } from '../season/hens.ts';
import type { Now, Season } from '../season/model.ts';
import { type Day, daysIn, earlier } from '../text/day.ts';

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
  const used = machines
    .map(({ one, spans }) => ({
      one,
      days: daysTaken(
        spans.filter((span) => span.state === 'actual'),
        now.day,
      ),
    }))
    .filter(({ days }) => days > 0);
  return {
    kwh: sumOf(
      used.map(({ one: { watts }, days }) =>
        watts === undefined ? null : (watts / 1000) * HOURS_A_DAY * days,
      ),
    ),
    unrated: used.filter(({ one }) => one.watts === undefined).map(({ one }) => one.name),
  };
}

/** Days that are in any of some spans, up to `until`. */
const daysTaken = (spans: readonly Span[], until: Day): number =>
  new Set(spans.flatMap(({ from, to }) => daysIn(from, earlier(to, until)))).size;
