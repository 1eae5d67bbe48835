import * as z from 'zod/mini';
import { readPlainYaml } from '../text/plain-yaml.ts';
import { headOf, type Source } from '../text/source.ts';
import type { SeasonFile } from './read-file.ts';
import { references } from './references.ts';
import { type SeasonValues, seasonSchema } from './schema.ts';
import { farDays } from './years.ts';

/**
 * Reads a season file that is plainly written and without fault, as nearly all are; null for any
 * other, which `readSeasonFile` is for. To load YAML's own reader and to read with it would take
 * three quarters of Node's start.
 */
export function readPlainSeasonFile(source: Source): SeasonFile | null {
  const yaml = readPlainYaml(source);
  if (yaml === null) return null;
  const { data: values } = z.safeParse(seasonSchema, yaml.value);
  if (values === undefined) return null;
  const place = headOf(source.path);
  const isSound =
    references(values, { placeOf: () => place, placeOfKey: () => place }).next().done === true &&
    farDays(values, () => place).length === 0;
  return isSound ? { values, placeOf: yaml.placeOf } : null;
}

/** The units of a plainly written season file, whatever else stands in it; null of any other. */
export function readPlainUnits(source: Source): SeasonValues['units'] | null {
  const yaml = readPlainYaml(source);
  const { units } = (yaml?.value ?? {}) as { units?: unknown };
  return yaml === null ? null : (z.safeParse(seasonSchema.shape.units, units).data ?? null);
}
