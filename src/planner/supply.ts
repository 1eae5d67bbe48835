/** Hatching eggs of a pen, day by day: what lies in store, and what is expected to be laid. */

import { eggsToCome } from '../facts/egg-store.ts';
import { layIsGood } from '../facts/laying.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import { normalUpper } from '../judge/statistics/distributions.ts';
import type { Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day, dayOfNumber, numberOfDay } from '../text/day.ts';

/** Standard deviation of a pen's lay over what is expected, from what is not known of its rates. */
export function layCertainty(rates: FarmRates, pen: Pen): number {
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

/** Eggs that can be counted on alike: `sure` is the share of them that will be there if planned for. */
export interface Layer {
  /** By the day laid, as the pool's. */
  lots: readonly number[];
  sure: number;
}

/** Scatter of lay below which eggs to come are all alike. */
const WELL_KNOWN = 0.05;

/**
 * The eggs of a pen in two layers: those it lays even if it lays less than expected by a standard
 * deviation, and the rest. If hens lay a multiple F of what is expected and a part u of it is planned
 * for, E(min(u, F)) of it comes; each layer has its mean slope. F is taken as normal (E(min) then as in
 * the newsvendor's problem: Silver, Pyke & Thomas, Inventory and Production Management, 4th ed., ch. 9).
 */
export function layersOf(lots: readonly number[], maxAge: number, scatter: number): Layer[] {
  const below = (part: number) => {
    const z = (part - 1) / scatter;
    const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
    return part - scatter * (density + z * (1 - normalUpper(z)));
  };
  // Hens never lay less than nothing.
  const coming = (part: number) => below(part) - below(0);
  if (scatter < WELL_KNOWN) return [{ lots, sure: scatter > 0 ? coming(1) : 1 }];
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
  return [
    { lots: first, sure: coming(inner) / inner },
    {
      lots: lots.map((eggs, at) => eggs - first[at]!),
      sure: (coming(1) - coming(inner)) / (1 - inner),
    },
  ];
}
