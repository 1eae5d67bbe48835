import type * as z from 'zod';
import table from '../../seeds/cautions.yaml';
import type { cautionsFile } from './brooding-schema.ts';

const cautions = table as z.infer<typeof cautionsFile>;

export type CautionKey =
  | 'holding'
  | 'heat-lamp'
  | 'power-cut'
  | 'watch-the-birds'
  | 'waterfowl-feed'
  | 'medicated-feed'
  | 'layer-feed'
  | 'blackhead'
  | 'withdrawal'
  | 'slaughter'
  | 'sale'
  | 'disease'
  | 'hygiene';

/** The short text of each caution asked for, each once, in the order first asked. */
export function cautionLines(keys: Iterable<CautionKey>): string[] {
  return [...new Set(keys)].map((key) => cautions[key]!.short);
}
