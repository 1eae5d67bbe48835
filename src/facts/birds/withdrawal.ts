import type { RowOf } from '../../records/record.ts';
import type { treatment as treatmentKind } from '../../records/treatment.ts';
import type { Season } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';
import type { Place } from '../../text/source.ts';

type TreatmentRow = RowOf<typeof treatmentKind>;

/** Days on which eggs or meat of a group or pen must not be eaten or sold, half-open. */
export type Withdrawal = {
  readonly of: string;
  readonly what: 'eggs' | 'meat';
  readonly product: string;
  readonly from: Day;
  /** The first clear day: the day of treatment does not count as one of the label's days. */
  readonly clear: Day;
  readonly days: number;
  readonly entry: string;
  readonly at: Place;
};

/** Every withdrawal period written down. The days are the keeper's, read from the label. */
export function withdrawalsOf(season: Season): Withdrawal[] {
  return season.rows.treatment.flatMap((row) =>
    (['eggs', 'meat'] as const).flatMap((what) => {
      const days = daysOf(row, what);
      return days === null
        ? []
        : [
            {
              of: row.values.group_or_pen,
              what,
              product: row.values.product,
              from: row.on.day,
              clear: addDays(row.on.day, days === 0 ? 0 : days + 1),
              days,
              entry: row.entry,
              at: row.at,
            },
          ];
    }),
  );
}

function daysOf(row: TreatmentRow, what: 'eggs' | 'meat'): number | null {
  return what === 'eggs' ? row.values.egg_withdrawal_days : row.values.meat_withdrawal_days;
}
