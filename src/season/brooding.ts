/**
 * What a bird needs from the hatch on, by kind: the tables of `seeds/brooding.yaml` and
 * `seeds/growth.yaml`, typed, with a line's own figures laid over them. Tests hold the files
 * against `brooding-schema.ts`.
 */
import type * as z from 'zod';
import broodingTable from '../../seeds/brooding.yaml';
import growthTable from '../../seeds/growth.yaml';
import type { broodingFile, growthFile } from './brooding-schema.ts';
import { type Figure, figureOf, laidOver } from './figure.ts';

const brooding = broodingTable as z.infer<typeof broodingFile>;
const growth = growthTable as z.infer<typeof growthFile>;

/** Brooding figures of one kind of bird. Ages in days from the hatch, °C, m² and cm a bird. */
export type Brooding = (typeof brooding)['birds'][string];

/** Growth figures of one type of bird. Ages in days, feed by reference to a cumulative table. */
export type Growth = (typeof growth)['types'][string];

/** The kind of bird a line holds, as brooding and growing tell kinds apart. */
export type BirdKind = {
  readonly species: string;
  /** What the keeper calls it, where it is a kind of the season's own. */
  readonly name?: string | undefined;
  /** `light`, `dual-purpose`, `heavy`, `meat`, or any text of the keeper's own. */
  readonly class?: string | undefined;
  readonly override?: Readonly<Record<string, unknown>> | undefined;
  /** Days of age at point of lay, where the keeper says so of the line. */
  readonly point_of_lay_days?: number | undefined;
};

/**
 * Brooding figures of a kind of bird.
 *
 * @throws RangeError if the table has no such species (season.yaml is validated before).
 */
export function broodingOf(kind: BirdKind): Brooding {
  const shipped = figureOf(brooding.birds, kind.species);
  if (shipped === null) throw new RangeError(`no brooding figures for "${kind.species}"`);
  return laidOver(shipped, kind.override);
}

/** The key of `growth.yaml` for a kind: its class where the table knows it, chickens dual-purpose if unsaid. */
export function growthTypeOf(kind: BirdKind): string {
  const byClass = `${kind.species}-${kind.class ?? ''}`;
  if (Object.hasOwn(growth.types, byClass)) return byClass;
  return kind.species === 'chicken' ? 'chicken-dual-purpose' : kind.species;
}

/**
 * Growth figures of a kind of bird.
 *
 * @throws RangeError if the table has no such species.
 */
export function growthOf(kind: BirdKind): Growth {
  const shipped = figureOf(growth.types, growthTypeOf(kind));
  if (shipped === null) throw new RangeError(`no growth figures for "${kind.species}"`);
  return laidOver(shipped, kind.override);
}

/** Days of age from which hens of a kind are taken to lay: the keeper's own, else the earliest usual. */
export function pointOfLayOf(kind: BirdKind): number {
  return kind.point_of_lay_days ?? growthOf(kind).first_egg_days.value.low;
}

/** Hours a hatched chick may wait, with their sources. */
export const holdingFigures = brooding.holding;
/** What lamps, hovers and plates carry and use. */
export const heatSources = brooding.heat_sources;
export const shadeFigures = brooding.shade;
export const hardening = brooding.hardening;
/** Cumulative feed in kg a bird, by table name. */
export const feedTables: Readonly<Record<string, Figure<{ day: number; kg: number }[]>>> =
  growth.feed_tables;
/** Figures of growing that do not depend on the kind. */
export const growing = {
  sexRatioFemale: growth.sex_ratio_female,
  feedWaste: growth.feed_waste,
  bagKg: growth.bag_kg,
  waterPerFeed: growth.water_per_feed,
  waterPerFeedHot: growth.water_per_feed_hot,
  waterPer100: growth.water_l_per_100,
  chicksPerPullet: growth.chicks_per_pullet,
  alarm: growth.alarm,
} as const;

/** The last step that has begun at an age, or null before the first. */
export function stepAt<S extends { readonly from_day: number }>(
  steps: readonly S[],
  ageDays: number,
): S | null {
  let found: S | null = null;
  for (const step of steps) if (step.from_day <= ageDays) found = step;
  return found;
}
