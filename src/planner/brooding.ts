/**
 * Room under heat for the chicks of a plan: they grow, and a brooder must hold them at the age at
 * which they leave it. Chicks of sets to come have no brooder yet, so all brooders are taken together.
 */

import {
  chicksToCome,
  expectedExit,
  nightsOf,
  occupantsOn,
  roomOf,
  staysOf,
} from '../facts/birds/brooders.ts';
import { flockOf, kindOfLine } from '../facts/birds/groups.ts';
import { limitsOf, underLamps } from '../facts/birds/room.ts';
import { raisedLines } from '../facts/claims.ts';
import { closedSpans } from '../facts/feasible/days.ts';
import { holdsDay } from '../facts/spans.ts';
import { expectedMeans } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Line, Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, daysIn, later } from '../text/day.ts';
import { meanRate } from './mean-rate.ts';
import type { BroodingRoom, RoofLook } from './roofs.ts';

const WEEK = 7;

/**
 * Room under the brooders' roofs as the program takes it, on each day as `check` looks at it: what one egg of
 * a pen set on a day will ask, and what is free. Kinds kept apart (waterfowl, turkeys, game birds, fowl)
 * never share a roof in one week. Null where season.yaml names no brooders.
 */
export function broodingRoom(
  season: Season,
  now: Now,
  rates: FarmRates,
  pens: readonly Pen[],
  lastHatch: Day,
): BroodingRoom | null {
  if (season.brooders.size === 0) return null;
  const raised = raisedLines(season);
  const nightOn = nightsOf(season);
  const exits = new Map<string, Day>();
  const exitOf = (line: Line, hatch: Day): Day => {
    const key = `${line.name} ${hatch}`;
    const known = exits.get(key) ?? expectedExit(season, chicksToCome(line, hatch), nightOn);
    exits.set(key, known);
    return known;
  };
  /** What so many chicks of a line ask of each limit on a day. */
  const askedBy = (line: Line, hatch: Day, birds: number, day: Day, limit: number): number => {
    if (day < hatch || day >= exitOf(line, hatch)) return 0;
    const kind = kindOfLine(season, line);
    return limitsOf(underLamps, [{ kind, ageDays: daysBetween(hatch, day), birds }])[limit]!.need;
  };
  const stays = staysOf(season, flockOf(season).groups.values(), now, nightOn);
  const coming = expectedMeans(season, now, rates).filter((one) => raised.has(one.line));
  const lines = [...new Set(pens.map(({ line }) => line))];
  const until = [
    ...coming,
    ...lines.filter((line) => raised.has(line)).map((line) => ({ line, hatch: lastHatch })),
  ]
    .map(({ line, hatch }) => exitOf(line, hatch))
    .reduce(later, now.day);
  const brooders = [...season.brooders.values()].map((one) => ({
    name: one.name,
    room: roomOf(season, one),
    closed: closedSpans(one),
  }));
  const groups = [
    ...new Set([...lines, ...coming.map(({ line }) => line)].map((line) => line.species.group)),
  ];
  const chicks = pens.map((pen) => meanRate(rates, { want: 'chicks', at: 'hatch' }, pen));
  const looks = daysIn(now.day, until).flatMap((day) => {
    const at = daysBetween(now.day, day);
    const open = brooders.map(({ name, room, closed }) => {
      if (closed.some((span) => holdsDay(span, day))) return null;
      const here = stays.filter((stay) => stay.brooder === name && holdsDay(stay, day));
      return {
        limits: limitsOf(room, occupantsOn(season, stays, name, day)),
        groups: new Set(here.flatMap((stay) => stay.group.lines.map((line) => line.species.group))),
      };
    });
    return limitsOf(underLamps, []).flatMap(({ what }, w): RoofLook[] => {
      if (open.some((roof) => roof !== null && roof.limits[w]!.have === null)) return [];
      // Asked of every egg there could be, again and again.
      const ofLine = new Map(lines.map((line) => [line, [] as number[]]));
      return [
        {
          name: `${what} on day ${at}`,
          week: Math.floor(at / WEEK),
          free: open.map((roof) =>
            groups.map((group) =>
              roof === null || [...roof.groups].some((other) => other !== group)
                ? 0
                : Math.max(0, roof.limits[w]!.have! - roof.limits[w]!.need),
            ),
          ),
          awaited: groups.map((group) =>
            coming.reduce(
              (sum, { line, hatch, mean }) =>
                line.species.group === group ? sum + askedBy(line, hatch, mean, day, w) : sum,
              0,
            ),
          ),
          asked: (source, set) => {
            const { line } = pens[source]!;
            if (!raised.has(line)) return 0;
            const bySet = ofLine.get(line)!;
            const hatch = set + line.species.hatch_day.value;
            bySet[set] ??= askedBy(line, addDays(now.day, hatch), 1, day, w);
            return bySet[set]! * chicks[source]!;
          },
        },
      ];
    });
  });
  return {
    groupOf: pens.map((pen) => groups.indexOf(pen.line.species.group)),
    groups: groups.length,
    looks,
  };
}
