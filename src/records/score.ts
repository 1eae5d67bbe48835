import { decimal, name } from './column.ts';
import { record } from './record.ts';

export const score = record({
  name: 'score',
  file: 'scores.csv',
  summary: 'a value of a trait measured or judged on a bird',
  naming: 'bird',
  columns: {
    bird: name('bird', 'bird'),
    trait: name('trait of season.yaml', 'trait'),
    value: decimal('value, in the unit of the trait', { least: -1_000_000, most: 1_000_000 }),
  },
  example: 'score N27-14 --trait mass_12w --value 1420',
});
