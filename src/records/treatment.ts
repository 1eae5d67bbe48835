import { name, neededText, wholeOrUnknown } from './column.ts';
import { record } from './record.ts';

export const treatment = record({
  name: 'treatment',
  file: 'treatments.csv',
  summary: 'a medicine given, with the withdrawal days read on its label',
  naming: 'group_or_pen',
  columns: {
    group_or_pen: name('group or pen treated', 'group-or-pen'),
    product: neededText('product, as on the label'),
    egg_withdrawal_days: wholeOrUnknown('egg withdrawal, as on the label', 0, { unit: 'days' }),
    meat_withdrawal_days: wholeOrUnknown('meat withdrawal, as on the label', 0, { unit: 'days' }),
  },
  example: 'treatment north --product "the name on the label" --egg-withdrawal-days 7',
});
