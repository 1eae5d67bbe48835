import { type BirdKind, broodingOf, heatSources, stepAt } from '../season/brooding.ts';
import { type Day, daysBetween, daysIn } from '../text/day.ts';
import { smallest } from '../text/lists.ts';
import type { BrooderRoom, Occupant } from './birds/room.ts';

/** °C at the edge of the heat, at the height of the chicks. */
export type HeatRange = { readonly low: number; readonly high: number };

/** How warm it must be under one roof on a day. */
export type RoofHeat = HeatRange & {
  /** The kind and age, in days, of the birds it follows. */
  readonly species: string;
  readonly ageDays: number;
  /** Kinds under the same roof that this heat does not suit, with what each needs. */
  readonly unsuited: readonly (HeatRange & {
    readonly species: string;
    readonly ageDays: number;
  })[];
};

/** °C the birds need at the edge of the heat at an age, or null once off heat. */
export function heatNeed(kind: BirdKind, ageDays: number): HeatRange | null {
  const brooding = broodingOf(kind);
  if (ageDays >= brooding.heat_until_day.value) return null;
  const step = stepAt(brooding.heat_c.value, Math.max(0, ageDays))!;
  return { low: step.low, high: step.high };
}

/**
 * The one heat of a roof. Of each kind the youngest birds decide, for older ones can move away from
 * the heat. Where several kinds are under it, it is what suits all of them; where nothing does, it is
 * what the kind in need of most heat needs, and `unsuited` names the others. Null once every kind is
 * off heat, or nobody is there. Figures: `seeds/brooding.yaml`.
 */
export function heatUnder(birds: readonly Occupant[]): RoofHeat | null {
  const kinds = new Map<unknown, Occupant>();
  for (const one of birds) {
    // One table of heat is one kind: lines with figures of their own count as kinds of their own.
    const table = broodingOf(one.kind).heat_c.value;
    const same = kinds.get(table);
    if (same === undefined || one.ageDays < same.ageDays) kinds.set(table, one);
  }
  const needs = [...kinds.values()].flatMap(({ kind, ageDays }) => {
    const need = heatNeed(kind, ageDays);
    return need === null ? [] : [{ species: kind.name ?? kind.species, ageDays, ...need }];
  });
  if (needs.length === 0) return null;
  const warmest = needs.reduce((most, one) => (one.low > most.low ? one : most));
  const high = smallest(needs.map((one) => one.high));
  if (warmest.low <= high) return { ...warmest, high, unsuited: [] };
  return { ...warmest, unsuited: needs.filter((one) => one.high < warmest.low) };
}

/** A heat in words, whole degrees of the season's unit: `34–35 °C`. */
export function heatText({ low, high }: HeatRange, unit: 'C' | 'F'): string {
  const from = wholeDegrees(low, unit);
  const to = wholeDegrees(high, unit);
  return `${from === to ? from : `${from}–${to}`} °${unit}`;
}

/** °C as whole degrees of the season's unit. */
export function wholeDegrees(celsius: number, unit: 'C' | 'F'): number {
  return Math.round(unit === 'F' ? (celsius * 9) / 5 + 32 : celsius);
}

/** What is said where one heat cannot suit all: `ducks at 12 days need 29–32 °C: part them`. */
export function unsuitedText(heat: RoofHeat, unit: 'C' | 'F'): string | null {
  if (heat.unsuited.length === 0) return null;
  const others = heat.unsuited.map(
    (one) => `${one.species} at ${one.ageDays} days ${heatText(one, unit)}`,
  );
  return `no one heat suits all: ${heat.species} at ${heat.ageDays} days ${heatText(heat, unit)}, ${others.join(', ')}; part them`;
}

/**
 * What is to be done where the birds under a roof need another heat than it was set for: `part` where
 * the heat is right as it is and from now on suits not all of them. Null where there is nothing to do.
 */
export function heatStep(
  set: RoofHeat | null,
  needed: RoofHeat | null,
): 'raise' | 'lower' | 'off' | 'part' | null {
  if (needed === null) return set === null ? null : 'off';
  if (set === null || needed.low > set.low) return 'raise';
  if (needed.low < set.low || needed.high < set.high) return 'lower';
  return needed.unsuited.length > 0 && set.unsuited.length === 0 ? 'part' : null;
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
