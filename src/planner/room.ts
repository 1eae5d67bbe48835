/** What machines and roofs leave for one calendar beside sets that are planned already. */
import { liveAmong, mostForRoom } from '../judge/rates/expected-chicks.ts';
import { smallest } from '../text/lists.ts';
import { type HatcherClass, type Lying, type Problem, type Start, withStays } from './problem.ts';
import { type RoofLimit, roofLimits, roofsTake, roomBeside } from './roofs.ts';

export interface Room {
  /** Trays free by class of setter and day. */
  trays: (setter: number, day: number) => number;
  /** Days on which what is free of a class of setter changes. */
  trayDays: (setter: number) => readonly number[];
  /** Hatchers free by class and day: of a shared one, 1 where it is open. */
  hatchers: (hatcher: number, day: number) => number;
  hatcherDays: (hatcher: number) => readonly number[];
  /** Eggs of the calendar that a set of a day may send to a hatcher of a class, beside what lies there; 0 where none. */
  warm: (hatcher: number, day: number) => number;
  roofs: readonly RoofLimit[];
}

/** Days on which a count by day changes. */
function changes(taken: readonly number[]): number[] {
  return taken.flatMap((n, day) => (n === (taken[day - 1] ?? 0) ? [] : [day]));
}

export const eggsIn = ({ eggs }: Pick<Start, 'eggs'>): number =>
  [...eggs.values()].reduce((sum, n) => sum + n, 0);

/** The days that a set lies in its trays, and in its hatcher until that is clean. */
export function staysOf(p: Problem, { calendar, day, hatcher }: Start) {
  const { transfer, lastOpening, hatch } = p.calendars[calendar]!;
  return {
    trays: { from: day, to: day + transfer },
    warm: {
      from: day + transfer,
      to: day + lastOpening + (p.hatchers[hatcher]?.cleanDays ?? 0),
      hatch: day + hatch,
    },
  };
}

/** What lies in a shared hatcher with further sets. */
function lyingWith(p: Problem, h: number, starts: readonly Start[]): Lying[] {
  return [
    ...(p.hatchers[h]!.shared ?? []),
    ...starts
      .filter(({ hatcher }) => hatcher === h)
      .map((start) => ({
        ...staysOf(p, start).warm,
        eggs: [...start.eggs].map(([pool, eggs]) =>
          liveAmong(eggs, p.pools[pool]!.live, p.calendars[start.calendar]!.holds[h]!),
        ),
      })),
  ];
}

/** Eggs that a shared hatcher still takes of a set of a day: none beside sets that hatch on another day. */
function sharedRoom(
  p: Problem,
  c: number,
  h: number,
  lying: readonly Lying[],
  day: number,
): number {
  const { transfer, hatch, lastOpening, holds, warm, pools } = p.calendars[c]!;
  const { cleanDays } = p.hatchers[h]!;
  const from = day + transfer;
  const to = day + lastOpening + cleanDays;
  const beside = lying.filter((one) => one.from < to && from < one.to);
  if (beside.some((one) => one.hatch !== day + hatch)) return 0;
  if (beside.length === 0) return warm[h]!;
  const eggs = beside.flatMap((one) => one.eggs);
  return smallest(pools.map((s) => mostForRoom(p.pools[s]!.live, holds[h]!, eggs)));
}

/** Eggs of a calendar that a set of a day may send to a class of hatchers, beside such starts; 0 where none. */
export function warmBeside(
  p: Problem,
  c: number,
  h: number,
  day: number,
  others: readonly Start[],
): number {
  return p.hatchers[h]!.shared
    ? sharedRoom(p, c, h, lyingWith(p, h, others), day)
    : p.calendars[c]!.warm[h]!;
}

/** Stays of starts in a class of setters, and in a class of hatchers. */
const inTrays = (p: Problem, s: number, starts: readonly Start[]) =>
  starts
    .filter(({ setter }) => setter === s)
    .map((one) => ({ ...staysOf(p, one).trays, places: one.trays }));
const inHatchers = (p: Problem, h: number, starts: readonly Start[]) =>
  starts
    .filter(({ hatcher }) => hatcher === h)
    .map((one) => ({ ...staysOf(p, one).warm, places: 1 }));

/** The room of a calendar beside such starts. */
export function roomFor(p: Problem, c: number, others: readonly Start[]): Room {
  const trays = p.setters.map(({ taken }, s) => withStays(taken, inTrays(p, s, others)));
  const hatchers = p.hatchers.map(({ taken, shared }, h) =>
    shared ? [...taken] : withStays(taken, inHatchers(p, h, others)),
  );
  return {
    trays: (s, day) =>
      Math.max(0, p.setters[s]!.names.length * p.setters[s]!.places - (trays[s]![day] ?? 0)),
    trayDays: (s) => changes(trays[s]!),
    hatchers: (h, day) => Math.max(0, p.hatchers[h]!.names.length - (hatchers[h]![day] ?? 0)),
    hatcherDays: (h) => changes(hatchers[h]!),
    warm: (h, day) => warmBeside(p, c, h, day, others),
    roofs:
      p.brooding === null
        ? []
        : roofLimits(
            roomBeside(p.brooding, others),
            p.brooding.groupOf[p.calendars[c]!.pools[0]!]!,
          ),
  };
}

/** True if the chicks of all these sets have room under the brooders' roofs. */
export function roofsHold({ brooding }: Problem, starts: readonly Start[]): boolean {
  return brooding === null || roofsTake(brooding, starts);
}

/** True if no day of some stays has more than `most` places taken, with these. */
function fitIn(
  taken: readonly number[],
  stays: readonly { from: number; to: number; places: number }[],
  most: number,
): boolean {
  const all = withStays(taken, stays);
  return stays.every(({ from, to }) => all.slice(from, to).every((places) => places <= most));
}

/** True if sets have room together, beside others: trays, hatchers and roofs counted day by day. */
export function haveRoom(p: Problem, starts: readonly Start[]): boolean {
  const layIn = p.setters.every(({ taken, names, places }, s) =>
    fitIn(taken, inTrays(p, s, starts), names.length * places),
  );
  if (!layIn) return false;
  const areWarm = p.hatchers.every(({ taken, names, shared }, h) => {
    const stays = inHatchers(p, h, starts);
    // Those that lie together take one place.
    const fits = shared
      ? stays.every((one) => fitIn(taken, [one], names.length))
      : fitIn(taken, stays, names.length);
    return (
      fits &&
      starts.every((one) => {
        if (one.hatcher !== h) return true;
        const rest = starts.filter((other) => other !== one);
        return warmBeside(p, one.calendar, h, one.day, rest) >= eggsIn(one);
      })
    );
  });
  return areWarm && roofsHold(p, starts);
}

/** True if trays and a hatcher take so many eggs of a pool on a day, in the room of its calendar. */
export function hasRoom(p: Problem, room: Room, pool: number, day: number, eggs: number): boolean {
  const { setDays, tray, transfer, lastOpening } = p.calendars[p.pools[pool]!.calendar]!;
  if (!setDays.includes(day)) return false;
  // A season without setters says nothing of room.
  if (p.setters.length === 0) return true;
  const isFree = (from: number, to: number, free: (day: number) => boolean): boolean => {
    for (let at = from; at < to; at++) if (!free(at)) return false;
    return true;
  };
  const moved = day + transfer;
  const isWarm = ({ cleanDays }: HatcherClass, h: number) =>
    room.warm(h, day) >= eggs &&
    isFree(moved, day + lastOpening + cleanDays, (at) => room.hatchers(h, at) > 0);
  return (
    (p.hatchers.length === 0 || p.hatchers.some(isWarm)) &&
    p.setters.some(({ places }, s) => {
      const trays = Math.ceil(eggs / tray[s]!);
      return trays <= places && isFree(day, moved, (at) => room.trays(s, at) >= trays);
    })
  );
}
