import type { Season } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { type Day, daysBetween, daysIn, earlier, later } from '../../text/day.ts';
import {
  chicksToCome,
  expectedExit,
  limitsOver,
  nightsOf,
  occupantsOn,
  roomOf,
  type Stay,
  staysOf,
} from '../birds/brooders.ts';
import { flockOf, kindOfLine } from '../birds/groups.ts';
import type { NightOn } from '../birds/nights.ts';
import { limitsOf, roomWords, underLamps } from '../birds/room.ts';
import { raisedLines } from '../claims.ts';
import { openPlan } from '../hatch-time.ts';
import { holdsDay } from '../spans.ts';
import { sumOf, total } from '../tally.ts';
import { closedSpans } from './days.ts';
import { type FeasibleLimit, type Reason, reason, type Setting } from './reason.ts';

const kinds = ['floor', 'heat', 'feeder', 'drinker'] as const;

/** Sums of floor that differ by less are the same. */
const SAME = 1e-9;

/** `brooder-overfull`: by the birds that live in brooders, and by the chicks to come besides. */
export const brooderOverfull: FeasibleLimit = (setting) => {
  const { season, now } = setting;
  if (season.brooders.size === 0) return [];
  const nightOn = nightsOf(season);
  const stays = staysOf(season, flockOf(season).groups.values(), now, nightOn);
  return [...byBirds(setting, stays), ...byChicksToCome(setting, stays, nightOn)];
};

/**
 * Floor, heat, feeder or drinker, each on its own, summed over the ages and kinds in a brooder until
 * they are expected to leave it. An error beyond the least that texts allow; a warning, from today
 * on, beyond what is advised.
 */
function* byBirds({ season, now }: Setting, stays: readonly Stay[]): Generator<Reason> {
  const beyond = (need: number, have: number | null) => have !== null && need > have + SAME;
  for (const brooder of season.brooders.values()) {
    const own = stays.filter((stay) => stay.brooder === brooder.name);
    if (own.length === 0) continue;
    const from = own.map((stay) => stay.from).reduce(earlier);
    const to = own.map((stay) => stay.to).reduce(later);
    const days = limitsOver(season, brooder, own, from, to);
    for (const [index, kind] of kinds.entries()) {
      const at = days.map(({ day, birds, limits }) => ({ day, birds, ...limits[index]! }));
      const bad = at.find(({ least, have }) => beyond(least, have));
      const tight = at.find(({ day, need, have }) => day >= now.day && beyond(need, have));
      const found = bad ?? tight;
      if (!found) continue;
      const { group } = own.filter((stay) => holdsDay(stay, found.day)).at(-1)!;
      const held = bad ? found.least : found.need;
      const room = found.have!;
      const said = roomWords(kind, held, room, season.values.units);
      yield reason(
        'brooder-overfull',
        group.at,
        `${brooder.name}: ${plural(Math.round(found.birds), 'bird')} on ${found.day} need ${bad ? 'at least ' : ''}${said.need}, and it has ${said.have}`,
        {
          set: group.parts[0]!.set,
          place: brooder.name,
          day: found.day,
          held,
          room,
          severity: bad ? 'error' : 'warning',
          hint: BIRDS_GROW,
        },
      );
    }
  }
}

const BIRDS_GROW = 'birds grow: plan for the age at which they leave; see traybook brooders';

/** What one roof has left on a day, limit by limit; null where season.yaml does not say. */
type Roof = { readonly free: readonly (number | null)[]; readonly groups: ReadonlySet<string> };

/**
 * Chicks to come have no brooder yet: on each day every kind apart must find roofs of its own, where
 * no other kind lives, that hold its chicks together. Told once, on the first day it cannot be.
 */
function byChicksToCome(
  { season, now, expected }: Setting,
  stays: readonly Stay[],
  nightOn: NightOn,
): Reason[] {
  if (expected === null) return [];
  const raised = raisedLines(season);
  const coming = expected
    .chicks()
    .filter((one) => raised.has(one.line) && one.mean > 0)
    .map((one) => ({
      ...one,
      from: later(one.hatch, now.day),
      to: expectedExit(season, chicksToCome(one.line, one.hatch), nightOn),
    }));
  if (coming.length === 0) return [];
  const brooders = [...season.brooders.values()];
  const rooms = brooders.map((one) => roomOf(season, one));
  const last = coming.map((one) => one.to).reduce(later);
  for (const day of daysIn(now.day, last)) {
    const there = coming.filter((one) => holdsDay(one, day));
    if (there.length === 0) continue;
    const roofs = brooders.flatMap((brooder, index): Roof[] => {
      if (closedSpans(brooder).some((closed) => holdsDay(closed, day))) return [];
      const lived = occupantsOn(season, stays, brooder.name, day);
      const here = stays.filter((stay) => stay.brooder === brooder.name && holdsDay(stay, day));
      return [
        {
          free: limitsOf(rooms[index]!, lived).map(({ have, need }) =>
            have === null ? null : Math.max(0, have - need),
          ),
          groups: new Set(
            here.flatMap((stay) => stay.group.lines.map((line) => line.species.group)),
          ),
        },
      ];
    });
    const groups = [...new Set(there.map((one) => one.line.species.group))];
    const askedBy = (all: typeof there) =>
      limitsOf(
        underLamps,
        all.map((one) => ({
          kind: kindOfLine(season, one.line),
          ageDays: daysBetween(one.hatch, day),
          birds: one.mean,
        })),
      ).map((limit) => limit.need);
    const asked = groups.map((group) =>
      askedBy(there.filter((one) => one.line.species.group === group)),
    );
    if (findsRoofs(roofs, groups, asked)) continue;
    const newest = there.reduce((a, b) => (b.hatch >= a.hatch ? b : a));
    const line = openPlan(season).find((one) => one.name === newest.set);
    const crowd = {
      set: newest.set,
      at: line?.at ?? season.sets.get(newest.set)!.at,
      chicks: total(there, (one) => one.mean),
      kinds: [...new Set(there.map((one) => one.line.speciesName))],
    };
    return [crowded(season, crowd, day, roofs, askedBy(there))];
  }
  return [];
}

type Crowd = {
  readonly set: string;
  readonly at: Reason['at'];
  readonly chicks: number;
  readonly kinds: readonly string[];
};

/** The words for the limit that is most exceeded; without one it is the kinds that need roofs apart. */
function crowded(
  season: Season,
  crowd: Crowd,
  day: Day,
  roofs: readonly Roof[],
  asked: readonly number[],
): Reason {
  const { set, at, chicks } = crowd;
  const over = kinds
    .map((kind, index) => {
      const have = sumOf(roofs.map((roof) => roof.free[index]!));
      return { kind, need: asked[index]!, have };
    })
    .filter(({ need, have }) => have !== null && need > have + SAME)
    .map(({ kind, need, have }) => ({ kind, need, have: have! }))
    .sort((a, b) => b.need / b.have - a.need / a.have);
  const [worst] = over;
  const about = `${plural(Math.round(chicks), 'chick')} to come by ${day}`;
  const where = { set, place: null, day, severity: 'warning' as const };
  if (worst === undefined)
    return reason(
      'brooder-overfull',
      at,
      `brooders: ${about} are ${crowd.kinds.join(' and ')}, which are kept apart, and no roofs are free for each`,
      { ...where, hint: BIRDS_GROW },
    );
  const said = roomWords(worst.kind, worst.need, worst.have, season.values.units);
  return reason(
    'brooder-overfull',
    at,
    `brooders: ${about} need ${said.need}, and ${said.have} is free`,
    { ...where, held: worst.need, room: worst.have, hint: BIRDS_GROW },
  );
}

/** Most ways of giving roofs to kinds that are tried one by one; beyond it kinds are not told apart. */
const MOST_WAYS = 4096;

/** Every way to give each roof to one of the kinds, by number: none where there are too many to try. */
export function* waysToShare(roofs: number, kinds: number): Generator<number[]> {
  const ways = kinds ** roofs;
  if (ways > MOST_WAYS) return;
  for (let way = 0; way < ways; way += 1)
    yield Array.from(
      { length: roofs },
      (_, roof) => Math.floor(way / kinds ** (roofs - 1 - roof)) % kinds,
    );
}

/** True if the roofs can be given out so that every kind finds what it asks of each limit. */
function findsRoofs(
  roofs: readonly Roof[],
  groups: readonly string[],
  asked: readonly (readonly number[])[],
): boolean {
  const apart = groups.length > 1 && groups.length ** roofs.length <= MOST_WAYS;
  const isHeld = (group: number, own: readonly Roof[]): boolean =>
    asked[group]!.every((need, limit) => {
      if (roofs.some((roof) => roof.free[limit] === null)) return true;
      return need <= own.reduce((sum, roof) => sum + roof.free[limit]!, 0) + SAME;
    });
  const mayLive = (roof: Roof, group: string): boolean =>
    [...roof.groups].every((other) => other === group);
  if (!apart) {
    const all = asked[0]!.map((_, limit) => asked.reduce((sum, one) => sum + one[limit]!, 0));
    return all.every((need, limit) => {
      const free = roofs
        .filter((roof) => groups.some((group) => mayLive(roof, group)))
        .map((roof) => roof.free[limit]!);
      return free.some((one) => one === null) || need <= free.reduce((a, b) => a + b, 0) + SAME;
    });
  }
  for (const of of waysToShare(roofs.length, groups.length)) {
    const held = groups.every((group, index) =>
      isHeld(
        index,
        roofs.filter((roof, at) => of[at] === index && mayLive(roof, group)),
      ),
    );
    if (held) return true;
  }
  return false;
}
