import { readPlainYaml } from '../text/plain-yaml.ts';
import { headOf, type Source } from '../text/source.ts';
import { plainSeasonValues } from './plain-schema.ts';
import type { SeasonFile } from './read-file.ts';
import { references } from './references.ts';

/**
 * Reads a season file that is plainly written and without fault, as nearly all are; null for any
 * other, which `readSeasonFile` is for: it gives the same of a plain file, and takes far longer to
 * be loaded.
 */
export function readPlainSeasonFile(source: Source): SeasonFile | null {
  const yaml = readPlainYaml(source);
  if (yaml === null) return null;
  const values = plainSeasonValues(yaml.value);
  if (values === null) return null;
  const place = headOf(source.path);
  const isSound =
    references(values, { placeOf: () => place, placeOfKey: () => place }).length === 0;
  return isSound ? { values, placeOf: yaml.placeOf } : null;
}
