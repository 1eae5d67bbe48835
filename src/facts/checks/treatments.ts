import { plural } from '../../tables/numbers.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { gathered } from '../../text/lists.ts';
import { withdrawalsOf } from '../birds/withdrawal.ts';
import type { Checked } from './check.ts';

/**
 * `withdrawal`: meat or eggs used inside a period the keeper read from a label, and labels whose
 * days were not written. traybook knows no withdrawal times of its own.
 */
export const withdrawal = gathered(function* ({ season }: Checked): Generator<Fault> {
  const periods = withdrawalsOf(season);
  const inside = (of: string, what: 'eggs' | 'meat', day: string) =>
    periods.find((one) => one.of === of && one.what === what && one.from <= day && day < one.clear);
  for (const { at, on, values } of season.rows.leaving) {
    const period = values.way === 'table' ? inside(values.group, 'meat', on.day) : undefined;
    if (period)
      yield fault(
        'withdrawal',
        at,
        `${values.group}: to table on ${on.day}, inside the meat withdrawal of ${period.product} (${period.days} days from ${period.from}); clear from ${period.clear}`,
        { hint: 'do not eat or sell this meat; ask your vet' },
      );
  }
  for (const { at, on, values } of season.rows.eggs) {
    const { pen } = values;
    const eaten = (values.laid ?? values.kept) - values.kept;
    const period = eaten > 0 ? inside(pen, 'eggs', on.day) : undefined;
    if (period)
      yield fault(
        'withdrawal',
        at,
        `${pen}: ${plural(eaten, 'egg')} of ${on.day} not kept for hatching fall inside the egg withdrawal of ${period.product}; clear from ${period.clear}`,
        { pen, severity: 'warning', hint: 'they are not for eating or selling' },
      );
  }
  for (const { at, entry, values } of season.rows.treatment) {
    const { egg_withdrawal_days: egg, meat_withdrawal_days: meat } = values;
    // A test leaves nothing in egg or meat.
    if (values.what !== 'test' && egg === null && meat === null)
      yield fault(
        'withdrawal',
        at,
        `${values.group_or_pen}: no withdrawal days written for ${values.product}`,
        {
          severity: 'warning',
          hint: `read them on the label, or ask your vet: traybook amend ${entry} meat_withdrawal_days=N egg_withdrawal_days=N`,
        },
      );
  }
});
