/** Hatching eggs of a pen, day by day: what lies in store, and what is expected to be laid. */
import type { Now, Pen, Season } from '../../season/model.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { carriesOf } from '../checks/pens.ts';
import { openPlan } from '../schedule/milestones.ts';
import { layIsGood } from './laying.ts';
import type { FarmRates } from './rates.ts';

/** Expected hatching eggs a day from a pen, by what is known of its lay and what is kept. */
export function eggsADay(rates: FarmRates, pen: Pen): number {
  return pen.hens * rates.rate('lay', pen).mean * rates.rate('kept', pen).mean;
}

/** True while a male no longer there may still be the father. */
export function inCarry(pen: Pen, day: Day): boolean {
  return carriesOf(pen).some((carry) => carry.changed <= day && day < carry.pureFrom);
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
 * lines take: they draw as the records do, the oldest that are young enough first.
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
  const lots: { day: number; eggs: number }[] = season.lots
    .filter(
      (lot) =>
        lot.pen === pen.name && lot.left > 0 && lot.laid <= now.day && layIsGood(pen, lot.laid),
    )
    .map((lot) => ({ day: daysBetween(first, lot.laid), eggs: lot.left }))
    .filter((lot) => -lot.day <= maxAge);
  // What today brings counts once it is written down.
  let sum = 0;
  let given = 0;
  for (let d = 0; d < days; d++) {
    const day = addDays(first, d);
    if (day <= now.day || !layIsGood(pen, day)) continue;
    sum += rate;
    const whole = Math.floor(sum + 1e-9) - given;
    given += whole;
    if (whole > 0) lots.push({ day: d, eggs: whole });
  }
  lots.sort((a, b) => a.day - b.day);
  const missing: Supply['missing'] = [];
  const drawn: Supply['drawn'] = new Map();
  for (const line of openPlan(season)) {
    const share = line.shares.find((s) => s.pen.name === pen.name);
    if (!share || line.on < now.day) continue;
    const on = daysBetween(first, line.on);
    let wanted = share.eggs;
    for (const lot of lots) {
      if (lot.day > on || on - lot.day > maxAge) continue;
      const taken = Math.min(wanted, lot.eggs);
      if (taken > 0) drawn.set(line.name, [...(drawn.get(line.name) ?? []), on - lot.day]);
      lot.eggs -= taken;
      wanted -= taken;
    }
    if (wanted > 0) missing.push({ set: line.name, eggs: wanted });
  }
  const supply = new Array<number>(days).fill(0);
  const stored: Supply['stored'] = [];
  for (const lot of lots) {
    if (lot.eggs <= 0) continue;
    if (lot.day >= 0) supply[lot.day]! += lot.eggs;
    else stored.push({ age: -lot.day, eggs: lot.eggs });
  }
  return { supply, stored, missing, drawn };
}
