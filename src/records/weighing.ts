import { decimal, name, nameOrNone, whole } from './column.ts';
import { record } from './record.ts';

export const weighing = record({
  name: 'weighing',
  file: 'weighings.csv',
  summary: 'the mass of a share, net of the tray, to follow the water it loses',
  timed: true,
  naming: 'set',
  columns: {
    set: name('set weighed', 'set'),
    pen: nameOrNone('share weighed; may be left out when the set has one', 'pen'),
    eggs: whole('eggs on the scale', 1, { unit: 'eggs' }),
    mass_g: decimal('mass, net of the tray', { least: 0.1, most: 1_000_000, unit: 'g' }),
  },
  example: 'weighing D4 --eggs 20 --mass-g 1142',
});
