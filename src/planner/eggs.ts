/** From eggs in parts to whole eggs in whole sets, drawn as the store gives them. */
import type { Problem, Start } from './problem.ts';
import type { Program, SetsInParts } from './program.ts';
import { eggsIn, roofsHold, warmBeside } from './room.ts';
import type { SetSlot } from './rounding.ts';
import { type Demand, taken } from './store.ts';

/** Eggs that a set can hold: its trays, and its hatcher beside what lies there. */
export function capacityOf(p: Problem, slot: SetSlot, others: readonly Start[]): number {
  const { tray } = p.calendars[slot.calendar]!;
  const trays = slot.trays * tray[slot.setter]!;
  if (slot.hatcher < 0) return trays;
  return Math.min(trays, warmBeside(p, slot.calendar, slot.hatcher, slot.day, others));
}

/** Whole eggs for the sets of a solution; a set that gets none is left out. */
export function wholeEggs(
  program: Program,
  slots: readonly SetSlot[],
  { values }: SetsInParts,
  others: readonly Start[],
): Start[] {
  const { p } = program;
  const amounts = new Map<number, Map<number, number>>();
  for (const { pool, day, column } of program.eggs) {
    const ofDay = amounts.get(day) ?? new Map<number, number>();
    amounts.set(day, ofDay);
    ofDay.set(pool, (ofDay.get(pool) ?? 0) + values[column]!);
  }
  const starts: Start[] = [];
  for (const day of new Set(slots.map((slot) => slot.day))) {
    const own = slots.filter((slot) => slot.day === day);
    const eggs = wholeAmounts(amounts.get(day) ?? new Map());
    let left = own.length;
    for (const slot of own) {
      let room = capacityOf(p, slot, others);
      // Sets of one day share what there is alike.
      room = Math.min(room, Math.ceil([...eggs.values()].reduce((sum, n) => sum + n, 0) / left--));
      const here = new Map<number, number>();
      for (const [pool, count] of eggs) {
        const given = Math.min(count, room);
        if (given <= 0) continue;
        here.set(pool, given);
        eggs.set(pool, count - given);
        room -= given;
      }
      starts.push({ ...slot, eggs: here });
    }
  }
  return largeEnough(p, underRoofs(p, drawnEggs(p, starts), others), others);
}

/** Amounts made whole, with the same sum: the largest rests go up. */
function wholeAmounts(amounts: ReadonlyMap<number, number>): Map<number, number> {
  const parts = [...amounts].map(([pool, amount]) => {
    const whole = Math.floor(amount + 1e-6);
    return { pool, whole, rest: amount - whole };
  });
  let more = Math.round(parts.reduce((sum, one) => sum + one.rest, 0));
  for (const one of [...parts].sort((a, b) => b.rest - a.rest || a.pool - b.pool)) {
    if (more <= 0) break;
    one.whole++;
    more--;
  }
  return new Map(parts.map(({ pool, whole }) => [pool, whole]));
}

/** The sets with no more eggs than the store gives them; lines that stay come before new sets. */
export function drawnEggs(p: Problem, starts: readonly Start[]): Start[] {
  const own = starts
    .flatMap((start, at) =>
      [...start.eggs].map(([pool, eggs]) => ({
        at,
        demand: { set: '', day: start.day, pool, eggs },
      })),
    )
    .sort((a, b) => a.demand.day - b.demand.day || a.at - b.at);
  for (;;) {
    const all: Demand[] = [...p.stays, ...own.map(({ demand }) => demand)];
    const { drawn } = taken(p.pools, all);
    own.forEach(({ demand }, i) => {
      demand.eggs = drawn[p.stays.length + i]!.eggs;
    });
    const short = p.stays.findIndex((_, i) => drawn[i]!.eggs < p.given[i]!.eggs);
    if (short < 0) break;
    // The sets before it leave it its eggs, the nearest first.
    const line = p.stays[short]!;
    let less = p.given[short]!.eggs - drawn[short]!.eggs;
    for (const { demand } of [...own].reverse()) {
      if (demand.pool !== line.pool || demand.day > line.day) continue;
      const given = Math.min(less, demand.eggs);
      demand.eggs -= given;
      less -= given;
    }
    if (less > 0) break;
  }
  return starts.map((start, at) => ({
    ...start,
    eggs: new Map(
      own
        .filter((one) => one.at === at && one.demand.eggs > 0)
        .map(({ demand }) => [demand.pool, demand.eggs]),
    ),
  }));
}

/** Whole eggs may ask a little more of the roofs than eggs in parts: one by one they are left out. */
function underRoofs(p: Problem, from: Start[], others: readonly Start[]): Start[] {
  let starts = from;
  while (!roofsHold(p, [...others, ...starts])) {
    const largest = starts.reduce((a, b) => (eggsIn(b) > eggsIn(a) ? b : a));
    const [pool, eggs] = [...largest.eggs].reduce((a, b) => (b[1] > a[1] ? b : a), [-1, 0]);
    if (pool < 0) break;
    const less = new Map(largest.eggs).set(pool, eggs - 1);
    starts = starts.map((one) => (one === largest ? { ...one, eggs: less } : one));
  }
  return starts;
}

const allEggs = (starts: readonly Start[]): number =>
  starts.reduce((sum, start) => sum + eggsIn(start), 0);

/** The same sets, each filled with what the store still gives, up to what it holds or to `most`. */
export function filledEggs(
  p: Problem,
  from: readonly Start[],
  others: readonly Start[],
  most = Number.POSITIVE_INFINITY,
): Start[] {
  let starts = [...from];
  starts.forEach((start, i) => {
    const room = Math.min(most, capacityOf(p, start, others));
    for (const pool of p.calendars[start.calendar]!.pools) {
      const { closed, to } = p.pools[pool]!;
      const here = starts[i]!;
      const more = room - eggsIn(here);
      if (more <= 0 || closed.has(start.day) || start.day > to) continue;
      const now = starts;
      const withMore = (count: number): Start[] => {
        const eggs = new Map(here.eggs).set(pool, (here.eggs.get(pool) ?? 0) + count);
        return drawnEggs(
          p,
          now.map((one, k) => (k === i ? { ...one, eggs } : one)),
        );
      };
      // As many as the roofs take.
      let low = 0;
      let high = more;
      let filled = withMore(high);
      if (!roofsHold(p, [...others, ...filled])) {
        while (high - low > 1) {
          const middle = (low + high) >> 1;
          if (roofsHold(p, [...others, ...withMore(middle)])) low = middle;
          else high = middle;
        }
        filled = withMore(low);
      }
      if (allEggs(filled) > allEggs(starts)) starts = filled;
    }
  });
  return starts;
}

/** Sets that are worth their trouble: one with too few eggs is filled, and left out where that cannot be. */
function largeEnough(p: Problem, starts: readonly Start[], others: readonly Start[]): Start[] {
  const isSmall = (start: Start) => eggsIn(start) < p.calendars[start.calendar]!.leastEggs;
  if (!starts.some(isSmall)) return [...starts];
  const filled = starts.reduce<Start[]>(
    (all, start) =>
      isSmall(start) && eggsIn(start) > 0
        ? filledEggs(p, all, others, p.calendars[start.calendar]!.leastEggs)
        : all,
    [...starts],
  );
  return drawnEggs(
    p,
    filled.filter((start) => !isSmall(start)),
  );
}
