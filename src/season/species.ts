/**
 * The species table of `seeds/species.yaml`, typed, without a validator at run time: a test
 * holds the file against `species-schema.ts`.
 */
import type * as z from 'zod';
import file from '../../seeds/species.yaml';
import type { Figure } from './figure.ts';
import type { speciesFile, speciesOverride } from './species-schema.ts';

export type { Figure } from './figure.ts';

/** Figures by key as season.yaml's `override:` gives them: plain values. */
export type SpeciesOverride = z.infer<typeof speciesOverride>;
type SpeciesValues = { [K in keyof SpeciesOverride]-?: Exclude<SpeciesOverride[K], undefined> };
type LineClass = 'light' | 'dual-purpose' | 'heavy';

/** One kind of bird: its figures for incubation, storage and mating. */
export type Species = {
  name: string;
  group: 'fowl' | 'waterfowl' | 'turkey' | 'game';
} & { [K in Exclude<keyof SpeciesValues, 'hens_per_male'>]: Figure<SpeciesValues[K]> } & {
  hens_per_male: Figure<SpeciesValues['hens_per_male']> & {
    classes?: Partial<Record<LineClass, Figure<SpeciesValues['hens_per_male']>>> | undefined;
  };
};

const table = (file as z.infer<typeof speciesFile>).species as Record<string, Species>;

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
  const shipped = Object.hasOwn(table, name) ? table[name] : undefined;
  if (shipped === undefined) throw new RangeError(`no species "${name}" in the table`);
  // A line's map may also hold figures of brooding and growth: those are not ours.
  const given = Object.entries(overrides ?? {}).filter(
    ([key, value]) => value !== undefined && Object.hasOwn(shipped, key),
  );
  if (given.length === 0) return shipped;
  const own = given.map(([key, value]) => [key, { value, source: 'season.yaml', seen: 'keeper' }]);
  return { ...shipped, ...Object.fromEntries(own) };
}

/** Hens that one male serves, for a class of line where the species has figures by class. */
export function hensPerMale(
  species: Species,
  lineClass?: string,
): Figure<SpeciesValues['hens_per_male']> {
  const classes = species.hens_per_male.classes;
  // A class is any text: `constructor` is none that the table knows.
  const isKnown = classes !== undefined && Object.hasOwn(classes, lineClass ?? '');
  return (isKnown ? classes[lineClass as LineClass] : undefined) ?? species.hens_per_male;
}
