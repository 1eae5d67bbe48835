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
import { limitsOf, type RoomLimit, underLamps } from '../facts/birds/room.ts';
import { raisedLines } from '../facts/claims.ts';
import { closedSpans } from '../facts/feasible/days.ts';
import { holdsDay } from '../facts/spans.ts';
import { expectedMeans } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import type { Line, Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, later } from '../text/day.ts';
import { meanRate } from './mean-rate.ts';
import type { BroodingRoom, Look } from './roofs.ts';

/** Days between looks at the room: `check` looks on every day. */
const EVERY = 1;

/** A limit of all brooders together on the day it is most exceeded. */
export interface Crowding {
  what: RoomLimit['what'];
  unit: RoomLimit['unit'];
  day: Day;
  need: number;
  have: number;
}

/** Limits of every brooder on the days looked at, what chicks to come ask of them, and when chicks leave. */
interface BroodingAhead {
  days: readonly Day[];
  /** By day, by brooder: its limits with the birds that live in it, and the kinds apart that they are of. */
  offered: readonly (readonly { limits: readonly RoomLimit[]; groups: ReadonlySet<string> }[])[];
  exitOf: (line: Line, hatch: Day) => Day;
  /** What so many chicks of a line ask on a day, if any are there. */
  askedBy: (line: Line, hatch: Day, birds: number, day: Day) => readonly RoomLimit[] | null;
  isRaised: (line: Line) => boolean;
  coming: readonly ComingChicks[];
}

interface ComingChicks {
  line: Line;
  hatch: Day;
  mean: number;
}

function broodingOfSeason(
  season: Season,
  now: Now,
  rates: FarmRates,
  last: readonly { readonly line: Line; readonly hatch: Day }[],
): BroodingAhead | null {
  if (season.brooders.size === 0) return null;
  const raised = raisedLines(season);
  const nightOn = nightsOf(season);
  const exits = new Map<string, Day>();
  const exitOf = (line: Line, hatch: Day): Day => {
    const key = `${line.name} ${hatch}`;
    const known = exits.get(key);
    if (known) return known;
    const made = expectedExit(season, chicksToCome(line, hatch), nightOn);
    exits.set(key, made);
    return made;
  };
  const stays = staysOf(season, flockOf(season).groups.values(), now, nightOn);
  const coming = expectedMeans(season, now, rates).filter((one) => raised.has(one.line));
  const hatches = [...coming, ...last.filter((one) => raised.has(one.line))];
  const until = hatches.map((one) => exitOf(one.line, one.hatch)).reduce(later, now.day);
  const days: Day[] = [];
  for (let day = now.day; day < until; day = addDays(day, EVERY)) days.push(day);
  const brooders = [...season.brooders.values()].map((one) => ({
    name: one.name,
    room: roomOf(season, one),
    closed: closedSpans(one),
  }));
  const offered = days.map((day) =>
    brooders.map(({ name, room, closed }) => {
      if (closed.some((span) => holdsDay(span, day)))
        return {
          limits: limitsOf(room, []).map((limit) => ({ ...limit, have: 0 })),
          groups: new Set<string>(),
        };
      const here = stays.filter(
        (stay) => stay.brooder === name && stay.from <= day && day < stay.to,
      );
      return {
        limits: limitsOf(room, occupantsOn(season, stays, name, day)),
        groups: new Set(here.flatMap((stay) => stay.group.lines.map((line) => line.species.group))),
      };
    }),
  );
  const askedBy: BroodingAhead['askedBy'] = (line, hatch, birds, day) => {
    if (day < hatch || day >= exitOf(line, hatch)) return null;
    const kind = kindOfLine(season, line);
    return limitsOf(underLamps, [{ kind, ageDays: daysBetween(hatch, day), birds }]);
  };
  return { days, offered, exitOf, askedBy, isRaised: (line) => raised.has(line), coming };
}

/** Where a plan asks more of the brooders than they have; none where season.yaml names no brooders. */
export function crowdingOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  lines: readonly { readonly hatch: Day; readonly shares: Readonly<Record<string, number>> }[],
): Crowding[] {
  const added = lines.flatMap((line) =>
    Object.entries(line.shares).map(([name, eggs]): ComingChicks => {
      const pen = season.pens.get(name)!;
      const mean = eggs * meanRate(rates, { want: 'chicks', at: 'hatch' }, pen);
      return { line: pen.line, hatch: line.hatch, mean };
    }),
  );
  const brooding = broodingOfSeason(season, now, rates, added);
  if (!brooding) return [];
  const chicks = [...brooding.coming, ...added.filter((one) => brooding.isRaised(one.line))];
  if (chicks.length === 0) return [];
  const worst = new Map<RoomLimit['what'], Crowding>();
  brooding.days.forEach((day, d) => {
    const asked = chicks.flatMap((one) => {
      const limits = brooding.askedBy(one.line, one.hatch, one.mean, day);
      return limits ? [limits] : [];
    });
    brooding.offered[d]![0]!.limits.forEach(({ what, unit }, w) => {
      let need = asked.reduce((sum, limits) => sum + limits[w]!.need, 0);
      let have: number | null = 0;
      for (const { limits } of brooding.offered[d]!) {
        need += limits[w]!.need;
        have = have === null || limits[w]!.have === null ? null : have + limits[w]!.have;
      }
      if (have === null || need <= have * (1 + ROUNDING)) return;
      const before = worst.get(what);
      if (!before || need - have > before.need - before.have)
        worst.set(what, { what, unit, day, need, have });
    });
  });
  return [...worst.values()];
}

/** Sums of floor that agree to this share are the same. */
const ROUNDING = 1e-6;

/**
 * Room under the brooders' roofs as the program takes it: what one egg of a pen set on a day will ask,
 * and what is free. Kinds kept apart (waterfowl, turkeys, game birds, fowl) never share a roof in one
 * week. Null where season.yaml names no brooders.
 */
export function broodingRoom(
  season: Season,
  now: Now,
  rates: FarmRates,
  pens: readonly Pen[],
  lastHatch: Day,
): BroodingRoom | null {
  const last = pens.map(({ line }) => ({ line, hatch: lastHatch }));
  const brooding = broodingOfSeason(season, now, rates, last);
  if (!brooding) return null;
  const { days, offered, coming } = brooding;
  const chicks = pens.map((pen) => meanRate(rates, { want: 'chicks', at: 'hatch' }, pen));
  const groups = [
    ...new Set(
      [...pens.map((pen) => pen.line), ...coming.map((one) => one.line)].map(
        (line) => line.species.group,
      ),
    ),
  ];
  const looks: Look[] = [];
  days.forEach((day, d) => {
    const kinds = offered[d]![0]!.limits;
    kinds.forEach(({ what }, w) => {
      if (offered[d]!.some(({ limits }) => limits[w]!.have === null)) return;
      // Asked of every egg there could be, again and again.
      const ofLine = new Map(pens.map(({ line }) => [line, [] as number[]]));
      looks.push({
        name: `${what} on day ${daysBetween(now.day, day)}`,
        week: Math.floor(daysBetween(now.day, day) / WEEK),
        free: offered[d]!.map(({ limits, groups: present }) =>
          groups.map((group) =>
            [...present].some((other) => other !== group)
              ? 0
              : Math.max(0, limits[w]!.have! - limits[w]!.need),
          ),
        ),
        awaited: groups.map((group) =>
          coming
            .filter((one) => one.line.species.group === group)
            .reduce(
              (sum, one) =>
                sum + (brooding.askedBy(one.line, one.hatch, one.mean, day)?.[w]?.need ?? 0),
              0,
            ),
        ),
        asked: (source, set) => {
          const { line } = pens[source]!;
          if (!brooding.isRaised(line)) return 0;
          const bySet = ofLine.get(line)!;
          bySet[set] ??=
            brooding.askedBy(line, addDays(now.day, set + line.species.hatch_day.value), 1, day)?.[
              w
            ]?.need ?? 0;
          return bySet[set]! * chicks[source]!;
        },
      });
    });
  });
  return {
    groupOf: pens.map((pen) => groups.indexOf(pen.line.species.group)),
    groups: groups.length,
    looks,
  };
}

const WEEK = 7;
