import { name, whole } from './column.ts';
import { record } from './record.ts';

export const move = record({
  name: 'move',
  file: 'moves.csv',
  summary: 'birds of a group moved to another brooder or out to grass',
  naming: 'group',
  columns: {
    group: name('group moved', 'group'),
    to: name('brooder or place they go to'),
    birds: whole('birds moved', 1, { unit: 'birds' }),
  },
  example: 'move B1 --to shed --birds 14',
});
