import { dayOrNone, decimalOrUnknown, later, name, oneOf, text, whole } from './column.ts';
import { record } from './record.ts';

/** How hatching eggs leave the store other than into a set. */
const eggWays = ['sold', 'eaten', 'discarded', 'sent'] as const;

export const eggsOut = record({
  name: 'eggs-out',
  file: 'eggs_out.csv',
  summary: 'hatching eggs that left the store without being set',
  naming: 'pen',
  columns: {
    pen: name('pen the eggs come from', 'pen'),
    eggs: whole('eggs that left', 1, { unit: 'eggs' }),
    way: oneOf('where they went', eggWays),
    laid_from: dayOrNone('first day these eggs were laid'),
    laid_to: dayOrNone('last day these eggs were laid'),
    money: decimalOrUnknown('money received, in the currency of season.yaml', {
      least: 0,
      most: 10_000_000,
    }),
    order: later(text('order they meet, as `for` of it in season.yaml')),
  },
  example: 'eggs-out north --eggs 6 --way sold --money 9',
  together: (v) =>
    v.laid_from !== null && v.laid_to !== null && v.laid_to < v.laid_from
      ? [{ column: 'laid_to', message: `${v.laid_to} is before laid_from ${v.laid_from}` }]
      : [],
});
