/**
 * The species table of `seeds/species.yaml`, typed, without a validator at run time: a test
 * holds the file against `species-schema.ts`.
 */
import type * as z from 'zod';
import file from '../../seeds/species.yaml';
import { figureOf, laidOver } from './figure.ts';
import type { speciesFile, speciesOverride } from './species-schema.ts';

export type { Figure } from './figure.ts';

/** Figures by key as season.yaml's `override:` gives them: plain values. */
export type SpeciesOverride = z.infer<typeof speciesOverride>;
const { species: table } = file as z.infer<typeof speciesFile>;

/** One kind of bird: its figures for incubation, storage and mating. */
export type Species = (typeof table)[string];

/** The keys of every species in the table. */
export function speciesNames(): string[] {
  return Object.keys(table);
}

/** Every species by its key (`chicken`, `duck`, …). Shared: do not change it. */
export function speciesTable(): Readonly<Record<string, Species>> {
  return table;
}

/**
 * One species with a line's own figures laid over it. A plain value replaces `.value`; its
 * source becomes `season.yaml` and its mark `keeper`.
 *
 * @throws RangeError if the table has no such species (season.yaml is validated before).
 */
export function speciesOf(name: string, overrides?: SpeciesOverride): Species {
  const shipped = figureOf(table, name);
  if (shipped === null) throw new RangeError(`no species "${name}" in the table`);
  return laidOver(shipped, overrides);
}

/** Hens that one male serves, for a class of line where the species has figures by class. */
export function hensPerMale(
  { hens_per_male }: Species,
  lineClass = '',
): Pick<Species['hens_per_male'], 'value' | 'source'> {
  // A class is any text: `constructor` is none that the table knows.
  return figureOf(hens_per_male.classes ?? {}, lineClass) ?? hens_per_male;
}
