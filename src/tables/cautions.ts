import { type CautionKey, cautionLines } from '../season/cautions.ts';
import { hanging } from './wrap.ts';

/** Each caution once, in its short form; `guide cautions` has them whole. Empty if there are none. */
export function cautionText(keys: Iterable<CautionKey>, width: number): string {
  return cautionLines(keys)
    .map((line) => hanging('Caution: ', line, width))
    .join('\n');
}
