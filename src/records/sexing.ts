import { count, name } from './column.ts';
import { record } from './record.ts';

export const sexing = record({
  name: 'sexing',
  file: 'sexings.csv',
  summary: 'how many of a group are pullets and cockerels',
  naming: 'group',
  columns: {
    group: name('group', 'group'),
    pullets: count('females'),
    cockerels: count('males'),
    unsure: count('not sure'),
  },
  example: 'sexing B1 --pullets 6 --cockerels 7',
  together: (v) =>
    v.pullets + v.cockerels + v.unsure === 0
      ? [{ column: 'pullets', message: 'expected at least one bird, found none' }]
      : [],
});
