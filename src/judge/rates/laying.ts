/** Which eggs of a pen may be set: fertile by then, and surely of its own males. */

import { carriesOf, firstFertile } from '../../facts/checks/pens.ts';
import type { Pen } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';

/** True if eggs of a pen laid on a day may be set; `sooner` moves the day it is ready, for trials. */
export function layIsGood(pen: Pen, day: Day, sooner = 0): boolean {
  const ready = addDays(firstFertile(pen), -sooner);
  if (day < ready || (pen.parted !== null && day >= pen.parted)) return false;
  // A male no longer there may still be the father.
  return !carriesOf(pen).some((carry) => carry.changed <= day && day < carry.pureFrom);
}
