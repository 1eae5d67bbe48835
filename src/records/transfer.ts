import { count, name, nameOrNone, whole } from './column.ts';
import { record } from './record.ts';

export const transfer = record({
  name: 'transfer',
  file: 'transfers.csv',
  summary: 'live eggs moved from tray to hatcher; turning stops',
  timed: true,
  naming: 'set',
  first: ['moved'],
  columns: {
    set: name('set moved', 'set'),
    pen: nameOrNone('share moved; may be left out when the set has one', 'pen'),
    hatcher: nameOrNone('hatcher; may be left out when there is one', 'hatcher'),
    basket: nameOrNone('basket or corner of the hatcher'),
    moved: whole('live eggs moved', 0, { unit: 'eggs' }),
    clear: count('clear, taken out now'),
    quit: count('quit, taken out now'),
    cracked: count('cracked, taken out now'),
    rotten: count('rotten, taken out now'),
  },
  example: 'transfer D4 --hatcher lower --moved 15 --quit 1',
});
