import { name, nameOrNone, oneOf, oneOfOrNone, text, wholeOrUnknown } from './column.ts';
import { record, type Slip } from './record.ts';

/** Hens that stop laying for a while, and that lay again. */
export const restChanges = ['broody', 'moulting', 'laying'] as const;
const penChanges = ['died', 'removed', 'added', 'replaced', 'parted', ...restChanges] as const;

export const penChange = record({
  name: 'pen-change',
  file: 'pen_changes.csv',
  summary:
    'hens or males that died, left, came or were replaced, hens that sit, moult or lay again, or the pen parted',
  naming: 'pen',
  columns: {
    pen: name('pen that changed', 'pen'),
    change: oneOf('what changed', penChanges),
    birds: wholeOrUnknown('birds; one when left out', 1, { unit: 'birds' }),
    sex: oneOfOrNone('sex of these birds', ['female', 'male'] as const),
    bird: nameOrNone('name of the bird: the one that left, else the one that came'),
    cause: text('why'),
  },
  example: 'pen-change north --change died --sex male --cause fox',
  together: (v) => {
    const slips: Slip[] = [];
    if (v.change === 'parted') {
      if (v.birds !== null)
        slips.push({ column: 'birds', message: 'a parted pen says no number: all its birds go' });
      return slips;
    }
    if (v.sex === null)
      slips.push({
        column: 'sex',
        message: 'expected female or male, found nothing',
        hint: 'say which: --sex male',
      });
    if (v.sex === 'male' && isRest(v.change))
      slips.push({ column: 'sex', message: `expected female with ${v.change}, found male` });
    if (v.bird !== null && (v.birds ?? 1) !== 1)
      slips.push({
        column: 'birds',
        message: `expected 1, as a bird is named, found ${v.birds}`,
        hint: 'one row for each bird that is named',
      });
    return slips;
  },
});

/** True of a change that takes hens out of lay or back into it, and nobody out of the pen. */
export function isRest(change: string): change is (typeof restChanges)[number] {
  return (restChanges as readonly string[]).includes(change);
}
