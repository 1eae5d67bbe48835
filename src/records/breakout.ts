import { count, name, nameOrNone, oneOf } from './column.ts';
import { record } from './record.ts';

export const breakout = record({
  name: 'breakout',
  file: 'breakouts.csv',
  summary: 'eggs opened to see when, and whether, life stopped',
  naming: 'set',
  columns: {
    set: name('set the eggs are from', 'set'),
    pen: nameOrNone('share; may be left out when the set has one', 'pen'),
    from: oneOf('which eggs were opened', ['clear', 'quit', 'unhatched'] as const),
    infertile: count('no sign of life ever'),
    early: count('died in the first third'),
    middle: count('died in the middle third'),
    late: count('died in the last third, shell whole'),
    pipped: count('died with the shell broken'),
    rotten: count('rotten; stage not to be seen'),
    malposed: count('of all these, lying wrong'),
  },
  example: 'breakout D4 --from clear --infertile 2 --early 1',
});
