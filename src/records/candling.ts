import { count, name, nameOrNone } from './column.ts';
import { record } from './record.ts';

export const candling = record({
  name: 'candling',
  file: 'candlings.csv',
  summary: 'eggs taken out after looking through them; doubtful ones stay in',
  naming: 'set',
  columns: {
    set: name('set candled', 'set'),
    pen: nameOrNone('share candled; may be left out when the set has one', 'pen'),
    clear: count('nothing seen in the egg'),
    quit: count('began and died'),
    cracked: count('cracked'),
    rotten: count('rotten'),
    doubtful: count('not sure; left in'),
  },
  example: 'candling D4 --clear 3 --quit 1',
});
