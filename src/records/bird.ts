import { dayOrNone, name, nameOrNone, oneOf, text } from './column.ts';
import { record } from './record.ts';

export const bird = record({
  name: 'bird',
  file: 'birds.csv',
  summary: 'a bird kept for breeding: band, parents, day of hatch',
  naming: 'bird',
  columns: {
    bird: name('name or number of the bird'),
    band: text('leg or wing band'),
    line: name('line', 'line'),
    sex: oneOf('sex', ['female', 'male'] as const),
    set: nameOrNone('set it hatched from; may be of an earlier season'),
    pen: nameOrNone('pen it was bred in'),
    dam: nameOrNone('mother'),
    sire: nameOrNone('father'),
    born: dayOrNone('day of hatch'),
  },
  example: 'bird N27-14 --line dorking --sex female --set D1 --pen north --born 2027-03-27',
});
