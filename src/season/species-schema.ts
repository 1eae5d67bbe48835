/**
 * The shape of `seeds/species.yaml`, for tests and types: the program never validates its own seeds.
 */
import * as z from 'zod/mini';
import { figure, figures } from './figure-schema.ts';
import { figureValues, hensPerMale } from './figure-values.ts';

const species = z.strictObject({
  name: z.string().check(z.minLength(3)),
  group: z.enum(['fowl', 'waterfowl', 'turkey', 'game']),
  ...figures(figureValues()),
  hens_per_male: z.extend(figure(hensPerMale), {
    classes: z.optional(
      z.partialRecord(z.enum(['light', 'dual-purpose', 'heavy']), figure(hensPerMale)),
    ),
  }),
});

/** The whole of `seeds/species.yaml`. */
export const speciesFile = z.strictObject({ species: z.record(z.string(), species) });

/** A line's `override:` map: any figure by its key, value only. */
export const speciesOverride = z.partial(z.strictObject(figureValues()));
