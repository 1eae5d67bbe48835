import { type BirdKind, broodingOf, heatSources, stepAt } from '../season/brooding.ts';
import { addDays, type Day, daysBetween, daysIn } from '../text/day.ts';
import type { BrooderRoom } from './birds/room.ts';

/** A step of the heat: from a day of age, °C at the edge of the heat at chick height. */
export type HeatStep = {
  readonly index: number;
  readonly day: Day;
  readonly ageDays: number;
  /** Null at the end of heat. */
  readonly low: number | null;
  readonly high: number | null;
};

/** The steps of a kind hatched on a day, the last being the end of heat. */
export function heatSteps(kind: BirdKind, hatched: Day): HeatStep[] {
  const brooding = broodingOf(kind);
  const until = brooding.heat_until_day.value;
  const steps = brooding.heat_c.value
    .filter((step) => step.from_day < until)
    .map((step, index) => ({
      index,
      day: addDays(hatched, step.from_day),
      ageDays: step.from_day,
      low: step.low,
      high: step.high,
    }));
  return [
    ...steps,
    { index: steps.length, day: addDays(hatched, until), ageDays: until, low: null, high: null },
  ];
}

/** °C the birds need at the edge of the heat at an age, or null once off heat. */
export function heatNeed(kind: BirdKind, ageDays: number): { low: number; high: number } | null {
  const brooding = broodingOf(kind);
  if (ageDays >= brooding.heat_until_day.value) return null;
  const step = stepAt(brooding.heat_c.value, Math.max(0, ageDays))!;
  return { low: step.low, high: step.high };
}

/**
 * Hours of a day on which air that swings as a sine between its low and high stays below a
 * temperature, 0 to 24. A day without a high counts whole if its low is below.
 */
export function hoursBelow(need: number, low: number, high: number | null): number {
  if (low >= need) return 0;
  if (high === null || high <= need) return 24;
  const mean = (low + high) / 2;
  const swing = (high - low) / 2;
  return (24 * Math.acos((mean - need) / swing)) / Math.PI;
}

/** What heating from one day to another uses. */
export type HeatUse = {
  /** Hours the heat is on. */
  readonly hours: number;
  readonly kwh: number;
  /** Days reckoned without a temperature, by the published duty. */
  readonly daysUnknown: number;
  readonly watts: number;
};

/** The lowest and highest outdoor temperature expected on a day, °C. */
export type DayAir = { readonly low: number; readonly high: number | null };

/**
 * Energy of a brooder's heat over the half-open days [from, to). Lamps and plates burn all day
 * while the night is below the need; a hover with a thermostat only in the hours below it. `needOn`
 * is the warmest need of the birds in it, null on days without birds under heat.
 */
export function heatUse(
  heat: NonNullable<BrooderRoom['heat']>,
  from: Day,
  to: Day,
  needOn: (day: Day) => number | null,
  airOn: (day: Day) => DayAir | null,
): HeatUse {
  if (heat.kind === 'none') return { hours: 0, kwh: 0, daysUnknown: 0, watts: 0 };
  const source = heatSources[heat.kind];
  const watts = (heat.watts ?? source.watts.value) * heat.count;
  let hours = 0;
  let daysUnknown = 0;
  for (const day of daysIn(from, to)) {
    const need = needOn(day);
    if (need === null) continue;
    const air = airOn(day);
    if (air === null) {
      daysUnknown += 1;
      hours += 24 * source.duty.value;
    } else if (heat.kind === 'hover') hours += hoursBelow(need, air.low, air.high);
    else if (air.low < need) hours += 24 * source.duty.value;
  }
  return { hours, kwh: (watts / 1000) * hours, daysUnknown, watts };
}

/** Age in days on a day of a bird hatched on another. */
export function ageOn(hatched: Day, day: Day): number {
  return daysBetween(hatched, day);
}
