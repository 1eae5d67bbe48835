import { dayOrNone, decimalOrUnknown, name, nameOrNone, whole, wholeOrUnknown } from './column.ts';
import { record } from './record.ts';

export const set = record({
  name: 'set',
  file: 'sets.csv',
  summary: "eggs put into the setter: one row for each pen's share in each tray",
  timed: true,
  naming: 'set',
  first: ['eggs', 'tray'],
  columns: {
    set: name('name of the set'),
    pen: name('pen the eggs come from', 'pen'),
    setter: nameOrNone('setter; may be left out when there is one', 'setter'),
    tray: wholeOrUnknown('tray number', 1),
    eggs: whole('eggs set', 1, { unit: 'eggs' }),
    laid_from: dayOrNone('first day these eggs were laid; the freshest when left out'),
    laid_to: dayOrNone('last day these eggs were laid'),
    mass_g: decimalOrUnknown('mass of these eggs, net of the tray', {
      least: 0.1,
      most: 1_000_000,
      unit: 'g',
    }),
  },
  example: 'set D4 --pen north --eggs 20 --tray 2',
  together: (v) =>
    v.laid_from !== null && v.laid_to !== null && v.laid_to < v.laid_from
      ? [{ column: 'laid_to', message: `${v.laid_to} is before laid_from ${v.laid_from}` }]
      : [],
});
