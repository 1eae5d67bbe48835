import { later, name, neededText, oneOfOrNone, text, wholeOrUnknown } from './column.ts';
import { record } from './record.ts';

export const treatment = record({
  name: 'treatment',
  file: 'treatments.csv',
  summary:
    'a medicine, vaccine or test: what, to whom, by whom, which batch, withdrawal as labelled',
  naming: 'group_or_pen',
  columns: {
    group_or_pen: name('group or pen treated', 'group-or-pen'),
    product: neededText('product or test, as on the label'),
    egg_withdrawal_days: wholeOrUnknown('egg withdrawal, as on the label', 0, { unit: 'days' }),
    meat_withdrawal_days: wholeOrUnknown('meat withdrawal, as on the label', 0, { unit: 'days' }),
    what: later(oneOfOrNone('what it was', ['medicine', 'vaccine', 'test'] as const)),
    batch: later(text('batch, as on the bottle or the paper')),
    result: later(text('result of a test')),
  },
  example: 'treatment north --product "as labelled" --egg-withdrawal-days 7',
  together: (v) =>
    v.result !== '' && v.what !== 'test'
      ? [
          {
            column: 'result',
            message: 'only a test has a result',
            hint: 'say that it was one: --what test',
          },
        ]
      : [],
});
