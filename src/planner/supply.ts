/** Hatching eggs of a pen, day by day: what lies in store, and what is expected to be laid. */

import { type HeldEggs, takeFreshest } from '../facts/egg-store.ts';
import { openPlan } from '../facts/hatch-time.ts';
import { layIsGood } from '../facts/laying.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import type { FarmRates } from '../judge/rates/rates.ts';
import { normalUpper } from '../judge/statistics/distributions.ts';
import type { Now, Pen, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween } from '../text/day.ts';

/** Standard deviation of a pen's lay over what is expected, from what is not known of its rates. */
export function layCertainty(rates: FarmRates, pen: Pen): number {
  const part = (stage: 'lay' | 'kept') => {
    const { mean, sd } = rates.rate(stage, pen);
    return mean > 0 ? sd / mean : 0;
  };
  return Math.hypot(part('lay'), part('kept'));
}

/** Eggs by the day laid, day 0 being `first`; what lies in store has its age on that day. */
export interface Supply {
  supply: number[];
  stored: { age: number; eggs: number }[];
  /** Eggs that plan lines to be kept want and that are not expected to be there, by line. */
  missing: { set: string; eggs: number }[];
  /** Ages of the eggs those lines draw, by line. */
  drawn: Map<string, number[]>;
}

/**
 * Eggs in store and eggs to come, whole and never more in sum than expected, less what kept plan
 * lines take: they draw as the records do.
 */
export function supplyOf(
  season: Season,
  now: Now,
  rates: FarmRates,
  pen: Pen,
  span: { first: Day; days: number; maxAge: number },
): Supply {
  const { first, days, maxAge } = span;
  const rate = eggsADay(rates, pen);
  const lots: HeldEggs[] = season.lots
    .filter(
      (lot) =>
        lot.pen === pen.name && lot.left > 0 && lot.laid <= now.day && layIsGood(pen, lot.laid),
    )
    .map((lot) => ({ laid: daysBetween(first, lot.laid), left: lot.left }))
    .filter((lot) => -lot.laid <= maxAge);
  // What today brings counts once it is written down.
  let sum = 0;
  let given = 0;
  for (let d = 0; d < days; d++) {
    const day = addDays(first, d);
    if (day <= now.day || !layIsGood(pen, day)) continue;
    sum += rate;
    const whole = Math.floor(sum + 1e-9) - given;
    given += whole;
    if (whole > 0) lots.push({ laid: d, left: whole });
  }
  lots.sort((a, b) => a.laid - b.laid);
  const missing: Supply['missing'] = [];
  const drawn: Supply['drawn'] = new Map();
  for (const line of openPlan(season)) {
    const share = line.shares.find((s) => s.pen.name === pen.name);
    if (!share || line.on < now.day) continue;
    const on = daysBetween(first, line.on);
    const { taken, missing: short } = takeFreshest(lots, { on, eggs: share.eggs, maxAge });
    if (taken.length > 0) drawn.set(line.name, taken.map((one) => one.age).reverse());
    if (short > 0) missing.push({ set: line.name, eggs: short });
  }
  const supply = new Array<number>(days).fill(0);
  const stored: Supply['stored'] = [];
  for (const lot of lots) {
    if (lot.left <= 0) continue;
    if (lot.laid >= 0) supply[lot.laid]! += lot.left;
    else stored.push({ age: -lot.laid, eggs: lot.left });
  }
  return { supply, stored, missing, drawn };
}

/** Eggs that can be counted on alike: `sure` is the share of them that will be there if planned for. */
export interface Layer extends Pick<Supply, 'supply' | 'stored'> {
  /** Empty where it is all there is. */
  name: '' | 'sure' | 'hoped for';
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
export function layersOf(
  { supply, stored }: Pick<Supply, 'supply' | 'stored'>,
  scatter: number,
): Layer[] {
  const below = (part: number) => {
    const z = (part - 1) / scatter;
    const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
    return part - scatter * (density + z * (1 - normalUpper(z)));
  };
  // Hens never lay less than nothing.
  const coming = (part: number) => below(part) - below(0);
  if (scatter < WELL_KNOWN)
    return [{ name: '', supply, stored, sure: scatter > 0 ? coming(1) : 1 }];
  const inner = Math.max(0.25, 1 - scatter);
  let sum = 0;
  let given = 0;
  const first = supply.map((eggs) => {
    sum += eggs * inner;
    const whole = Math.min(eggs, Math.round(sum) - given);
    given += whole;
    return whole;
  });
  return [
    { name: 'sure', supply: first, stored, sure: coming(inner) / inner },
    {
      name: 'hoped for',
      supply: supply.map((eggs, day) => eggs - first[day]!),
      stored: [],
      sure: (coming(1) - coming(inner)) / (1 - inner),
    },
  ];
}
