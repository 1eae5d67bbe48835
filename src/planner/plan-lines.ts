/** From starts counted by class to plan lines: which setter, which trays, which hatcher, what name. */
import { addDays, type Day, daysBetween } from '../text/day.ts';
import type { Start } from './hatching-schedule.ts';
import { meets, placed, type Stay } from './placing.ts';
import type { SeasonProblem } from './season-problem.ts';

/** A plan line as season.yaml takes it, with what the plan knows about its eggs. */
export interface PlanLine {
  set: string;
  on: Day;
  setter: string;
  trays: number[];
  shares: Record<string, number>;
  eggs: number;
  hatcher: string | null;
  species: string;
  /** Age of the oldest egg, days. */
  oldestDays: number;
  /** Eggs by pen and age. */
  ages: { pen: string; age: number; eggs: number }[];
  transfer: Day;
  hatch: Day;
  lastOpening: Day;
}

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

/** One set of a start: its eggs, oldest first, by pen and age. */
interface Part {
  start: Start;
  kind: number;
  ages: PlanLine['ages'];
  shares: Record<string, number>;
  eggs: number;
  stay: Stay;
  /** In the hatcher and until it is clean again. */
  warm: Stay & { hatch: number };
}

/** A set's eggs put into another kind of setter than planned: better than no place. */
const OTHER_SETTER = 1;

/** Lays the starts out in trays and hatchers. Throws NoPlace if what is left is too scattered. */
export async function planLines(p: SeasonProblem, starts: readonly Start[]): Promise<PlanLine[]> {
  const parts = starts.flatMap((start) => partsOf(p, start));
  const trays = await traysOf(p, parts);
  const hatchers = await hatchersOf(p, parts);
  const nameFor = setNames(p);
  return parts.map(({ start, kind, ages, shares, eggs }, i): PlanLine => {
    const on = addDays(p.first, start.day);
    const species = p.species[kind]!;
    const { hatch, lastOpening } = p.problem.timings[start.timing]!;
    return {
      set: nameFor(Object.keys(shares)),
      on,
      ...trays[i]!,
      shares,
      eggs,
      hatcher: hatchers[i]!,
      species,
      oldestDays: Math.max(...ages.map((a) => a.age)),
      ages,
      transfer: addDays(
        on,
        p.pens.find((pen) => pen.line.speciesName === species)!.line.species.transfer_day.value,
      ),
      hatch: addDays(on, hatch),
      lastOpening: addDays(on, lastOpening),
    };
  });
}

function partsOf(p: SeasonProblem, start: Start): Part[] {
  const timing = p.problem.timings[start.timing]!;
  const setter = p.problem.setters[start.setter]!;
  const hatcher = p.problem.hatchers[start.hatcher]!;
  const { kind } = start.trays[0]!;
  const lots = start.eggs.map((lot) => ({ ...lot }));
  const parts: Part[] = [];
  let traysLeft = start.trays.reduce((n, t) => n + t.trays, 0);
  for (let part = 0; part < start.sets && lots.some((lot) => lot.eggs > 0); part++) {
    const traysHere = Math.min(Math.ceil(traysLeft / (start.sets - part)), setter.trays);
    traysLeft -= traysHere;
    let room = Math.min(traysHere * setter.holds[kind]!, hatcher.holds[kind]!);
    const ages: PlanLine['ages'] = [];
    const shares: Record<string, number> = {};
    for (const lot of lots) {
      const eggs = Math.min(room, lot.eggs);
      if (eggs === 0) continue;
      lot.eggs -= eggs;
      room -= eggs;
      const pen = p.pens[lot.source]!.name;
      shares[pen] = (shares[pen] ?? 0) + eggs;
      const age = start.day - lot.laid;
      const alike = ages.find((one) => one.pen === pen && one.age === age);
      if (alike) alike.eggs += eggs;
      else ages.push({ pen, age, eggs });
    }
    const eggs = ages.reduce((sum, one) => sum + one.eggs, 0);
    if (eggs === 0) continue;
    const stay = { from: start.day, to: start.day + timing.transfer };
    const warm = {
      from: start.day + timing.transfer,
      to: start.day + timing.lastOpening + hatcher.cleanDays,
      hatch: start.day + timing.hatch,
    };
    parts.push({ start, kind, ages, shares, eggs, stay, warm });
  }
  return parts;
}

/** Setter and trays of each set: of the class planned where one has room, else of another. */
async function traysOf(
  p: SeasonProblem,
  parts: readonly Part[],
): Promise<Pick<PlanLine, 'setter' | 'trays'>[]> {
  const setters = p.problem.setters.flatMap(({ trays, holds }, of) =>
    p.setterNames[of]!.map((name) => ({
      name,
      of,
      trays,
      holds,
      // Stays by tray.
      lying: Array.from({ length: trays }, (_, i) =>
        p.occupancy.trays
          .filter((span) => span.setter === name && span.tray === i + 1)
          .map(
            (span): Stay => ({
              from: daysBetween(p.first, span.from),
              to: daysBetween(p.first, span.to),
            }),
          ),
      ),
    })),
  );
  const found = await placed(
    parts.map(({ start, kind, eggs, stay }) => ({
      ...stay,
      choices: setters.flatMap(({ of, trays, holds }, machine) => {
        const size = Math.ceil(eggs / holds[kind]!);
        return size <= trays
          ? [{ machine, size, cost: of === start.setter ? 0 : OTHER_SETTER }]
          : [];
      }),
    })),
    setters.map(({ trays, lying }) => ({
      room: trays,
      taken: lying.flat().map((stay) => ({ ...stay, size: 1 })),
    })),
  );
  const noPlace = ({ start, stay }: Part) =>
    new NoPlace(start.setter, start.day, stay.to - stay.from);
  if ('unplaced' in found) throw noPlace(parts[found.unplaced]!);
  return parts.map((part, i) => {
    const { kind, eggs, stay } = part;
    const setter = setters[found[i]!]!;
    const free = setter.lying.flatMap((stays, tray) =>
      stays.some((one) => meets(one, stay)) ? [] : [tray + 1],
    );
    const wanted = Math.ceil(eggs / setter.holds[kind]!);
    if (free.length < wanted) throw noPlace(part);
    const trays = free.slice(0, wanted);
    for (const tray of trays) setter.lying[tray - 1]!.push(stay);
    return { setter: setter.name, trays };
  });
}

/** Hatcher of each set: one of the class planned that is free, null where none is. */
async function hatchersOf(p: SeasonProblem, parts: readonly Part[]): Promise<(string | null)[]> {
  const found = new Array<string | null>(parts.length).fill(null);
  for (const [of, { oneSet }] of p.problem.hatchers.entries()) {
    const names = p.hatcherNames[of]!;
    const own = parts.flatMap(({ start }, i) => (start.hatcher === of ? [i] : []));
    if (own.length === 0 || names.length === 0) continue;
    // Several sets that hatch on one day share a hatcher that allows it.
    const at = oneSet
      ? await placed(
          own.map((i) => ({
            ...parts[i]!.warm,
            choices: names.map((_, machine) => ({ machine, size: 1, cost: 0 })),
          })),
          names.map((name) => ({
            room: 1,
            taken: p.occupancy.hatchers
              .filter((span) => span.hatcher === name)
              .map((span) => ({
                from: daysBetween(p.first, span.from),
                to: daysBetween(p.first, span.to),
                size: 1,
              })),
          })),
        )
      : own.map(() => 0);
    if ('unplaced' in at) continue;
    own.forEach((i, k) => {
      found[i] = names[at[k]!]!;
    });
  }
  return found;
}

/** Gives sets the names that are free in a season, in the order asked, by the pens of their eggs. */
export function setNames(p: SeasonProblem): (pens: readonly string[]) => string {
  const { sets, planned } = p.season;
  const taken = new Set([...sets.keys(), ...planned.map((line) => line.name)]);
  return (pens) => {
    const name = nextName(taken, p, pens);
    taken.add(name);
    return name;
  };
}

/** F, P and G with a number read as generations, W with one as a week: no set is called so. */
const isMistaken = (prefix: string): boolean => /^(?:[FPGW]|WK|KW)$/.test(prefix);

/** The next free name: the line's (or, mixed, the species') first letters and a number. */
function nextName(taken: ReadonlySet<string>, p: SeasonProblem, pens: readonly string[]): string {
  const lines = new Set(pens.map((pen) => p.season.pens.get(pen)!.line));
  const [only] = lines;
  const word = lines.size === 1 ? only!.name : only!.speciesName;
  const letters = word.replace(/[^a-z]/gi, '').toUpperCase() || 'S';
  // Two lines may begin alike: take as many letters as tell them apart.
  const others = [...p.season.lines.keys()]
    .filter((name) => name !== word)
    .map((name) => name.replace(/[^a-z]/gi, '').toUpperCase());
  let length = 1;
  while (
    length < Math.min(3, letters.length) &&
    (isMistaken(letters.slice(0, length)) ||
      others.some((o) => o.startsWith(letters.slice(0, length))))
  )
    length++;
  const prefix = isMistaken(letters.slice(0, length)) ? 'S' : letters.slice(0, length);
  let highest = 0;
  for (const name of taken) {
    const match = new RegExp(`^${prefix}(\\d{1,6})$`).exec(name);
    if (match) highest = Math.max(highest, Number(match[1]));
  }
  return `${prefix}${highest + 1}`;
}
