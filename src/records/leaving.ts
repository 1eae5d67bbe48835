import { decimalOrUnknown, later, name, oneOf, text, whole } from './column.ts';
import { record } from './record.ts';

export const ways = ['table', 'sold', 'given', 'breeder', 'layer', 'culled'] as const;

export const leaving = record({
  name: 'leaving',
  file: 'leavings.csv',
  summary: 'birds going out of the book, and how',
  naming: 'group',
  columns: {
    group: name('group', 'group'),
    sex: oneOf('sex', ['female', 'male', 'unknown'] as const),
    birds: whole('birds leaving', 1, { unit: 'birds' }),
    way: oneOf('where they go', ways),
    mass_kg: decimalOrUnknown('total mass, dressed for the table, else alive', {
      least: 0.001,
      most: 100_000,
      unit: 'kg',
    }),
    money: decimalOrUnknown('money received, in the currency of season.yaml', {
      least: 0,
      most: 10_000_000,
    }),
    order: later(text('order they meet, as `for` of it in season.yaml')),
  },
  example: 'leaving B1 --sex male --birds 5 --way table --mass-kg 11.2',
});
