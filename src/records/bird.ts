import { dayOrNone, name, nameOrNone, oneOfOrNone, text } from './column.ts';
import { record } from './record.ts';

/** How a toe punch stands in the column of bands: `punch 5`. */
export const punchText = (mark: string): string => `punch ${mark}`;

/** True for a toe punch, which birds of several hatches may wear. */
export const isPunch = (band: string): boolean => /^punch /i.test(band);

export const bird = record({
  name: 'bird',
  file: 'birds.csv',
  summary: 'a bird kept for breeding: band, parents, day of hatch',
  naming: 'bird',
  columns: {
    bird: name('name or number of the bird'),
    band: text('leg or wing band, or toe punch'),
    line: name('line', 'line'),
    sex: oneOfOrNone('sex; left out until it is known', ['female', 'male'] as const),
    set: nameOrNone('set it hatched from; may be of an earlier season'),
    pen: nameOrNone('pen it was bred in'),
    dam: nameOrNone('mother'),
    sire: nameOrNone('father'),
    born: dayOrNone('day of hatch'),
  },
  example: 'bird N14 --line dorking --sex female --set D1 --born 2027-03-27',
});
