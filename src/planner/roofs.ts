/** Roofs that chicks of several kinds live under, some of which must not share one. */
import { addColumn, addRow, type LinearProgram, type Term } from './linear-program.ts';

/** What the brooders allow, one limit on one day at a time. */
export interface BroodingRoom {
  /** Kinds that never share a roof, by number. */
  groups: number;
  /** The kind of each source. */
  groupOf: readonly number[];
  looks: readonly {
    name: string;
    /** A roof stays with one kind for a week. */
    week: number;
    /** Free under each roof for each kind: none where another kind lives. */
    free: readonly (readonly number[])[];
    /** Asked by chicks to come already, by kind. */
    awaited: readonly number[];
    /** Asked by one egg of a source set on a day. */
    asked: (source: number, set: number) => number;
  }[];
}

interface Eggs {
  source: number;
  set: number;
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
  const weeks = new Map<number, BroodingRoom['looks'][number][]>();
  for (const look of room.looks) {
    const list = weeks.get(look.week);
    if (list) list.push(look);
    else weeks.set(look.week, [look]);
  }
  return [...weeks].map(([week, looks]) => ({
    week,
    looks,
    isApart: room.groups > 1 && canShare(looks, room.groups, (look, group) => look.awaited[group]!),
  }));
}

/** What is free in all for the eggs to be set, where kinds are not told apart. */
function freeInAll({ free, awaited }: BroodingRoom['looks'][number]): number {
  const most = free.reduce((sum, roof) => sum + Math.max(...roof), 0);
  return Math.max(0, most - awaited.reduce((sum, one) => sum + one, 0));
}

/** Adds the rows: by look what the eggs will ask, and by week which kind has which roof. */
export function roofRows(
  program: LinearProgram,
  room: BroodingRoom,
  eggs: readonly (Eggs & { column: number })[],
): void {
  for (const { week, looks, isApart } of weeksOf(room)) {
    const termsOf = (look: BroodingRoom['looks'][number], group: number | null): Term[] =>
      eggs.flatMap(({ source, set, column }): Term[] => {
        if (group !== null && room.groupOf[source] !== group) return [];
        const asked = look.asked(source, set);
        return asked > 0 ? [[column, asked]] : [];
      });
    if (!isApart) {
      for (const look of looks) {
        const terms = termsOf(look, null);
        if (terms.length > 0)
          addRow(program, look.name, Number.NEGATIVE_INFINITY, terms, freeInAll(look));
      }
      continue;
    }
    const kinds = Array.from({ length: room.groups }, (_, group) => group);
    const given = looks[0]!.free.map((_, roof) =>
      kinds.map((group) =>
        addColumn(program, `roof ${roof + 1} for kind ${group + 1} in week ${week}`, 1, {
          whole: true,
        }),
      ),
    );
    given.forEach((columns, roof) => {
      addRow(
        program,
        `roof ${roof + 1} once in week ${week}`,
        Number.NEGATIVE_INFINITY,
        columns.map((column): Term => [column, 1]),
        1,
      );
    });
    for (const look of looks)
      for (const group of kinds) {
        const terms = termsOf(look, group);
        if (terms.length === 0 && look.awaited[group]! <= 0) continue;
        addRow(
          program,
          `${look.name} for kind ${group + 1}`,
          Number.NEGATIVE_INFINITY,
          [...terms, ...look.free.map((roof, r): Term => [given[r]![group]!, -roof[group]!])],
          -look.awaited[group]!,
        );
      }
  }
}

/** Looks at which so many eggs would ask more than there is, in words. */
export function brokenRoofs(
  room: BroodingRoom,
  eggs: readonly (Eggs & { eggs: number })[],
): string[] {
  // Eggs of all ages ask alike.
  const sums = new Map<string, Eggs & { eggs: number }>();
  for (const one of eggs) {
    const key = `${one.source} ${one.set}`;
    const known = sums.get(key);
    if (known) known.eggs += one.eggs;
    else sums.set(key, { ...one });
  }
  const all = [...sums.values()];
  const asked = (look: BroodingRoom['looks'][number], group: number | null) =>
    all.reduce(
      (sum, one) =>
        group === null || room.groupOf[one.source] === group
          ? sum + one.eggs * look.asked(one.source, one.set)
          : sum,
      0,
    );
  return weeksOf(room).flatMap(({ week, looks, isApart }) => {
    if (isApart) {
      const fits = canShare(
        looks,
        room.groups,
        (look, group) => look.awaited[group]! + asked(look, group),
      );
      return fits ? [] : [`week ${week}: no way to keep the kinds apart in the brooders`];
    }
    return looks
      .filter((look) => asked(look, null) > freeInAll(look) + SLACK)
      .map((look) => `too little ${look.name}`);
  });
}
