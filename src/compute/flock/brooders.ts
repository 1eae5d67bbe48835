import { broodingOf } from '../../season/brooding.ts';
import type { Brooder, Now, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween, daysIn, later } from '../../text/day.ts';
import { birdsIn, type Group, kindOfLine } from './groups.ts';
import { ageOn } from './heat.ts';
import { type MovingOut, movingOut } from './moving-out.ts';
import { type Night, type Normals, nightsModel, type WeatherDay } from './nights.ts';
import { type BrooderRoom, type Limit, limitsOf, type Occupant } from './room.ts';

const SQUARE_FOOT_M2 = 0.09290304;

/** A temperature of season.yaml or a log in °C. */
export function celsiusOf(season: Season, value: number): number {
  return season.values.units.temperature === 'F' ? ((value - 32) * 5) / 9 : value;
}

function squareMetresOf(season: Season, value: number): number {
  return season.values.units.area === 'ft2' ? value * SQUARE_FOOT_M2 : value;
}

/** What a brooder offers, in m² and °C whatever the units of the season. */
export function roomOf(season: Season, brooder: Brooder): BrooderRoom {
  const { heat } = brooder;
  return {
    area_m2: squareMetresOf(season, brooder.area),
    heat: heat
      ? {
          kind: heat.kind,
          count: heat.count,
          watts: heat.watts ?? null,
          area_m2: heat.area === undefined ? null : squareMetresOf(season, heat.area),
          places: heat.places ?? null,
        }
      : null,
    feeder_cm: brooder.feeder_cm ?? null,
    drinker_cm: brooder.drinker_cm ?? null,
    house_c: brooder.house_low === undefined ? null : celsiusOf(season, brooder.house_low),
  };
}

/** Temperatures written down in this season, °C, by day; the coldest and warmest of a day's rows. */
export function weatherOf(season: Season): WeatherDay[] {
  const days = new Map<Day, WeatherDay>();
  for (const row of season.rows.weather) {
    const low = row.values.low === null ? null : celsiusOf(season, row.values.low);
    const high = row.values.high === null ? null : celsiusOf(season, row.values.high);
    const same = days.get(row.on.day);
    const least = [low, same?.low ?? null].filter((one) => one !== null);
    const most = [high, same?.high ?? null].filter((one) => one !== null);
    days.set(row.on.day, {
      day: row.on.day,
      low: least.length > 0 ? Math.min(...least) : null,
      high: most.length > 0 ? Math.max(...most) : null,
    });
  }
  return [...days.values()].sort((a, b) => (a.day < b.day ? -1 : 1));
}

const months = [
  'jan',
  'feb',
  'mar',
  'apr',
  'may',
  'jun',
  'jul',
  'aug',
  'sep',
  'oct',
  'nov',
  'dec',
] as const;

/** The normals of season.yaml in °C. */
export function normalsOf(season: Season): Normals {
  return months.map((month) => {
    const one = season.values.normals[month];
    if (one === undefined) return null;
    const optional = (value: number | undefined): number | null =>
      value === undefined ? null : celsiusOf(season, value);
    return {
      low: celsiusOf(season, one.low),
      high: optional(one.high),
      low_10: optional(one.low_10),
    };
  });
}

/** What nights to expect, from this season's weather, earlier seasons' and the normals. */
export function nightsOf(
  season: Season,
  earlierNights: readonly WeatherDay[] = [],
): (day: Day) => Night | null {
  const model = nightsModel([...earlierNights, ...weatherOf(season)], normalsOf(season));
  const known = new Map<Day, Night | null>();
  return (day) => {
    let night = known.get(day);
    if (night === undefined) {
      night = model(day);
      known.set(day, night);
    }
    return night;
  };
}

/** When a group may move out; by its youngest chicks. */
export function movingOutOf(
  season: Season,
  group: Group,
  nightOn: (day: Day) => Night | null,
): MovingOut {
  const isSlow = season.values.lines[group.line.name]?.feathers === 'slow';
  return movingOut(
    kindOfLine(season, group.line),
    group.youngest,
    group.living > 0 ? group.living : group.placed,
    isSlow,
    nightOn,
  );
}

/** The day a group is expected to leave the heat: when the weather allows, else when heat ends. */
export function expectedExit(
  season: Season,
  group: Group,
  nightOn: (day: Day) => Night | null,
): Day {
  const out = movingOutOf(season, group, nightOn);
  const heatEnds = addDays(
    group.youngest,
    broodingOf(kindOfLine(season, group.line)).heat_until_day.value,
  );
  // Birds may have to stay under a roof past the heat, until the nights suit them.
  return out.earliest ?? later(heatEnds, out.youngest);
}

/** Chicks that a set not yet hatched is expected to give. */
export type ExpectedChicks = {
  readonly set: string;
  readonly line: Group['line'];
  readonly hatch: Day;
  readonly median: number;
  /** The number that nine chances in ten stay at or below. */
  readonly high: number;
};

/** The birds of a group in a brooder on the half-open days [from, to). */
export type Stay = {
  readonly group: Group;
  readonly brooder: string;
  readonly from: Day;
  readonly to: Day;
  /** True if `to` is a forecast. */
  readonly isOpen: boolean;
};

/** Every stay of a group in a brooder, from what is written; those still in it end when expected. */
export function staysOf(
  season: Season,
  groups: Iterable<Group>,
  now: Now,
  nightOn: (day: Day) => Night | null,
): Stay[] {
  const stays: Stay[] = [];
  for (const group of groups) {
    const begun = new Map<string, Day>();
    for (const standing of group.standings) {
      for (const [place, from] of begun)
        if (!standing.places.has(place)) {
          if (season.brooders.has(place) && from < standing.day)
            stays.push({ group, brooder: place, from, to: standing.day, isOpen: false });
          begun.delete(place);
        }
      for (const place of standing.places.keys())
        if (!begun.has(place)) begun.set(place, standing.day);
    }
    const exit = expectedExit(season, group, nightOn);
    for (const [place, from] of begun) {
      if (!season.brooders.has(place)) continue;
      // Birds that are still in it hold it today, whatever was expected.
      const to = later(exit, addDays(later(now.day, from), 1));
      stays.push({ group, brooder: place, from, to, isOpen: true });
    }
  }
  return stays.sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0));
}

/** Occupants of a brooder on a day by its stays. */
export function occupantsOn(
  season: Season,
  stays: readonly Stay[],
  brooder: string,
  day: Day,
): Occupant[] {
  const out: Occupant[] = [];
  for (const stay of stays) {
    if (stay.brooder !== brooder || day < stay.from || day >= stay.to) continue;
    const birds = birdsIn(stay.group, brooder, day);
    for (const part of mixOf(stay.group))
      out.push({
        kind: kindOfLine(season, part.line),
        ageDays: Math.max(0, ageOn(part.hatched, day)),
        birds: birds * part.share,
      });
  }
  return out;
}

/** A group's lines and hatch days by their share of the chicks placed. */
function mixOf(group: Group): { line: Group['line']; hatched: Day; share: number }[] {
  const mix = new Map<string, { line: Group['line']; hatched: Day; share: number }>();
  for (const part of group.parts) {
    const key = `${part.pen.line.name} ${part.hatched}`;
    const same = mix.get(key) ?? { line: part.pen.line, hatched: part.hatched, share: 0 };
    same.share += part.chicks / group.placed;
    mix.set(key, same);
  }
  return [...mix.values()];
}

/** The limits of a brooder on a day. */
export type DayLimits = {
  readonly day: Day;
  readonly birds: number;
  readonly limits: readonly Limit[];
};

/** The limits of one brooder on each of the half-open days [from, to), from its groups alone. */
export function limitsOver(
  season: Season,
  brooder: Brooder,
  stays: readonly Stay[],
  from: Day,
  to: Day,
): DayLimits[] {
  const room = roomOf(season, brooder);
  return daysIn(from, to).map((day) => {
    const occupants = occupantsOn(season, stays, brooder.name, day);
    return {
      day,
      birds: occupants.reduce((sum, one) => sum + one.birds, 0),
      limits: limitsOf(room, occupants),
    };
  });
}

/** Need of all brooders together in one week, with the chicks that are expected. */
export type WeekRoom = {
  readonly from: Day;
  /** Birds in brooders on the fullest day, with the expected chicks: median and nine in ten. */
  readonly birds: { readonly median: number; readonly high: number };
  /** The fullest day's needs by limit, summed over all brooders. */
  readonly limits: readonly {
    readonly what: Limit['what'];
    readonly unit: Limit['unit'];
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
  const sums = (day: Day, pick: 'median' | 'high'): { birds: number; limits: Limit[] } => {
    let birds = 0;
    const total = new Map<Limit['what'], Limit>();
    const add = (limits: readonly Limit[], withHave: boolean): void => {
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
    for (const brooder of brooders) {
      const occupants = occupantsOn(season, stays, brooder.name, day);
      birds += occupants.reduce((sum, one) => sum + one.birds, 0);
      add(limitsOf(roomOf(season, brooder), occupants), true);
    }
    // Expected chicks are rated as under lamps: which heat they will get is not known.
    const coming: Occupant[] = expected
      .map((one, index) => ({ one, exit: exits[index]! }))
      .filter(({ one, exit }) => one.hatch <= day && day < exit)
      .map(({ one }) => ({
        kind: kindOfLine(season, one.line),
        ageDays: daysBetween(one.hatch, day),
        birds: one[pick],
      }));
    birds += coming.reduce((sum, one) => sum + one.birds, 0);
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
    const days = daysIn(start, addDays(start, WEEK)).map((day) => ({
      median: sums(day, 'median'),
      high: sums(day, 'high'),
    }));
    const whats = days[0]!.median.limits;
    return {
      from: start,
      birds: {
        median: Math.max(...days.map((one) => one.median.birds)),
        high: Math.max(...days.map((one) => one.high.birds)),
      },
      limits: whats.map((what, index) => ({
        what: what.what,
        unit: what.unit,
        median: Math.max(...days.map((one) => one.median.limits[index]!.need)),
        high: Math.max(...days.map((one) => one.high.limits[index]!.need)),
        have: what.have,
      })),
    };
  });
}
