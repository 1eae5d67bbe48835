import {
  type BirdKind,
  type Brooding,
  broodingOf,
  heatSources,
  stepAt,
} from '../../season/brooding.ts';
import { fixed, inUnit, type Measure, type Units, unitOf } from '../../tables/numbers.ts';

/** Birds of one kind and age under one roof. */
export type Occupant = {
  readonly kind: BirdKind;
  readonly ageDays: number;
  readonly birds: number;
};

/** What a brooder offers; null where season.yaml does not say. */
export type BrooderRoom = {
  readonly area_m2: number;
  readonly heat: {
    readonly kind: 'lamp' | 'hover' | 'plate' | 'none';
    readonly count: number;
    readonly watts: number | null;
    /** Warmed floor of one hover. */
    readonly area_m2: number | null;
    /** The maker's rating of one unit, in chicks. */
    readonly places: number | null;
  } | null;
  readonly feeder_cm: number | null;
  readonly drinker_cm: number | null;
  /** The night temperature of the house round the brooder, °C. */
  readonly house_c: number | null;
};

/** Chicks whose heat is not known are rated as under lamps, which take the most of them. */
export const underLamps: BrooderRoom = {
  area_m2: 0,
  heat: { kind: 'lamp', count: 1, watts: null, area_m2: null, places: null },
  feeder_cm: null,
  drinker_cm: null,
  house_c: null,
};

/** One limit of a brooder on one day: what the birds need, the least that texts allow, what is there. */
export type RoomLimit = {
  readonly what: 'floor' | 'heat' | 'feeder' | 'drinker';
  readonly unit: 'm2' | 'chick places' | 'cm';
  readonly need: number;
  readonly least: number;
  /** Null if season.yaml does not say. */
  readonly have: number | null;
};

/** What a brooder may be short of, and how it is measured; `by` stands after the amount. */
export const roomLimits = {
  floor: { name: 'floor', by: ' of floor', measure: 'area' },
  heat: { name: 'places under the heat', by: ' places under the heat', measure: null },
  feeder: { name: 'feeder edge', by: ' of feeder edge', measure: 'length' },
  drinker: { name: 'drinker edge', by: ' of drinker edge', measure: 'length' },
} as const satisfies Record<
  RoomLimit['what'],
  { name: string; by: string; measure: Measure | null }
>;

/** What is needed and what there is, told apart by as many decimals as it takes, two at most. */
export function roomWords(
  what: RoomLimit['what'],
  need: number,
  have: number,
  units: Units,
): { need: string; have: string } {
  const { by, measure } = roomLimits[what];
  const of = (value: number) => (measure === null ? value : inUnit(value, measure, units));
  const unit = measure === null ? '' : ` ${unitOf(measure, units)}`;
  const digits =
    [of(need) < 100 ? 1 : 0, 1].find((one) => fixed(of(need), one) !== fixed(of(have), one)) ?? 2;
  return {
    need: `${fixed(of(need), digits)}${unit}${by}`,
    have: `${fixed(of(have), digits)}${unit}`,
  };
}

/** True if a lamp or hover would still be on over these birds. */
export function underHeat(brooding: Brooding, ageDays: number): boolean {
  return ageDays < brooding.heat_until_day.value;
}

/** Floor one bird needs at an age, m²: as advised, and the least that texts allow. */
export function floorOf(kind: BirdKind, ageDays: number): { need: number; least: number } {
  const brooding = broodingOf(kind);
  const need = stepAt(brooding.floor_m2.value, ageDays)!.m2;
  const least = stepAt(brooding.floor_least_m2.value, ageDays)!.m2;
  return { need: Math.max(need, least), least };
}

/**
 * Chick places that the heat of a brooder offers, or null if season.yaml does not say enough.
 * Lamps by the published number for one 250 W lamp in a cold or a warm house, in proportion to the
 * watts; hovers by their warmed area; plates by the maker's rating, else the published one.
 * `most` is the highest rating published, where one is.
 */
export function heatPlaces(room: BrooderRoom): { places: number; most: number } | null {
  const { heat } = room;
  if (heat === null) return null;
  if (heat.kind === 'none') return { places: 0, most: 0 };
  if (heat.places !== null)
    return { places: heat.places * heat.count, most: heat.places * heat.count };
  switch (heat.kind) {
    case 'lamp': {
      const { watts, places_cold, places_warm, cold_below_c } = heatSources.lamp;
      const isWarm = room.house_c !== null && room.house_c >= cold_below_c.value;
      const share = ((heat.watts ?? watts.value) / watts.value) * heat.count;
      return {
        places: (isWarm ? places_warm : places_cold).value * share,
        most: (places_warm.range?.high ?? places_warm.value) * share,
      };
    }
    case 'hover': {
      if (heat.area_m2 === null) return null;
      const { value, range } = heatSources.hover.chicks_m2;
      const area = heat.area_m2 * heat.count;
      return { places: value * area, most: (range?.high ?? value) * area };
    }
    case 'plate': {
      const places = heatSources.plate.places.value * heat.count;
      return { places, most: places };
    }
  }
}

/** Chick places that one bird takes under the heat: none once its kind is off heat. */
function placesOf(occupant: Occupant, heat: BrooderRoom['heat']): number {
  const brooding = broodingOf(occupant.kind);
  if (!underHeat(brooding, occupant.ageDays)) return 0;
  const rating =
    heat?.kind === 'lamp' && brooding.heat_places_lamp !== undefined
      ? brooding.heat_places_lamp.value
      : brooding.heat_places.value;
  const grown =
    heat?.kind === 'hover' && occupant.ageDays >= heatSources.hover.full_until_day.value ? 2 : 1;
  return rating * grown * occupant.birds;
}

/**
 * Every limit of a brooder for the birds in it on one day, each on its own: floor, heated places,
 * feeder and drinker edge. Sums over ages and kinds.
 */
export function limitsOf(room: BrooderRoom, occupants: readonly Occupant[]): RoomLimit[] {
  let floor = 0;
  let leastFloor = 0;
  let heat = 0;
  let feeder = 0;
  let drinker = 0;
  for (const one of occupants) {
    const brooding = broodingOf(one.kind);
    const each = floorOf(one.kind, one.ageDays);
    floor += each.need * one.birds;
    leastFloor += each.least * one.birds;
    heat += placesOf(one, room.heat);
    feeder += stepAt(brooding.feeder_cm.value, one.ageDays)!.cm * one.birds;
    drinker += stepAt(brooding.drinker_cm.value, one.ageDays)!.cm * one.birds;
  }
  const offered = heatPlaces(room);
  const leastHeat = offered && offered.most > 0 ? heat * (offered.places / offered.most) : heat;
  return [
    { what: 'floor', unit: 'm2', need: floor, least: leastFloor, have: room.area_m2 },
    {
      what: 'heat',
      unit: 'chick places',
      need: heat,
      least: leastHeat,
      have: offered?.places ?? null,
    },
    { what: 'feeder', unit: 'cm', need: feeder, least: feeder, have: room.feeder_cm },
    { what: 'drinker', unit: 'cm', need: drinker, least: drinker, have: room.drinker_cm },
  ];
}
