import { name, nameOrNone, text, whole } from './column.ts';
import { record } from './record.ts';

export const group = record({
  name: 'group',
  file: 'groups.csv',
  summary: 'chicks put together, into a brooder or to go: one row for each share they come from',
  naming: 'group',
  first: ['chicks', 'mark'],
  columns: {
    group: name('name of the group'),
    set: name('set the chicks hatched from', 'set'),
    pen: nameOrNone('share; may be left out when the set has one', 'pen'),
    brooder: nameOrNone(
      'brooder they go into, or the hen; left out where they are sold on the day',
      'brooder',
    ),
    chicks: whole('chicks', 1, { unit: 'chicks' }),
    mark: text('toe punch, leg band or other mark'),
  },
  example: 'group B1 --set D1 --pen north --brooder barn --chicks 14',
});
