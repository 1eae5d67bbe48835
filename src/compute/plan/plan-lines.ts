/** From starts counted by class to plan lines: which setter, which trays, which hatcher, what name. */
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import type { Start } from './hatching-schedule.ts';
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

interface Stay {
  from: number;
  to: number;
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

/** Lays the starts out in trays and hatchers. Throws NoPlace if the trays left are too scattered. */
export function planLines(p: SeasonProblem, starts: readonly Start[]): PlanLine[] {
  const { problem, season } = p;
  const trays = new Map<string, Stay[][]>();
  for (const setter of season.setters.values())
    trays.set(
      setter.name,
      Array.from({ length: setter.trays }, (_, i) =>
        p.occupancy.trays
          .filter((span) => span.setter === setter.name && span.tray === i + 1)
          .map((span) => ({
            from: daysBetween(p.first, span.from),
            to: daysBetween(p.first, span.to),
          })),
      ),
    );
  const hatchers = new Map<string, (Stay & { hatch: number })[]>();
  for (const hatcher of season.hatchers.values())
    hatchers.set(
      hatcher.name,
      p.occupancy.hatchers
        .filter((span) => span.hatcher === hatcher.name)
        .map((span) => ({
          from: daysBetween(p.first, span.from),
          to: daysBetween(p.first, span.to),
          hatch: Number.NaN,
        })),
    );
  const nameFor = setNames(p);
  const lines: PlanLine[] = [];
  for (const start of starts) {
    const timing = problem.timings[start.timing]!;
    const setter = problem.setters[start.setter]!;
    const hatcher = problem.hatchers[start.hatcher]!;
    const kind = start.trays[0]!.kind;
    const holds = setter.holds[kind]!;
    const lots = start.eggs.map((lot) => ({ ...lot }));
    let traysLeft = start.trays.reduce((n, t) => n + t.trays, 0);
    for (let part = 0; part < start.sets && lots.some((lot) => lot.eggs > 0); part++) {
      const traysHere = Math.min(
        Math.ceil(traysLeft / (start.sets - part)),
        season.setters.get(p.setterNames[start.setter]![0]!)!.trays,
      );
      traysLeft -= traysHere;
      let room = Math.min(traysHere * holds, hatcher.holds[kind]!);
      const ages: PlanLine['ages'] = [];
      const shares: Record<string, number> = {};
      for (const lot of lots) {
        const eggs = Math.min(room, lot.eggs);
        if (eggs === 0) continue;
        lot.eggs -= eggs;
        room -= eggs;
        const pen = p.pens[lot.source]!.name;
        shares[pen] = (shares[pen] ?? 0) + eggs;
        ages.push({ pen, age: start.day - lot.laid, eggs });
      }
      const total = Object.values(shares).reduce((a, b) => a + b, 0);
      if (total === 0) continue;
      const stay = { from: start.day, to: start.day + timing.transfer };
      const place = freeTrays(p, trays, start.setter, Math.ceil(total / holds), stay);
      if (!place) throw new NoPlace(start.setter, start.day, timing.transfer);
      for (const tray of place.trays) trays.get(place.setter)![tray - 1]!.push(stay);
      const names_ = p.hatcherNames[start.hatcher]!;
      const warm = {
        from: start.day + timing.transfer,
        to: start.day + timing.lastOpening + hatcher.cleanDays,
        hatch: start.day + timing.hatch,
      };
      const into =
        names_.find((name) => !hatchers.get(name)!.some((s) => meets(s, warm))) ??
        names_.find((name) =>
          hatchers
            .get(name)!
            .every((s) => !meets(s, warm) || (!hatcher.oneSet && s.hatch === warm.hatch)),
        ) ??
        null;
      if (into !== null) hatchers.get(into)!.push(warm);
      const on = addDays(p.first, start.day);
      const species = p.species[start.timing]!;
      const set = nameFor(Object.keys(shares));
      lines.push({
        set,
        on,
        setter: place.setter,
        trays: place.trays,
        shares,
        eggs: total,
        hatcher: into,
        species,
        oldestDays: Math.max(...ages.map((a) => a.age)),
        ages,
        transfer: addDays(
          on,
          p.pens.find((pen) => pen.line.speciesName === species)!.line.species.transfer_day.value,
        ),
        hatch: addDays(on, timing.hatch),
        lastOpening: addDays(on, timing.lastOpening),
      });
    }
  }
  return lines;
}

const meets = (a: Stay, b: Stay) => a.from < b.to && b.from < a.to;

/** The fullest setter of the class that still has so many trays free for the whole stay. */
function freeTrays(
  p: SeasonProblem,
  trays: ReadonlyMap<string, readonly (readonly Stay[])[]>,
  setterClass: number,
  wanted: number,
  stay: Stay,
): { setter: string; trays: number[] } | null {
  let best: { setter: string; trays: number[]; free: number } | null = null;
  for (const setter of p.setterNames[setterClass]!) {
    const free = trays
      .get(setter)!
      .flatMap((stays, i) => (stays.some((s) => meets(s, stay)) ? [] : [i + 1]));
    if (free.length < wanted || (best && best.free <= free.length)) continue;
    best = { setter, trays: free.slice(0, wanted), free: free.length };
  }
  return best;
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
    others.some((o) => o.startsWith(letters.slice(0, length)))
  )
    length++;
  const prefix = letters.slice(0, length);
  let highest = 0;
  for (const name of taken) {
    const match = new RegExp(`^${prefix}(\\d{1,6})$`).exec(name);
    if (match) highest = Math.max(highest, Number(match[1]));
  }
  return `${prefix}${highest + 1}`;
}
