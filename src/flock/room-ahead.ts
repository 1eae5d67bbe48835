import {
  chicksToCome,
  expectedExit,
  occupantsOn,
  roomOf,
  type Stay,
} from '../facts/birds/brooders.ts';
import { kindOfLine } from '../facts/birds/groups.ts';
import type { NightOn } from '../facts/birds/nights.ts';
import { limitsOf, type Occupant, type RoomLimit, underLamps } from '../facts/birds/room.ts';
import { sumOf, total } from '../facts/tally.ts';
import { type ExpectedChicks, together } from '../judge/rates/expected-chicks.ts';
import type { Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, daysIn } from '../text/day.ts';
import { largest } from '../text/lists.ts';

/** Need of all brooders together in one week, with the chicks that are expected. */
export type WeekRoom = {
  readonly from: Day;
  /** Birds in brooders on the fullest day, with the expected chicks: median and nine in ten. */
  readonly birds: { readonly median: number; readonly high: number };
  /** The fullest day's needs by limit, summed over all brooders. */
  readonly limits: readonly {
    readonly what: RoomLimit['what'];
    readonly unit: RoomLimit['unit'];
    readonly median: number;
    readonly high: number;
    /** Null where a brooder does not say what it offers. */
    readonly have: number | null;
  }[];
};

const WEEK = 7;

/**
 * Room in all brooders together over the coming weeks. Chicks of sets not hatched yet have no
 * brooder, so the sum is what can be said: they stay until the weather lets them out.
 */
export function roomAhead(
  season: Season,
  stays: readonly Stay[],
  expected: readonly ExpectedChicks[],
  from: Day,
  weeks: number,
  nightOn: NightOn,
): WeekRoom[] {
  const brooders = [...season.brooders.values()];
  const exits = expected.map(({ line, hatch, median }) =>
    expectedExit(season, chicksToCome(line, hatch, Math.round(median)), nightOn),
  );
  const rooms = brooders.map((brooder) => roomOf(season, brooder));
  /** Birds in brooders on a day, and the needs of them and of so many of the chicks expected. */
  const sums = (day: Day, pick: 'median' | 'high') => {
    const lived = brooders.map(({ name }) => occupantsOn(season, stays, name, day));
    // Expected chicks are rated as under lamps: which heat they will get is not known.
    const here = expected.filter((one, index) => one.hatch <= day && day < exits[index]!);
    const sum = together(here);
    // By nine in ten every age among them is fuller by as much as their sum.
    const fuller = pick === 'median' || sum.median === 0 ? 1 : sum.high / sum.median;
    const coming: Occupant[] = here.map((one) => ({
      kind: kindOfLine(season, one.line),
      ageDays: daysBetween(one.hatch, day),
      birds: one.mean * fuller,
    }));
    const offered = lived.map((occupants, index) => limitsOf(rooms[index]!, occupants));
    const asked = [...offered, limitsOf(underLamps, coming)];
    return {
      birds: total([...lived, coming], (all) => total(all, (one) => one.birds)),
      limits: asked[0]!.map(({ what, unit }, index) => ({
        what,
        unit,
        need: total(asked, (limits) => limits[index]!.need),
        have: sumOf(offered.map((limits) => limits[index]!.have)),
      })),
    };
  };
  return Array.from({ length: weeks }, (_, week) => {
    const start = addDays(from, week * WEEK);
    const days = daysIn(start, addDays(start, WEEK)).map((day) => ({
      median: sums(day, 'median'),
      high: sums(day, 'high'),
    }));
    return {
      from: start,
      birds: {
        median: largest(days.map((one) => one.median.birds)),
        high: largest(days.map((one) => one.high.birds)),
      },
      limits: days[0]!.median.limits.map(({ what, unit, have }, index) => ({
        what,
        unit,
        median: largest(days.map((one) => one.median.limits[index]!.need)),
        high: largest(days.map((one) => one.high.limits[index]!.need)),
        have,
      })),
    };
  });
}
