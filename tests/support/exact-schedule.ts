/** The sets a solved model stands for, and a check of them that walks the season day by day. */

import { amountOf } from '../../src/planner/linear-program.ts';
import { type HatchingModel, type HatchingProblem, lotsOf } from './exact-model.ts';

/** What is started on one day in one class of setter, bound for one class of hatcher. */
export interface Start {
  timing: number;
  day: number;
  setter: number;
  hatcher: number;
  /** Number of sets the eggs are divided into. */
  sets: number;
  trays: { kind: number; trays: number }[];
  eggs: { source: number; laid: number; eggs: number }[];
}

/** Reads the starts out of a solution, in order of day. Eggs must be whole. */
export function startsOf(model: HatchingModel, values: ArrayLike<number>): Start[] {
  const { kinds, sources } = model.problem;
  const left = new Map<string, { source: number; laid: number; eggs: number }[]>();
  for (const { source, laid, set, column } of model.eggs) {
    const eggs = Math.round(values[column]!);
    if (eggs === 0) continue;
    const at = `${sources[source]!.kind} ${set}`;
    left.set(at, [...(left.get(at) ?? []), { source, laid, eggs }]);
  }
  const starts: Start[] = [];
  for (const set of model.sets) {
    const start: Start = { ...set, sets: Math.round(values[set.column]!), trays: [], eggs: [] };
    for (const tray of model.trays) {
      if (
        tray.day !== set.day ||
        tray.setter !== set.setter ||
        tray.hatcher !== set.hatcher ||
        kinds[tray.kind]!.timing !== set.timing
      )
        continue;
      let wanted = Math.round(amountOf(tray.eggs, values));
      if (wanted === 0) continue;
      start.trays.push({
        kind: tray.kind,
        trays: Math.ceil(wanted / model.problem.setters[set.setter]!.holds[tray.kind]!),
      });
      for (const lot of left.get(`${tray.kind} ${set.day}`) ?? []) {
        const taken = Math.min(wanted, lot.eggs);
        if (taken === 0) continue;
        lot.eggs -= taken;
        wanted -= taken;
        start.eggs.push({ source: lot.source, laid: lot.laid, eggs: taken });
      }
    }
    if (start.eggs.length > 0) starts.push(start);
  }
  return starts.sort((a, b) => a.day - b.day || a.timing - b.timing);
}

/**
 * Every rule of the problem that the starts break, found by walking the days with the stock of eggs,
 * the trays and the hatchers in hand. Knows nothing of the program or the solver.
 */
export function brokenRules(problem: HatchingProblem, starts: readonly Start[]): string[] {
  const { kinds, timings, setters, hatchers, sources } = problem;
  const broken: string[] = [];
  const store = sources.map((source) => new Map(lotsOf(source).filter(([laid]) => laid < 0)));
  // Machines are in use beyond the last day for setting.
  const end = starts.reduce((last, { day, timing, hatcher }) => {
    const until = day + timings[timing]!.lastOpening + hatchers[hatcher]!.cleanDays;
    return Math.max(last, until);
  }, problem.days);
  for (let day = 0; day < end; day++) {
    sources.forEach((source, s) => {
      const lots = store[s]!;
      const laid = source.supply[day] ?? 0;
      if (laid > 0) lots.set(day, laid);
      for (const t of lots.keys()) if (day - t > source.maxAge) lots.delete(t);
    });
    const today = starts.filter((s) => s.day === day);
    if (problem.oneSetADay && today.reduce((n, s) => n + s.sets, 0) > 1)
      broken.push(`day ${day}: more than one set started`);
    for (const start of today) {
      const timing = timings[start.timing]!;
      if (!timing.setDays.includes(day)) broken.push(`day ${day}: not a day for setting`);
      if (day + timing.lastOpening > (problem.lastOpeningBy ?? Number.POSITIVE_INFINITY))
        broken.push(`day ${day}: the last opening is too late`);
      const setter = setters[start.setter]!;
      const hatcher = hatchers[start.hatcher]!;
      const byKind = new Map<number, number>();
      for (const { source, laid, eggs } of start.eggs) {
        const { name, kind, closed, to = Number.POSITIVE_INFINITY } = sources[source]!;
        const have = store[source]!.get(laid) ?? 0;
        if (eggs > have)
          broken.push(`day ${day}: ${eggs} eggs of ${name} laid on ${laid}, only ${have} there`);
        if (day > to || closed?.has(day))
          broken.push(`day ${day}: eggs of ${name} are not to be set`);
        store[source]!.set(laid, have - eggs);
        if (kinds[kind]!.timing !== start.timing)
          broken.push(`day ${day}: eggs of ${name} are of another timing`);
        byKind.set(kind, (byKind.get(kind) ?? 0) + eggs);
      }
      let traysUsed = 0;
      let load = 0;
      for (const [kind, eggs] of byKind) {
        const trays = start.trays.find((t) => t.kind === kind)?.trays ?? 0;
        traysUsed += trays;
        if (eggs > trays * setter.holds[kind]!)
          broken.push(`day ${day}: ${eggs} ${kinds[kind]!.name} eggs in ${trays} trays`);
        load += (eggs * kinds[kind]!.liveShare) / hatcher.holds[kind]!;
      }
      if (traysUsed > start.sets * setter.trays)
        broken.push(`day ${day}: ${traysUsed} trays in ${start.sets} sets`);
      if (hatcher.oneSet && load > start.sets + 1e-9)
        broken.push(`day ${day}: too many eggs for ${hatcher.name}`);
    }
    setters.forEach((setter, c) => {
      let used = setter.taken[day] ?? 0;
      for (const s of starts)
        if (s.setter === c && s.day <= day && day < s.day + timings[s.timing]!.transfer)
          for (const t of s.trays) used += t.trays;
      const there = setter.count * setter.trays;
      if (used > Math.max(there, setter.taken[day] ?? 0))
        broken.push(`day ${day}: ${used} trays of ${setter.name} in use, ${there} there`);
    });
    hatchers.forEach((hatcher, h) => {
      const inside = starts.filter((s) => {
        const { transfer, lastOpening } = timings[s.timing]!;
        const until = s.day + lastOpening + hatcher.cleanDays;
        return s.hatcher === h && s.day + transfer <= day && day < until;
      });
      if (inside.length === 0) return;
      const already = hatcher.taken[day] ?? 0;
      if (hatcher.oneSet) {
        const used = inside.reduce((n, s) => n + s.sets, already);
        if (used > hatcher.count) broken.push(`day ${day}: ${used} sets in ${hatcher.name}`);
        return;
      }
      const hatchDays = new Set(inside.map((s) => s.day + timings[s.timing]!.hatch));
      if (hatchDays.size + already > hatcher.count)
        broken.push(`day ${day}: different hatch days in ${hatcher.name}`);
      let load = 0;
      for (const s of inside)
        for (const { source, eggs } of s.eggs) {
          const kind = sources[source]!.kind;
          load += (eggs * kinds[kind]!.liveShare) / hatcher.holds[kind]!;
        }
      if (load > 1 + 1e-9) broken.push(`day ${day}: too many eggs in ${hatcher.name}`);
    });
  }
  for (const start of starts)
    if (start.day >= problem.days || start.day < 0)
      broken.push(`day ${start.day}: outside the season`);
  return broken;
}
