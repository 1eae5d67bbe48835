import { waysToShare } from '../facts/feasible/brooders.ts';
import { groupedBy, largest, smallest } from '../text/lists.ts';

/** Roofs that chicks of several kinds live under, some of which must not share one. */

/** What the brooders allow, one limit on one day at a time. */
export interface BroodingRoom {
  /** Kinds that never share a roof, by number. */
  groups: number;
  /** The kind of each pool. */
  groupOf: readonly number[];
  looks: readonly RoofLook[];
}

/** One limit on one day. */
export interface RoofLook {
  name: string;
  /** A roof stays with one kind for a week. */
  week: number;
  /** Free under each roof for each kind: none where another kind lives. */
  free: readonly (readonly number[])[];
  /** Asked by chicks to come already, by kind. */
  awaited: readonly number[];
  /** Asked by one egg of a pool set on a day. */
  asked: (pool: number, set: number) => number;
}

const SLACK = 1e-6;

const inAll = (asked: readonly number[]): number => asked.reduce((sum, one) => sum + one, 0);

/** What is free under all roofs, where kinds are not told apart. */
const mostFree = ({ free }: RoofLook): number => inAll(free.map(largest));

/** Room for the chicks of one kind at one look. */
export interface RoofLimit {
  name: string;
  free: number;
  /** Asked by one egg of a pool set on a day. */
  asked: (pool: number, set: number) => number;
}

/**
 * What the roofs leave for one kind at each look. Where several kinds are there in a week the roofs are
 * given out so that the others have theirs and this one has most; where chicks already to come break
 * that rule, all is taken together.
 */
export function roofLimits(room: BroodingRoom, group: number): RoofLimit[] {
  return [...groupedBy(room.looks, (look) => look.week).values()].flatMap((looks) => {
    const roofs = roofsFor(looks, room.groups, group);
    return looks.map((look): RoofLimit => {
      const free =
        roofs === null
          ? mostFree(look) - inAll(look.awaited)
          : look.free.reduce((sum, one, roof) => sum + (roofs[roof] ? one[group]! : 0), 0) -
            look.awaited[group]!;
      return { name: look.name, free: Math.max(0, free), asked: look.asked };
    });
  });
}

/**
 * The roofs that a kind may have in a week: of the ways in which the others fit, the one with most room
 * for it. Null where there is no such way, or one kind alone.
 */
function roofsFor(looks: readonly RoofLook[], groups: number, group: number): boolean[] | null {
  if (groups === 1) return null;
  let best: { room: number; roofs: boolean[] } | null = null;
  for (const way of waysToShare(looks[0]!.free.length, groups)) {
    const left = (look: RoofLook, of: number) =>
      look.free.reduce((sum, one, roof) => sum + (way[roof] === of ? one[of]! : 0), SLACK) -
      look.awaited[of]!;
    if (!looks.every((look) => look.awaited.every((_, of) => left(look, of) >= 0))) continue;
    const room = smallest(looks.map((look) => left(look, group)));
    if (best === null || room > best.room)
      best = { room, roofs: way.map((given) => given === group) };
  }
  return best?.roofs ?? null;
}

/** Sets as far as their chicks ask for room. */
type Coming = readonly { day: number; eggs: ReadonlyMap<number, number> }[];

/** True if the chicks of these sets have room under the roofs, or no less than those to come already. */
export function roofsTake(room: BroodingRoom, sets: Coming): boolean {
  const beside = groupedBy(roomBeside(room, sets).looks, (look) => look.week);
  return [...groupedBy(room.looks, (look) => look.week)].every(([week, before]) => {
    const looks = beside.get(week)!;
    const isSame = (look: RoofLook, i: number) =>
      look.awaited.every((asked, kind) => asked === before[i]!.awaited[kind]);
    if (looks.every(isSame)) return true;
    if (roofsFor(before, room.groups, 0) !== null) return roofsFor(looks, room.groups, 0) !== null;
    return looks.every(
      (look, i) =>
        inAll(look.awaited) <= Math.max(mostFree(look), inAll(before[i]!.awaited)) + SLACK,
    );
  });
}

/** The room with the chicks of further sets awaited. */
export function roomBeside(room: BroodingRoom, sets: Coming): BroodingRoom {
  return {
    ...room,
    looks: room.looks.map((look) => {
      const awaited = [...look.awaited];
      for (const { day, eggs } of sets)
        for (const [pool, count] of eggs)
          awaited[room.groupOf[pool]!]! += count * look.asked(pool, day);
      return { ...look, awaited };
    }),
  };
}
