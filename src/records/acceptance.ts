import { neededText } from './column.ts';
import { record } from './record.ts';

export const acceptance = record({
  name: 'acceptance',
  file: 'acceptances.csv',
  summary: 'a conflict that the keeper knows of and accepts, and why',
  naming: 'code',
  columns: {
    code: neededText('code of the conflict, as `check --json` and `guide faults` give it'),
    about: neededText('what it is about, as `check` names it: a set and pen, a pen, a place'),
    why: neededText('why it is so'),
  },
  example: 'acceptance too-few-males --about south --why "a spare male comes in March"',
});
