/** Hatching eggs of a pen, day by day: what lies in store, and what is expected to be laid. */

import { eggsToCome } from '../facts/egg-store.ts';
import { layIsGood } from '../facts/laying.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import { normalUpper } from '../judge/statistics/normal.ts';
import type { Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day, dayOfNumber, numberOfDay } from '../text/day.ts';

/**
 * Standard deviation of a pen's lay over what is expected, from what is not known of its rates; none
 * of eggs that are bought.
 */
export function layCertainty(rates: FarmRates, pen: Pen): number {
  if (pen.bought !== null) return 0;
  const part = (stage: 'lay' | 'kept') => {
    const { mean, sd } = rates.rate(stage, pen);
    return mean > 0 ? sd / mean : 0;
  };
  return Math.hypot(part('lay'), part('kept'));
}

/**
 * Whole eggs in store and to come that may be set, by the day laid, never more in sum than expected. Entry
 * 0 is `maxAge` days before `first`.
 */
export function lotsOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  pen: Pen,
  { first, days, maxAge }: { first: Day; days: number; maxAge: number },
): number[] {
  const lots = new Array<number>(days + maxAge).fill(0);
  const last = addDays(first, days - 1);
  const start = numberOfDay(first) - maxAge;
  for (const { laid, left } of eggsToCome(season, pen.name, now.day, last, () =>
    eggsADay(rates, pen),
  ))
    if (laid >= start && layIsGood(pen, dayOfNumber(laid))) lots[laid - start]! += left;
  return lots;
}

/** Eggs that can be counted on alike. */
export interface Layer {
  /** By the day laid, as the pool's. */
  lots: readonly number[];
  /** Share of them that will be there if planned for, on the average. */
  mean: number;
  /** The same in the seasons that decide whether a goal is met: there hens lay less than expected. */
  sure: number;
}

/** Scatter of lay below which eggs to come are all alike. */
const WELL_KNOWN = 0.05;
/**
 * Where a goal is just met or just missed hens lay less than expected by about a standard deviation, and
 * scatter less (bench:plan, middle: 19 sets, not 20, with a third fewer programs).
 */
const DECIDING = { below: 1, scatter: 0.8 };

/**
 * The eggs of a pen in two layers: those it lays even if it lays less than expected by a standard
 * deviation, and the rest. If hens lay a multiple F of what is expected and a part u of it is planned
 * for, E(min(u, F)) of it comes; each layer has its mean slope. F is taken as normal (E(min) then as in
 * the newsvendor's problem: Silver, Pyke & Thomas, Inventory and Production Management, 4th ed., ch. 9).
 */
export function layersOf(lots: readonly number[], maxAge: number, scatter: number): Layer[] {
  const coming = (part: number, middle: number, sd: number) => {
    const below = (u: number) => {
      const z = (u - middle) / sd;
      const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
      return u - sd * (density + z * (1 - normalUpper(z)));
    };
    // Hens never lay less than nothing.
    return below(part) - below(0);
  };
  const usual = (part: number) => (scatter > 0 ? coming(part, 1, scatter) : part);
  if (scatter < WELL_KNOWN) return [{ lots, mean: usual(1), sure: usual(1) }];
  const poor = (part: number) =>
    coming(part, 1 - DECIDING.below * scatter, DECIDING.scatter * scatter);
  const inner = Math.max(0.25, 1 - scatter);
  let sum = 0;
  let given = 0;
  // What is in store is there.
  const first = lots.map((eggs, at) => {
    if (at <= maxAge) return eggs;
    sum += eggs * inner;
    const whole = Math.min(eggs, Math.round(sum) - given);
    given += whole;
    return whole;
  });
  const outer = 1 - inner;
  return [
    { lots: first, mean: usual(inner) / inner, sure: poor(inner) / inner },
    {
      lots: lots.map((eggs, at) => eggs - first[at]!),
      mean: (usual(1) - usual(inner)) / outer,
      sure: (poor(1) - poor(inner)) / outer,
    },
  ];
}
