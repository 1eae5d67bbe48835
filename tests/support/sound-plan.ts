// What holds of every plan, whatever the farm: asked by the property tests of the planner.
import { expect } from 'vitest';
import { conflictsOf } from '../../src/facts/checks/index.ts';
import { type Goal, readyDay } from '../../src/facts/goals.ts';
import { expectedIn } from '../../src/judge/rates/expected-chicks.ts';
import { type FarmRates, farmRates } from '../../src/judge/rates/rates.ts';
import type { PlannedShare } from '../../src/judge/rates/worlds.ts';
import { meanRate } from '../../src/planner/mean-rate.ts';
import type { PlanResult } from '../../src/planner/plan.ts';
import type { PlanLine } from '../../src/planner/plan-lines.ts';
import type { Now } from '../../src/season/model.ts';
import type { Day } from '../../src/text/day.ts';
import { built, type Written } from './season.ts';

/** A random farm as text: its season file with lines beside or without the keeper's own, and its logs. */
export interface FarmCase {
  yaml: (lines: readonly PlanLine[], hasOwn: boolean) => string;
  rows: Written[];
  today: Day;
}

/** The text of a season file: what stands above its plan, then the keeper's own lines of the plan, and others. */
export const seasonText =
  (head: readonly string[], own: readonly string[]): FarmCase['yaml'] =>
  (lines, hasOwn) => {
    const made = lines.map(
      (line) =>
        `  - {set: ${line.set}, on: ${line.on}, setter: ${line.setter}, trays: [${line.trays}], shares: {${Object.entries(
          line.shares,
        )
          .map(([pen, eggs]) => `${pen}: ${eggs}`)
          .join(', ')}}${line.hatcher === null ? '' : `, hatcher: ${line.hatcher}`}}`,
    );
    const all = [...(hasOwn ? own : []), ...made];
    return [...head, ...(all.length > 0 ? ['plan:', ...all] : []), ''].join('\n');
  };

/** Birds to be expected of a goal from shares that are ready by its day. */
export function expectedBirds(
  rates: FarmRates,
  goal: Goal,
  shares: readonly PlannedShare[],
): number {
  return shares
    .filter(({ pen, on }) => pen.line === goal.line && readyDay(goal, on) <= goal.by)
    .reduce((sum, { pen, eggs }) => sum + eggs * meanRate(rates, goal, pen), 0);
}

/** Breaks no rule of check, fits the machines, and counts right. `store`: days an egg may be kept. */
export function expectSound(
  { yaml, rows, today }: FarmCase,
  plan: PlanResult,
  now: Now,
  { replan, store }: { replan: boolean; store: number },
): void {
  // As it would stand in season.yaml, read anew; the keeper's own faults stay as they were.
  const after = built(yaml(plan.lines, !replan), rows);
  expect(after.faults).toEqual([]);
  const { season } = built(yaml([], !replan), rows);
  const known = new Set(
    conflictsOf(
      season,
      now,
      expectedIn(season, now, () => farmRates(season, [], now.day)),
    ).map((fault) => JSON.stringify([fault.code, fault.set, fault.pen])),
  );
  const fresh = conflictsOf(
    after.season,
    now,
    expectedIn(after.season, now, () => farmRates(season, [], now.day)),
  ).filter((fault) => !known.has(JSON.stringify([fault.code, fault.set, fault.pen])));
  expect(fresh.map((fault) => `${fault.code}: ${fault.message}`)).toEqual([]);

  const taken: { key: string; from: Day; to: Day }[] = [];
  for (const line of plan.lines) {
    const setter = season.setters.get(line.setter)!;
    const hatcher = season.hatchers.get(line.hatcher ?? '');
    const eggs = Object.values(line.shares).reduce((sum, n) => sum + n, 0);
    expect(eggs).toBe(line.eggs);
    expect(eggs).toBeLessThanOrEqual(line.trays.length * setter.tray_holds[line.species]!);
    expect(hatcher === undefined).toBe(season.hatchers.size === 0);
    expect(line.oldest_days).toBeLessThanOrEqual(store);
    expect(line.on >= today).toBe(true);
    const until = season.hatchers.size > 0 ? line.transfer : line.lastOpening;
    for (const tray of line.trays)
      taken.push({ key: `${line.setter} ${tray}`, from: line.on, to: until });
  }
  for (const [i, a] of taken.entries())
    for (const b of taken.slice(i + 1))
      expect(a.key === b.key && a.from < b.to && b.from < a.to).toBe(false);
  expect(plan.fewest).toBeLessThanOrEqual(plan.lines.length);
}
