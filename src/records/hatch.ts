import { count, name, nameOrNone, whole, yesOrNo } from './column.ts';
import { record } from './record.ts';

export const hatch = record({
  name: 'hatch',
  file: 'hatches.csv',
  summary: 'one opening of the hatcher: chicks taken off; the final one counts what did not hatch',
  timed: true,
  naming: 'set',
  columns: {
    set: name('set that hatches', 'set'),
    pen: nameOrNone('share; may be left out when the set has one', 'pen'),
    hatched: whole('live chicks taken off', 0, { unit: 'chicks' }),
    weak: count('of them weak or culled'),
    dead: count('chicks found dead in the hatcher'),
    pipped: count('broke the shell and died'),
    unpipped: count('did not break the shell'),
    final: yesOrNo('last opening of this share'),
  },
  example: 'hatch D4 --hatched 13 --pipped 1 --unpipped 1 --final yes',
  together: (v) =>
    v.weak > v.hatched
      ? [{ column: 'weak', message: `${v.weak} weak are more than ${v.hatched} hatched` }]
      : [],
});
