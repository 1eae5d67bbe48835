import {
  limitsOver,
  movingOutOf,
  nightsOf,
  roofHeatOf,
  roomOf,
  staysOf,
  weatherOf,
} from '../facts/birds/brooders.ts';
import { flockOf } from '../facts/birds/groups.ts';
import { type Waiting, waitingChicks } from '../facts/birds/holding.ts';
import type { MovingOut } from '../facts/birds/moving-out.ts';
import { nightsMissing } from '../facts/birds/nights.ts';
import type { RoomLimit } from '../facts/birds/room.ts';
import { type HeatUse, heatUse, type RoofHeat } from '../facts/heat.ts';
import { type ExpectedChicks, expectedHatches } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Now, Season } from '../season/model.ts';
import { addDays, type Day, daysIn, earlier } from '../text/day.ts';
import { largest } from '../text/lists.ts';
import { powerPrice } from './prices.ts';
import { roomAhead, type WeekRoom } from './room-ahead.ts';

/** One limit of a brooder over the days looked at: now, on its fullest day, and what is there. */
export type LimitAhead = {
  readonly what: RoomLimit['what'];
  readonly unit: RoomLimit['unit'];
  readonly now: number;
  /** The most needed, the first day of it, and the least that texts allow. */
  readonly need: number;
  readonly on: Day;
  readonly least: number;
  readonly have: number | null;
};

export type BrooderAhead = {
  readonly name: string;
  readonly birds: number;
  /** °C at the edge of the heat today; null if nothing in it needs heat. */
  readonly need_c: number | null;
  readonly roof_heat: RoofHeat | null;
  readonly limits: readonly LimitAhead[];
  readonly heat: HeatUse | null;
  /** Of the heat, in the season's currency; null if the price of power is not known. */
  readonly heat_cost: number | null;
  readonly lamps: number | null;
};

export type BrooderReport = {
  readonly brooders: readonly BrooderAhead[];
  /** Brooders that no bird is in or comes to. */
  readonly empty: readonly string[];
  readonly leaving: readonly ({ readonly group: string } & MovingOut)[];
  readonly expected: readonly ExpectedChicks[];
  readonly weeks: readonly WeekRoom[];
  readonly waiting: readonly Waiting[];
  readonly nightsMissing: readonly Day[];
};

const WEEK = 7;

/** Room, heat and moving out, from today over some weeks. */
export function brooderReport(
  season: Season,
  now: Now,
  weeks: number,
  rates: FarmRates,
): BrooderReport {
  const nightOn = nightsOf(season);
  const groups = [...flockOf(season).groups.values()];
  const stays = staysOf(season, groups, now, nightOn);
  const until = addDays(now.day, weeks * WEEK);
  const price = powerPrice(season);
  const brooders: BrooderAhead[] = [];
  const empty: string[] = [];
  for (const brooder of season.brooders.values()) {
    const own = stays.filter((stay) => stay.brooder === brooder.name && now.day < stay.to);
    if (own.length === 0) {
      empty.push(brooder.name);
      continue;
    }
    const room = roomOf(season, brooder);
    const days = limitsOver(season, brooder, own, now.day, until);
    const heatOn = roofHeatOf(season, own, brooder.name);
    const needOn = (day: Day): number | null => heatOn(day)?.low ?? null;
    const heat = room.heat === null ? null : heatUse(room.heat, now.day, until, needOn, nightOn);
    brooders.push({
      name: brooder.name,
      birds: Math.round(days[0]!.birds),
      need_c: needOn(now.day),
      roof_heat: heatOn(now.day),
      limits: days[0]!.limits.map((limit, index) => {
        const fullest = days.reduce((most, one) =>
          one.limits[index]!.need > most.limits[index]!.need + 1e-9 ? one : most,
        );
        return {
          what: limit.what,
          unit: limit.unit,
          now: limit.need,
          need: fullest.limits[index]!.need,
          on: fullest.day,
          least: largest(days.map((one) => one.limits[index]!.least)),
          have: limit.have,
        };
      }),
      heat,
      heat_cost: heat === null || price === null ? null : heat.kwh * price.each,
      lamps: room.heat?.kind === 'lamp' ? room.heat.count : null,
    });
  }
  const expected = expectedHatches(season, now, rates);
  const weather = weatherOf(season);
  return {
    brooders,
    empty,
    leaving: groups
      .filter((group) =>
        [...group.standings.at(-1)!.places.keys()].some((place) => season.brooders.has(place)),
      )
      .map((group) => ({ group: group.name, ...movingOutOf(season, group, nightOn) })),
    expected,
    weeks:
      season.brooders.size === 0 ? [] : roomAhead(season, stays, expected, now.day, weeks, nightOn),
    waiting: waitingChicks(season, now),
    nightsMissing:
      weather.length > 1
        ? nightsMissing(weather, daysIn(weather[0]!.day, earlier(weather.at(-1)!.day, now.day)))
        : [],
  };
}
