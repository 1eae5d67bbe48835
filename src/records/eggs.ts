import { count, name, whole, wholeOrUnknown } from './column.ts';
import { record } from './record.ts';

export const eggs = record({
  name: 'eggs',
  file: 'eggs.csv',
  summary: 'eggs gathered from a pen on a day, and why some were not kept',
  naming: 'pen',
  columns: {
    pen: name('pen the eggs come from', 'pen'),
    laid: wholeOrUnknown('eggs laid', 0, { unit: 'eggs' }),
    kept: whole('eggs kept for hatching', 0, { unit: 'eggs' }),
    small: count('too small'),
    large: count('too large'),
    misshapen: count('misshapen'),
    thin: count('thin or rough shell'),
    cracked: count('cracked'),
    dirty: count('dirty'),
    other: count('left out for another reason'),
    hens: wholeOrUnknown('hens in the pen that day', 1, { unit: 'hens' }),
  },
  example: 'eggs north --laid 9 --kept 8 --cracked 1',
  together: (v) => {
    const left = v.small + v.large + v.misshapen + v.thin + v.cracked + v.dirty + v.other;
    return v.laid !== null && v.kept + left > v.laid
      ? [
          {
            column: 'laid',
            message: `${v.kept} kept and ${left} left out are more than ${v.laid} laid`,
            hint: 'kept plus the reasons may not be more than laid',
          },
        ]
      : [];
  },
});
