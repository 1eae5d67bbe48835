import { name, text, whole } from './column.ts';
import { record } from './record.ts';

export const loss = record({
  name: 'loss',
  file: 'losses.csv',
  summary: 'birds of a group that died or were lost',
  naming: 'group',
  columns: {
    group: name('group', 'group'),
    birds: whole('birds lost', 1, { unit: 'birds' }),
    cause: text('cause, if known'),
  },
  example: 'loss G1 --birds 1 --cause chilled',
});
