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

/** The whole of `season.yaml`. */
export const seasonSchema = seasonSchemaIn(z, { override, rates: rateOverrides });
