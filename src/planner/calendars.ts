/** The sets of all calendars, one calendar after the other, each in the room that those before it leave. */
import type { Problem, Start } from './problem.ts';
import { type SearchFound, soughtSets } from './search.ts';
import { type ClaimOutlook, isMet, type Seeking } from './tried.ts';

/** Another order of calendars is tried once, where the first took no more solves (bench:plan, large). */
const WORTH_OTHER_ORDER = 150;

/** What was found for all of them. */
export interface Sought {
  starts: readonly Start[];
  /** The fewest new sets there could be, all together. */
  fewest: number;
  /** By `wanted`. */
  outlook: readonly ClaimOutlook[];
  isMet: boolean;
  /** Calendars that have what is wanted of them. */
  met: number;
  short: number;
}

/** The fewest sets of every calendar; one that falls short goes first next time. */
export async function soughtPlan(
  seeking: Seeking,
  onFound?: (found: Sought) => void,
): Promise<Sought> {
  const { p, effort } = seeking;
  const isAny = seeking.aim === 'any';
  let order = p.calendars.map((_, c) => c);
  const first = new Set(order.slice(0, 1));
  let best: Sought | null = null;
  let isHopeless = false;
  for (;;) {
    const before = effort.solves;
    const found = new Map<number, SearchFound>();
    for (const c of order) {
      const others = [...found.values()].flatMap(({ starts }) => starts);
      found.set(c, await soughtSets(seeking, c, others));
      onFound?.(together(p, seeking, found));
      // Whether all are met in this order is known already.
      if (isAny && !isMet(found.get(c)!)) break;
    }
    const sought = together(p, seeking, found);
    if (best === null || (isHopeless ? sought.met > best.met : isAhead(sought, best)))
      best = sought;
    if (order.length < 2 || effort.isSpent || (isAny && (sought.isMet || first.size > 1)))
      return best;
    // If it falls short alone in the machines, no order meets all, but one may meet more.
    isHopeless = !isMet(found.get(order[0]!)!);
    if (isAny && isHopeless) return best;
    // One that is short goes first, or once one that needs more sets beside others than it might alone.
    const isFresh = (c: number) => !first.has(c);
    const short = order.find((c) => isFresh(c) && found.has(c) && !isMet(found.get(c)!));
    const crowded =
      !isAny && !isHopeless && first.size === 1 && effort.solves - before <= WORTH_OTHER_ORDER
        ? order.find((c) => isFresh(c) && found.get(c)!.starts.length > found.get(c)!.fewest)
        : undefined;
    const next = short ?? crowded;
    if (
      next === undefined ||
      (best.isMet && short === undefined && best.starts.length === best.fewest)
    )
      return best;
    first.add(next);
    order = [next, ...order.filter((c) => c !== next)];
  }
}

function together(
  p: Problem,
  { without }: Seeking,
  found: ReadonlyMap<number, SearchFound>,
): Sought {
  const all = [...found.values()];
  const met = all.filter(isMet).length;
  return {
    starts: all.flatMap(({ starts }) => starts).sort((a, b) => a.day - b.day),
    fewest: all.reduce((sum, one) => sum + one.fewest, 0),
    outlook: p.wanted.map(({ calendar }, i) => found.get(calendar)?.outlook.get(i) ?? without[i]!),
    isMet: met === p.calendars.length,
    met,
    short: all.reduce((sum, { short }) => sum + short, 0),
  };
}

function isAhead(a: Sought, b: Sought): boolean {
  if (Math.abs(a.short - b.short) > 1e-6) return a.short < b.short;
  return a.starts.length < b.starts.length;
}
