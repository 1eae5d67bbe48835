import { later, name, nameOrNone, oneOfOrNone, whole } from './column.ts';
import { record } from './record.ts';

/** What birds die of or are lost to. */
const lossCauses = [
  'predator',
  'chilled',
  'smothered',
  'accident',
  'culled',
  'sick',
  'found-dead',
  'unknown',
] as const;

/** What keepers call them. */
const meant: Readonly<Record<string, (typeof lossCauses)[number]>> = {
  fox: 'predator',
  rat: 'predator',
  rats: 'predator',
  hawk: 'predator',
  cat: 'predator',
  cold: 'chilled',
  crush: 'smothered',
  crushed: 'smothered',
  piled: 'smothered',
  drowned: 'accident',
  trampled: 'accident',
  ill: 'sick',
  disease: 'sick',
  dead: 'found-dead',
};

export const loss = record({
  name: 'loss',
  file: 'losses.csv',
  summary: 'birds of a group that died or were lost',
  naming: 'group',
  columns: {
    group: name('group', 'group'),
    birds: whole('birds lost', 1, { unit: 'birds' }),
    cause: oneOfOrNone('cause', lossCauses, meant),
    place: later(nameOrNone('where it happened; where the group lives when left out')),
  },
  example: 'loss B1 --birds 1 --cause chilled',
});
