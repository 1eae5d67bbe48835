import { groupedBy, largest, smallest } from '../text/lists.ts';

/** Roofs that chicks of several kinds live under, some of which must not share one. */

/** What the brooders allow, one limit on one day at a time. */
export interface BroodingRoom {
  /** Kinds that never share a roof, by number. */
  groups: number;
  /** The kind of each pool. */
  groupOf: readonly number[];
  looks: readonly {
    name: string;
    /** A roof stays with one kind for a week. */
    week: number;
    /** Free under each roof for each kind: none where another kind lives. */
    free: readonly (readonly number[])[];
    /** Asked by chicks to come already, by kind. */
    awaited: readonly number[];
    /** Asked by one egg of a pool set on a day. */
    asked: (pool: number, set: number) => number;
  }[];
}

/** Most ways of giving roofs to kinds that are tried one by one. */
const MOST_WAYS = 4096;

/** Every way to give each roof to one kind. */
function ways(roofs: number, groups: number): number[][] {
  if (groups ** roofs > MOST_WAYS) return [];
  let all: number[][] = [[]];
  for (let roof = 0; roof < roofs; roof++)
    all = all.flatMap((way) => Array.from({ length: groups }, (_, group) => [...way, group]));
  return all;
}

/** True if the roofs can be given out so that every kind has what it asks at every look of a week. */
function canShare(
  looks: BroodingRoom['looks'],
  groups: number,
  asked: (look: BroodingRoom['looks'][number], group: number) => number,
): boolean {
  const all = looks.map(({ free }, i) =>
    Array.from({ length: groups }, (_, group) => ({
      asked: asked(looks[i]!, group),
      free: free.map((roof) => roof[group]!),
    })),
  );
  return ways(looks[0]!.free.length, groups).some((way) =>
    all.every((look) =>
      look.every(
        (one, group) =>
          one.asked <=
          one.free.reduce((sum, free, roof) => (way[roof] === group ? sum + free : sum), SLACK),
      ),
    ),
  );
}

const SLACK = 1e-6;

/** Looks by week, and whether kinds can be kept apart in it: not where chicks already to come break it. */
function weeksOf(room: BroodingRoom) {
  return [...groupedBy(room.looks, (look) => look.week)].map(([week, looks]) => ({
    week,
    looks,
    isApart: room.groups > 1 && canShare(looks, room.groups, (look, group) => look.awaited[group]!),
  }));
}

/** What is free in all, where kinds are not told apart. */
function freeInAll({ free, awaited }: BroodingRoom['looks'][number]): number {
  const most = free.reduce((sum, roof) => sum + largest(roof), 0);
  return Math.max(0, most - awaited.reduce((sum, one) => sum + one, 0));
}

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
  return weeksOf(room).flatMap(({ looks, isApart }) => {
    const roofs = isApart ? roofsFor(looks, room.groups, group) : null;
    return looks.map((look): RoofLimit => {
      const free =
        roofs === null
          ? freeInAll(look)
          : look.free.reduce((sum, one, roof) => sum + (roofs[roof] ? one[group]! : 0), 0) -
            look.awaited[group]!;
      return { name: look.name, free: Math.max(0, free), asked: look.asked };
    });
  });
}

/** The roofs that a kind may have in a week: of the ways in which the others fit, the one with most room for it. */
function roofsFor(looks: BroodingRoom['looks'], groups: number, group: number): boolean[] | null {
  let best: { room: number; roofs: boolean[] } | null = null;
  for (const way of ways(looks[0]!.free.length, groups)) {
    const left = (look: BroodingRoom['looks'][number], of: number) =>
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
  if (room.groups > 1) return brokenRoofs(roomBeside(room, sets), room).length === 0;
  // One kind has all roofs: asked of every plan tried, so without a list of looks made anew.
  const all = sets.flatMap(({ day, eggs }) =>
    [...eggs].map(([pool, count]) => ({ day, pool, count })),
  );
  return room.looks.every(({ free, awaited, asked }) => {
    const had = awaited[0]!;
    let need = had;
    for (const { day, pool, count } of all) need += count * asked(pool, day);
    return need <= had + SLACK || need <= free.reduce((sum, [here]) => sum + here!, SLACK);
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

/** Looks at which the chicks awaited ask more than there is. */
function brokenRoofs(room: BroodingRoom, before: BroodingRoom): string[] {
  const wasApart = new Set(weeksOf(before).flatMap(({ week, isApart }) => (isApart ? [week] : [])));
  return weeksOf(room).flatMap(({ week, looks, isApart }) => {
    if (wasApart.has(week))
      return isApart ? [] : [`week ${week}: no way to keep the kinds apart in the brooders`];
    return looks
      .filter((look, i) => {
        const asked = look.awaited.reduce((sum, one) => sum + one, 0);
        const first = before.looks[room.looks.indexOf(look)] ?? looks[i]!;
        const had = first.awaited.reduce((sum, one) => sum + one, 0);
        const most = look.free.reduce((sum, roof) => sum + largest(roof), 0);
        return asked > Math.max(most, had) + SLACK;
      })
      .map((look) => `too little ${look.name}`);
  });
}
