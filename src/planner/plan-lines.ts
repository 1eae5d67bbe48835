/** From starts counted by class to plan lines: which setter, which trays, which hatcher, what name. */
import { closedSpans } from '../facts/feasible/days.ts';
import type { PlannedSet } from '../season/model.ts';
import { addDays, type Day } from '../text/day.ts';
import { largest } from '../text/lists.ts';
import { meets, type PlacedStay, placed } from './placing.ts';
import { countedFrom, type Problem, type Start } from './problem.ts';
import { eggsIn, staysOf } from './room.ts';
import { storageOf } from './tried.ts';

/** A line of the plan as season.yaml takes it. */
export interface LineToWrite {
  set: string;
  on: Day;
  setter: string;
  trays: readonly number[];
  shares: Readonly<Record<string, number>>;
  hatcher: string | null;
}

/** A set of the plan, with what the plan knows about its eggs. */
export interface PlannedView extends LineToWrite {
  eggs: number;
  /** Age of the oldest egg, days. */
  oldest_days: number;
  transfer: Day;
  hatch: Day;
}

/** A new set of the plan. */
export interface PlanLine extends PlannedView {
  species: string;
  /** Sound chicks that storage takes. */
  loss: number;
  lastOpening: Day;
}

/** A line of the season's plan as season.yaml takes it. */
export const writtenLine = (line: PlannedSet): LineToWrite => ({
  set: line.name,
  on: line.on,
  setter: line.setter,
  trays: line.trays,
  shares: Object.fromEntries(line.shares.map(({ pen, eggs }) => [pen.name, eggs])),
  hatcher: line.hatcher,
});

/** A place could not be found for a set, though there is room in sum. */
export class NoPlace extends Error {
  override name = 'NoPlace';
  constructor(
    readonly setter: number,
    readonly day: number,
    readonly days: number,
  ) {
    super(`no setter has room for a whole set on day ${day}`);
  }
}

/** A set with its days in trays, and in the hatcher until that is clean again. */
interface Part {
  start: Start;
  stay: PlacedStay;
  warm: PlacedStay;
}

/** A set's eggs put into another kind of setter than planned: better than no place. */
const OTHER_SETTER = 1;

/** Lays the sets out in trays and hatchers. Throws NoPlace if what is left is too scattered. */
export function planLines(p: Problem, starts: readonly Start[]): PlanLine[] {
  const parts = starts.map((start): Part => {
    const { trays: stay, warm } = staysOf(p, start);
    return { start, stay, warm };
  });
  const trays = traysOf(p, parts);
  const hatchers = hatchersOf(p, parts);
  const nameFor = setNames(p);
  const stored = storageOf(p, starts);
  return parts.map(({ start }, i): PlanLine => {
    const { species, move, hatch, lastOpening } = p.calendars[start.calendar]!;
    const on = addDays(p.first, start.day);
    const shares = Object.fromEntries(
      [...start.eggs].map(([pool, eggs]) => [p.pools[pool]!.pen.name, eggs]),
    );
    const { loss, oldest } = stored[i]!;
    return {
      set: nameFor(Object.keys(shares)),
      on,
      ...trays[i]!,
      shares,
      eggs: eggsIn(start),
      hatcher: hatchers[i]!,
      species,
      oldest_days: oldest,
      loss,
      transfer: addDays(on, move),
      hatch: addDays(on, hatch),
      lastOpening: addDays(on, lastOpening),
    };
  });
}

/** Setter and trays of each set: of the class planned where one has room, else of another. */
function traysOf(p: Problem, parts: readonly Part[]): Pick<PlanLine, 'setter' | 'trays'>[] {
  const setters = p.setters.flatMap(({ places: trays, names }, of) =>
    names.map((name) => ({
      name,
      of,
      trays,
      // Stays by tray.
      lying: Array.from({ length: trays }, (_, i) =>
        [
          ...p.occupancy.trays.filter((span) => span.setter === name && span.tray === i + 1),
          ...closedSpans(p.season.setters.get(name)!),
        ].map((span) => countedFrom(p.first, span)),
      ),
    })),
  );
  const found = placed(
    parts.map(({ start, stay }) => ({
      ...stay,
      choices: setters.flatMap(({ of, trays }, machine) => {
        const size = Math.ceil(eggsIn(start) / p.calendars[start.calendar]!.tray[of]!);
        return size <= trays
          ? [{ machine, size, cost: of === start.setter ? 0 : OTHER_SETTER }]
          : [];
      }),
    })),
    setters.map(({ trays, lying }) => ({
      room: trays,
      // Sets that share a tray lie there for the same days.
      taken: lying.flatMap((stays) =>
        stays
          .filter(
            (one, i) =>
              stays.findIndex((other) => other.from === one.from && other.to === one.to) === i,
          )
          .map((stay) => ({ ...stay, size: 1 })),
      ),
    })),
  );
  const noPlace = ({ start, stay }: Part) =>
    new NoPlace(start.setter, start.day, stay.to - stay.from);
  if ('unplaced' in found) throw noPlace(parts[found.unplaced]!);
  return parts.map((part, i) => {
    const { start, stay } = part;
    const setter = setters[found[i]!]!;
    const free = setter.lying.flatMap((stays, tray) =>
      stays.some((one) => meets(one, stay)) ? [] : [tray + 1],
    );
    const wanted = Math.ceil(eggsIn(start) / p.calendars[start.calendar]!.tray[setter.of]!);
    if (free.length < wanted) throw noPlace(part);
    const trays = free.slice(0, wanted);
    for (const tray of trays) setter.lying[tray - 1]!.push(stay);
    return { setter: setter.name, trays };
  });
}

/** Hatcher of each set: one of the class planned that is free, null where none is. */
function hatchersOf(p: Problem, parts: readonly Part[]): (string | null)[] {
  const found = new Array<string | null>(parts.length).fill(null);
  for (const [of, { shared, names }] of p.hatchers.entries()) {
    const own = parts.flatMap(({ start }, i) => (start.hatcher === of ? [i] : []));
    const at = placed(
      own.map((i) => ({
        ...parts[i]!.warm,
        choices: names.map((_, machine) => ({ machine, size: 1, cost: 0 })),
      })),
      names.map((name) => ({
        // Several sets that hatch on one day share a hatcher that allows it: the plan has seen to that.
        room: shared === null ? 1 : Number.POSITIVE_INFINITY,
        taken: [
          ...p.occupancy.hatchers.filter((span) => span.hatcher === name),
          ...closedSpans(p.season.hatchers.get(name)!),
        ].map((span) => ({ ...countedFrom(p.first, span), size: 1 })),
      })),
    );
    if ('unplaced' in at) continue;
    own.forEach((i, k) => {
      found[i] = names[at[k]!]!;
    });
  }
  return found;
}

/** F, P and G with a number read as generations, W with one as a week: no set is called so. */
const isMistaken = (prefix: string): boolean => /^(?:[FPGW]|WK|KW)$/.test(prefix);

/** Names that are free in a season: the line's (or, mixed, the species') first letters and the next number. */
function setNames({ season }: Problem): (pens: readonly string[]) => string {
  const taken = new Set([...season.sets.keys(), ...season.planned.map(({ name }) => name)]);
  const lettersOf = (word: string) => word.replace(/[^a-z]/gi, '').toUpperCase();
  return (pens) => {
    const lines = new Set(pens.map((pen) => season.pens.get(pen)!.line));
    const [only] = lines;
    const word = lines.size === 1 ? only!.name : only!.speciesName;
    const letters = lettersOf(word) || 'S';
    // Two lines may begin alike: take as many letters as tell them apart.
    const others = [...season.lines.keys()].filter((name) => name !== word).map(lettersOf);
    const isTold = (prefix: string) =>
      !isMistaken(prefix) && !others.some((other) => other.startsWith(prefix));
    let prefix = letters.slice(0, 1);
    while (prefix.length < Math.min(3, letters.length) && !isTold(prefix))
      prefix = letters.slice(0, prefix.length + 1);
    if (isMistaken(prefix)) prefix = 'S';
    const numbered = new RegExp(`^${prefix}(\\d{1,6})$`);
    const highest = largest([
      0,
      ...[...taken].map((name) => Number(numbered.exec(name)?.[1] ?? 0)),
    ]);
    const name = `${prefix}${highest + 1}`;
    taken.add(name);
    return name;
  };
}
