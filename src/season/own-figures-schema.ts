/** What a line and a kind of the keeper's own may say of the figures of the reference tables. */
import * as z from 'zod/mini';
import { broodingValues, dayOfIncubation, figureValues, growthValues } from './figure-values.ts';

/** Any figure of the reference tables by its key, value only: a line's own. */
export const override = () =>
  z.partial(
    z.strictObject(
      { ...figureValues(), ...broodingValues(), ...growthValues() },
      { error: 'a mapping (key: value lines)' },
    ),
  );

const ends = { error: 'two days of incubation such as [34, 38], the earlier first' };
const nameWords = { error: 'a text of 1 to 200 characters' };

/** A kind of the keeper's own under `kinds:`: another kind with changes, or one with its own figures. */
export const kindFigures = () => {
  const { shape } = override();
  return z.strictObject(
    {
      ...shape,
      /** The kind whose figures stand where this one gives none. */
      like: z.optional(z.string({ error: 'a kind, such as goose' })),
      group: z.optional(
        z.enum(['fowl', 'waterfowl', 'turkey', 'game'], {
          error: 'one of fowl, waterfowl, turkey, game',
        }),
      ),
      name: z.optional(
        z.string(nameWords).check(z.minLength(1, nameWords), z.maxLength(200, nameWords)),
      ),
      hatch_window: z.optional(
        z
          .tuple([dayOfIncubation, dayOfIncubation], ends)
          .check(z.refine(([first, last]) => first <= last, ends)),
      ),
    },
    { error: 'a mapping (key: value lines)' },
  );
};
