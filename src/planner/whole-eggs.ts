/** Parts of eggs made whole: down first, then egg by egg what the needs still miss. */
import type { HatchingModel } from './hatching-model.ts';
import { amountOf } from './linear-program.ts';
import { type Need, worthOf } from './needs.ts';
import type { SeasonProblem } from './season-problem.ts';

/** Parts of an egg below this are rounding. */
const NEARLY_WHOLE = 1e-6;
/** A need that misses less than this share of a bird misses nothing. */
const NO_BIRD = 1e-6;

type Egg = HatchingModel['eggs'][number];
type Tray = HatchingModel['trays'][number];

const whole = (value: number) => Math.floor(value + NEARLY_WHOLE);

/** Eggs of a tray's own way through the machines, where the day has several. */
function wayColumn(tray: Tray, lots: ReadonlySet<number>): number | null {
  const [first] = tray.eggs;
  return tray.eggs.length === 1 && !lots.has(first![0]) ? first![0] : null;
}

/**
 * A solution with whole eggs near one in parts: no lot, tray or hatcher takes more than it holds, and
 * each need is met where whole eggs can. The caller checks every rule.
 */
export function wholeEggs(
  p: SeasonProblem,
  model: HatchingModel,
  needs: readonly Need[],
  inParts: ArrayLike<number>,
): Float64Array {
  const { problem, program, eggs, trays, sets } = model;
  const { kinds, timings, sources, setters, hatchers } = problem;
  const values = Float64Array.from(inParts);
  for (const { column } of sets) values[column] = Math.ceil(values[column]! - NEARLY_WHOLE);
  for (const tray of trays) values[tray.trays] = Math.ceil(values[tray.trays]! - NEARLY_WHOLE);
  for (const { column } of eggs) values[column] = whole(values[column]!);

  const lots = new Set(eggs.map(({ column }) => column));
  const groups = new Map<string, { eggs: Egg[]; trays: Tray[] }>();
  const groupOf = (kind: number, day: number) => {
    const key = `${kind} ${day}`;
    const known = groups.get(key) ?? { eggs: [], trays: [] };
    groups.set(key, known);
    return known;
  };
  for (const egg of eggs) groupOf(sources[egg.source]!.kind, egg.set).eggs.push(egg);
  for (const tray of trays) groupOf(tray.kind, tray.day).trays.push(tray);
  // Where a day has several ways, as many eggs go through them as come from the lots.
  for (const group of groups.values()) {
    const ways = group.trays.flatMap((tray) => wayColumn(tray, lots) ?? []);
    if (ways.length === 0) continue;
    for (const way of ways) values[way] = whole(values[way]!);
    const all = (columns: readonly number[]) => columns.reduce((sum, c) => sum + values[c]!, 0);
    const own = group.eggs.map(({ column }) => column);
    for (const [some, others] of [
      [own, ways],
      [ways, own],
    ] as const) {
      let over = all(some) - all(others);
      for (const column of some) {
        const less = Math.min(Math.max(0, over), values[column]!);
        values[column]! -= less;
        over -= less;
      }
    }
  }

  const usedOfLot = new Map<string, number>();
  const lotOf = ({ source, laid }: Egg) => `${source} ${laid}`;
  for (const egg of eggs)
    usedOfLot.set(lotOf(egg), (usedOfLot.get(lotOf(egg)) ?? 0) + values[egg.column]!);
  const isSameWay = (tray: Tray, other: { day: number; setter: number; hatcher: number }) =>
    tray.day === other.day && tray.setter === other.setter && tray.hatcher === other.hatcher;
  const hatchDay = ({ kind, day }: Tray) => day + timings[kinds[kind]!.timing]!.hatch;
  /** True if a tray of the kind and the hatcher it goes to take one more egg. */
  const hasRoom = (tray: Tray): boolean => {
    const { timing, liveShare } = kinds[tray.kind]!;
    const { holds, oneSet } = hatchers[tray.hatcher]!;
    const here = amountOf(tray.eggs, values);
    if (here + 1 > values[tray.trays]! * setters[tray.setter]!.holds[tray.kind]!) return false;
    const set = sets.find((one) => one.timing === timing && isSameWay(tray, one))!;
    // Where sets may lie together, all that hatch on a day have the one room.
    const isBeside = (other: Tray) =>
      oneSet
        ? isSameWay(other, tray) && kinds[other.kind]!.timing === timing
        : other.hatcher === tray.hatcher && hatchDay(other) === hatchDay(tray);
    let load = liveShare / holds[tray.kind]!;
    for (const other of trays)
      if (isBeside(other))
        load += (amountOf(other.eggs, values) * kinds[other.kind]!.liveShare) / holds[other.kind]!;
    return load <= (oneSet ? values[set.column]! : Math.min(1, values[set.column]!));
  };
  for (const need of needs) {
    if (need.birds <= 0) continue;
    const serving = eggs
      .map((egg) => ({ egg, worth: worthOf(p, need, { ...egg, age: egg.set - egg.laid }) }))
      .filter(({ worth }) => worth > 0)
      .sort((a, b) => b.worth - a.worth);
    let missing =
      need.birds - serving.reduce((sum, { egg, worth }) => sum + worth * values[egg.column]!, 0);
    for (const { egg, worth } of serving) {
      while (missing > NO_BIRD) {
        if (usedOfLot.get(lotOf(egg))! + 1 > program.columns[egg.column]!.upper) break;
        const group = groupOf(sources[egg.source]!.kind, egg.set);
        const tray = group.trays.find(hasRoom);
        if (!tray) break;
        const way = wayColumn(tray, lots);
        if (way !== null) values[way]! += 1;
        values[egg.column]! += 1;
        usedOfLot.set(lotOf(egg), usedOfLot.get(lotOf(egg))! + 1);
        missing -= worth;
      }
    }
  }
  return values;
}
