/** The schema of `season.yaml` in zod itself, which tells every fault. */
import * as z from 'zod';
import { broodingValues, growthValues } from './brooding-schema.ts';
import { rateOverrides } from './rates-schema.ts';
import { seasonSchemaIn } from './schema.ts';
import { figureValues } from './species-schema.ts';

/** Any figure of the reference tables by its key, value only: a line's own. */
export const override = z
  .strictObject(
    { ...figureValues, ...broodingValues, ...growthValues },
    { error: 'a mapping (key: value lines)' },
  )
  .partial();

const group = z.enum(['fowl', 'waterfowl', 'turkey', 'game'], {
  error: 'one of fowl, waterfowl, turkey, game',
});
const ends = { error: 'two days of incubation such as [34, 38], the earlier first' };

/** A kind of the keeper's own under `kinds:`: another kind with changes, or one with its own figures. */
export const kindFigures = z.strictObject(
  {
    ...override.shape,
    /** The kind whose figures stand where this one gives none. */
    like: z.string({ error: 'a kind, such as goose' }).optional(),
    group: group.optional(),
    name: z.string({ error: 'a text' }).min(1, { error: 'a text' }).max(200).optional(),
    hatch_window: z
      .tuple([figureValues.transfer_day, figureValues.transfer_day], ends)
      .refine(([first, last]) => first <= last, ends)
      .optional(),
  },
  { error: 'a mapping (key: value lines)' },
);

/** The whole of `season.yaml`. */
export const seasonSchema = seasonSchemaIn(z, {
  override,
  kind: kindFigures,
  rates: rateOverrides,
});
