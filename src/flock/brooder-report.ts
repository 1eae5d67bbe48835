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
import { waitingChicks } from '../facts/birds/holding.ts';
import { nightsMissing } from '../facts/birds/nights.ts';
import { heatUse } from '../facts/heat.ts';
import type { ExpectedChicks } from '../judge/rates/expected-chicks.ts';
import type { Brooder, Now, Season } from '../season/model.ts';
import { addDays, type Day, daysIn, earlier } from '../text/day.ts';
import { largest } from '../text/lists.ts';
import { powerPrice } from './prices.ts';
import { roomAhead } from './room-ahead.ts';

export type BrooderReport = ReturnType<typeof brooderReport>;
export type BrooderAhead = BrooderReport['brooders'][number];
export type LimitAhead = BrooderAhead['limits'][number];

const WEEK = 7;

/** Room, heat and moving out, from today over some weeks. */
export function brooderReport(
  season: Season,
  now: Now,
  weeks: number,
  expected: readonly ExpectedChicks[],
) {
  const nightOn = nightsOf(season);
  const groups = [...flockOf(season).groups.values()];
  const stays = staysOf(season, groups, now, nightOn);
  const until = addDays(now.day, weeks * WEEK);
  const price = powerPrice(season);
  const ofBrooder = (brooder: Brooder) => {
    const own = stays.filter((stay) => stay.brooder === brooder.name && now.day < stay.to);
    if (own.length === 0) return null;
    const room = roomOf(season, brooder);
    const days = limitsOver(season, brooder, own, now.day, until);
    const heatOn = roofHeatOf(season, own, brooder.name);
    const needOn = (day: Day): number | null => heatOn(day)?.low ?? null;
    const heat = room.heat === null ? null : heatUse(room.heat, now.day, until, needOn, nightOn);
    return {
      name: brooder.name,
      birds: Math.round(days[0]!.birds),
      /** °C at the edge of the heat today; null if nothing in it needs heat. */
      need_c: needOn(now.day),
      roof_heat: heatOn(now.day),
      /** Each limit: now, on its fullest day and the first of those, the least that texts allow. */
      limits: days[0]!.limits.map(({ what, unit, need, have }, index) => {
        const fullest = days.reduce((most, one) =>
          one.limits[index]!.need > most.limits[index]!.need + 1e-9 ? one : most,
        );
        return {
          what,
          unit,
          now: need,
          need: fullest.limits[index]!.need,
          on: fullest.day,
          least: largest(days.map((one) => one.limits[index]!.least)),
          have,
        };
      }),
      heat,
      /** Of the heat, in the season's currency; null if the price of power is not known. */
      heat_cost: heat === null || price === null ? null : heat.kwh * price.each,
      lamps: room.heat?.kind === 'lamp' ? room.heat.count : null,
    };
  };
  const all = [...season.brooders.values()].map((brooder) => ({
    name: brooder.name,
    ahead: ofBrooder(brooder),
  }));
  const weather = weatherOf(season);
  return {
    brooders: all.map(({ ahead }) => ahead).filter((ahead) => ahead !== null),
    /** Brooders that no bird is in or comes to. */
    empty: all.filter(({ ahead }) => ahead === null).map(({ name }) => name),
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
