import { broodingOf } from '../../season/brooding.ts';
import type { Brooder, Line, Now, Season, WeatherDay } from '../../season/model.ts';
import { celsius, weatherIn } from '../../season/weather.ts';
import { addDays, type Day, daysIn, earlier, later, months } from '../../text/day.ts';
import { once } from '../../text/once.ts';
import { ageOn, heatUnder, type RoofHeat } from '../heat.ts';
import { holdsDay, type Span } from '../spans.ts';
import { birdsIn, flockOf, type Group, type GroupPart, kindOfLine } from './groups.ts';
import { type MovingOut, movingOut } from './moving-out.ts';
import { type Night, type NightOn, type Normals, nightsModel } from './nights.ts';
import { type BrooderRoom, limitsOf, type Occupant, type RoomLimit } from './room.ts';

/** NIST SP 811, appendix B.8. */
const SQUARE_FOOT_M2 = 0.09290304;

/** A temperature of season.yaml or a log in °C. */
function celsiusOf(season: Season, value: number): number {
  return celsius(value, season.values.units.temperature);
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

/** Temperatures written down in this season, °C, by day. */
export function weatherOf(season: Season): WeatherDay[] {
  return weatherIn(season.rows.weather, season.values.units.temperature);
}

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

/**
 * What nights to expect, from this season's weather, earlier seasons' and the normals: worked out
 * when the first night is asked for.
 */
export function nightsOf(season: Season): NightOn {
  const model = once(() =>
    nightsModel([...season.earlierWeather, ...weatherOf(season)], normalsOf(season)),
  );
  const known = new Map<Day, Night | null>();
  return (day) => {
    let night = known.get(day);
    if (night === undefined) {
      night = model()(day);
      known.set(day, night);
    }
    return night;
  };
}

/** Birds of one line that leave the heat together: a group, or chicks to come. */
type Brooded = Pick<Group, 'line' | 'youngest' | 'living' | 'placed'>;

/** Chicks to come, as many as a usual set gives where nobody knows. */
export function chicksToCome(line: Line, hatch: Day, chicks = 30): Brooded {
  return { line, youngest: hatch, living: chicks, placed: chicks };
}

/** When birds may move out; by the youngest chicks. */
export function movingOutOf(season: Season, birds: Brooded, nightOn: NightOn): MovingOut {
  const { line, youngest, living, placed } = birds;
  const isSlow = season.values.lines[line.name]?.feathers === 'slow';
  const count = living > 0 ? living : placed;
  return movingOut(kindOfLine(season, line), youngest, count, isSlow, nightOn);
}

/** The day birds are expected to leave the heat: when the weather allows, else when heat ends. */
export function expectedExit(season: Season, birds: Brooded, nightOn: NightOn): Day {
  const out = movingOutOf(season, birds, nightOn);
  const { heat_until_day } = broodingOf(kindOfLine(season, birds.line));
  // Birds may have to stay under a roof past the heat, until the nights suit them.
  return out.earliest ?? later(addDays(birds.youngest, heat_until_day.value), out.youngest);
}

/** The birds of a group in a brooder on the half-open days [from, to). */
export type Stay = Span & {
  readonly group: Group;
  readonly brooder: string;
  /** True if `to` is a forecast. */
  readonly isOpen: boolean;
};

/** Every stay of a group in a brooder, from what is written; those still in it end when expected. */
export function staysOf(
  season: Season,
  groups: Iterable<Group>,
  now: Now,
  nightOn: NightOn,
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
    for (const [place, from] of begun) {
      if (!season.brooders.has(place)) continue;
      // Birds that are still in it hold it today, whatever was expected.
      const to = later(expectedExit(season, group, nightOn), addDays(later(now.day, from), 1));
      stays.push({ group, brooder: place, from, to, isOpen: true });
    }
  }
  return stays.sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0));
}

/** Birds of one group in one brooder on the half-open days [from, to). */
export type BrooderSpan = Span & {
  readonly brooder: string;
  readonly group: string;
  /** Living birds on the first of these days. */
  readonly birds: number;
  readonly state: 'planned' | 'actual';
};

/** Who is in which brooder: up to today as written, from there on as they are expected to leave. */
export function brooderSpansOf(season: Season, now: Now): BrooderSpan[] {
  if (season.brooders.size === 0) return [];
  const groups = flockOf(season).groups.values();
  return staysOf(season, groups, now, nightsOf(season))
    .flatMap((stay): BrooderSpan[] => {
      const until = earlier(stay.to, later(stay.from, addDays(now.day, 1)));
      const span = (from: Day, to: Day, state: BrooderSpan['state']): BrooderSpan => ({
        brooder: stay.brooder,
        group: stay.group.name,
        from,
        to,
        birds: birdsIn(stay.group, stay.brooder, from),
        state,
      });
      return [span(stay.from, until, 'actual'), span(until, stay.to, 'planned')];
    })
    .filter((span) => span.from < span.to);
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
    if (stay.brooder !== brooder || !holdsDay(stay, day)) continue;
    const birds = birdsIn(stay.group, brooder, day);
    const parts = partsUnder(stay.group, brooder, day);
    const chicks = parts.reduce((sum, part) => sum + part.chicks, 0);
    for (const part of parts)
      out.push({
        kind: kindOfLine(season, part.pen.line),
        ageDays: Math.max(0, ageOn(part.youngest, day)),
        birds: (birds * part.chicks) / chicks,
      });
  }
  return out;
}

/** The chicks of a group that can be in a brooder on a day: put there, or moved there since. */
function partsUnder(group: Group, brooder: string, day: Day): readonly GroupPart[] {
  const placed = group.parts.filter((part) => part.on.day <= day);
  const here = placed.filter(
    (part) =>
      part.brooder === brooder ||
      group.moves.some(
        (row) => row.values.to === brooder && row.on.day <= day && row.on.day >= part.on.day,
      ),
  );
  return here.length > 0 ? here : placed;
}

/** The limits of a brooder on a day. */
export type DayLimits = {
  readonly day: Day;
  readonly birds: number;
  readonly limits: readonly RoomLimit[];
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

/** The heat of one brooder by day, from its stays; null on days when nobody in it needs any. */
export function roofHeatOf(
  season: Season,
  stays: readonly Stay[],
  brooder: string,
): (day: Day) => RoofHeat | null {
  return (day) => heatUnder(occupantsOn(season, stays, brooder, day));
}
