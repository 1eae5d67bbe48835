import { type Fault, fault } from '../../text/fault.ts';
import { withdrawalsOf } from '../birds/withdrawal.ts';
import type { Check } from './check.ts';

/**
 * `withdrawal`: meat or eggs used inside a period the keeper read from a label, and labels whose
 * days were not written. traybook knows no withdrawal times of its own.
 */
export const withdrawal: Check = ({ season }) => {
  const faults: Fault[] = [];
  const periods = withdrawalsOf(season);
  const inside = (of: string, what: 'eggs' | 'meat', day: string) =>
    periods.find((one) => one.of === of && one.what === what && one.from <= day && day < one.clear);
  for (const row of season.rows.leaving) {
    if (row.values.way !== 'table') continue;
    const period = inside(row.values.group, 'meat', row.on.day);
    if (period)
      faults.push(
        fault(
          'withdrawal',
          row.at,
          `${row.values.group}: to table on ${row.on.day}, inside the meat withdrawal of ${period.product} (${period.days} days from ${period.from}); clear from ${period.clear}`,
          { hint: 'do not eat or sell this meat; ask your vet' },
        ),
      );
  }
  for (const row of season.rows.eggs) {
    const eaten = (row.values.laid ?? row.values.kept) - row.values.kept;
    const period = eaten > 0 ? inside(row.values.pen, 'eggs', row.on.day) : undefined;
    if (period)
      faults.push(
        fault(
          'withdrawal',
          row.at,
          `${row.values.pen}: ${eaten} eggs of ${row.on.day} not kept for hatching fall inside the egg withdrawal of ${period.product}; clear from ${period.clear}`,
          { pen: row.values.pen, severity: 'warning', hint: 'they are not for eating or selling' },
        ),
      );
  }
  for (const row of season.rows.treatment) {
    // A test leaves nothing in egg or meat.
    const isTest = row.values.what === 'test';
    const { egg_withdrawal_days: egg, meat_withdrawal_days: meat } = row.values;
    if (!isTest && egg === null && meat === null)
      faults.push(
        fault(
          'withdrawal',
          row.at,
          `${row.values.group_or_pen}: no withdrawal days written for ${row.values.product}`,
          {
            severity: 'warning',
            hint: `read them on the label, or ask your vet: traybook amend ${row.entry} meat_withdrawal_days=N egg_withdrawal_days=N`,
          },
        ),
      );
  }
  return faults;
};
