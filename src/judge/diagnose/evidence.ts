import type { Season } from '../../season/model.ts';
import { numberOfDay } from '../../text/day.ts';
import type { RateName } from '../norms.ts';
import type { ExtraName, Outcome, Part } from '../review/outcome.ts';
import { outcomesOf } from '../review/outcome.ts';
import { type MachineReadings, readingsOf } from '../review/readings.ts';
import { type Timing, timingOf } from '../review/timing.ts';
import { lossesOf, type ShareLoss } from '../review/weights.ts';
import type { Clustered } from './tests.ts';

/** All a season's records say that the questions draw on. */
export type Evidence = {
  readonly season: Season;
  readonly outcomes: readonly Outcome[];
  readonly timing: Timing;
  readonly losses: readonly ShareLoss[];
  readonly readings: readonly MachineReadings[];
};

export function evidenceOf(season: Season): Evidence {
  return {
    season,
    outcomes: outcomesOf(season),
    timing: timingOf(season),
    losses: lossesOf(season),
    readings: readingsOf(season),
  };
}

/** A rate of each share that has it, by the set it lay in. */
export function partsOf(
  outcomes: readonly Outcome[],
  rate: RateName | ExtraName,
): (Clustered & { one: Outcome })[] {
  return outcomes.flatMap((one) => {
    const part = one.rates[rate];
    return part === null ? [] : [{ ...part, cluster: one.set, one }];
  });
}

/** Weeks since the first set. */
export function weekOf(outcomes: readonly Outcome[], one: Outcome): number {
  const first = Math.min(...outcomes.map((o) => numberOfDay(o.on)));
  return (numberOfDay(one.on) - first) / 7;
}

/** One column for each pen but the first. */
export function penColumns(outcomes: readonly Outcome[]): Record<string, number[]> {
  const pens = [...new Set(outcomes.map((o) => o.pen))].sort();
  return Object.fromEntries(
    pens.slice(1).map((pen) => [`pen ${pen}`, outcomes.map((o) => (o.pen === pen ? 1 : 0))]),
  );
}

/** Days in store; shares of unknown age stand at the mean. Empty when no age is known. */
export function ageColumn(outcomes: readonly Outcome[]): Record<string, number[]> {
  const known = outcomes.flatMap((o) => (o.age ? [o.age.mean] : []));
  if (known.length === 0) return {};
  const mean = known.reduce((s, a) => s + a, 0) / known.length;
  return { age: outcomes.map((o) => o.age?.mean ?? mean) };
}

export function sumOf(parts: readonly Part[]): Part {
  return { x: parts.reduce((s, p) => s + p.x, 0), n: parts.reduce((s, p) => s + p.n, 0) };
}

export const percent = (p: number): string => `${Math.round(p * 1000) / 10} %`;
export const hours = (h: number): string => `${Math.abs(Math.round(h))} hours`;
