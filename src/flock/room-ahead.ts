import { occupantsOn, roomOf, type Stay } from '../facts/birds/brooders.ts';
import { kindOfLine } from '../facts/birds/groups.ts';
import { movingOut } from '../facts/birds/moving-out.ts';
import type { Night } from '../facts/birds/nights.ts';
import { limitsOf, type Occupant, type RoomLimit } from '../facts/birds/room.ts';
import { type ExpectedChicks, together } from '../judge/rates/expected-chicks.ts';
import { broodingOf } from '../season/brooding.ts';
import type { Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, daysIn, later } from '../text/day.ts';
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
  nightOn: (day: Day) => Night | null,
): WeekRoom[] {
  const brooders = [...season.brooders.values()];
  const exits = expected.map((one) => {
    const kind = kindOfLine(season, one.line);
    const isSlow = season.values.lines[one.line.name]?.feathers === 'slow';
    const out = movingOut(kind, one.hatch, Math.round(one.median), isSlow, nightOn);
    return (
      out.earliest ?? later(addDays(one.hatch, broodingOf(kind).heat_until_day.value), out.youngest)
    );
  });
  /** Birds in brooders on a day, with what each brooder offers them. */
  const housed = (day: Day) =>
    brooders.map((brooder) => {
      const occupants = occupantsOn(season, stays, brooder.name, day);
      return {
        birds: occupants.reduce((sum, one) => sum + one.birds, 0),
        limits: limitsOf(roomOf(season, brooder), occupants),
      };
    });
  const sums = (
    day: Day,
    pick: 'median' | 'high',
    there: ReturnType<typeof housed>,
  ): { birds: number; limits: RoomLimit[] } => {
    let birds = 0;
    const total = new Map<RoomLimit['what'], RoomLimit>();
    const add = (limits: readonly RoomLimit[], withHave: boolean): void => {
      for (const one of limits) {
        const same = total.get(one.what);
        const have =
          same === undefined
            ? withHave
              ? one.have
              : 0
            : withHave
              ? same.have === null || one.have === null
                ? null
                : same.have + one.have
              : same.have;
        total.set(one.what, {
          ...one,
          need: (same?.need ?? 0) + one.need,
          least: (same?.least ?? 0) + one.least,
          have,
        });
      }
    };
    for (const one of there) {
      birds += one.birds;
      add(one.limits, true);
    }
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
    birds += coming.reduce((all, one) => all + one.birds, 0);
    add(
      limitsOf(
        {
          area_m2: 0,
          heat: { kind: 'lamp', count: 1, watts: null, area_m2: null, places: null },
          feeder_cm: null,
          drinker_cm: null,
          house_c: null,
        },
        coming,
      ),
      false,
    );
    return { birds, limits: [...total.values()] };
  };
  return Array.from({ length: weeks }, (_, week) => {
    const start = addDays(from, week * WEEK);
    const days = daysIn(start, addDays(start, WEEK)).map((day) => {
      const there = housed(day);
      return { median: sums(day, 'median', there), high: sums(day, 'high', there) };
    });
    const whats = days[0]!.median.limits;
    return {
      from: start,
      birds: {
        median: largest(days.map((one) => one.median.birds)),
        high: largest(days.map((one) => one.high.birds)),
      },
      limits: whats.map((what, index) => ({
        what: what.what,
        unit: what.unit,
        median: largest(days.map((one) => one.median.limits[index]!.need)),
        high: largest(days.map((one) => one.high.limits[index]!.need)),
        have: what.have,
      })),
    };
  });
}
