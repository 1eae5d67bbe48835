/** Which eggs of a pen may be set: fertile by then, and surely of its own males. */

import type { Pen } from '../season/model.ts';
import { addDays, type Day, later } from '../text/day.ts';

/** The first day whose eggs are worth keeping: joined, plus the species' days to good fertility. */
export function firstFertile(pen: Pen): Day {
  // Bought eggs are of hens that have been with their males for long, as far as we know.
  if (pen.bought !== null) return laidOn(pen, pen.bought.on);
  const { species } = pen.line;
  const lag =
    pen.age === 'old' ? species.fertility_lag_old_days.value : species.fertility_lag_days.value;
  return addDays(pen.joined, lag);
}

/** The day eggs written down on a day were laid: bought ones, as the oldest of them, before they came. */
export function laidOn({ bought }: Pen, written: Day): Day {
  return bought === null ? written : addDays(written, -bought.road_days - bought.days_old);
}

/** A change of males and the day from which eggs are surely of the new ones. */
export type CarryOver = { readonly changed: Day; readonly pureFrom: Day };

/** Every change of males that reaches into the season, with the day its eggs are pure again. */
export function carriesOf(pen: Pen): CarryOver[] {
  const days = pen.line.species.carry_over_days.value.safe;
  const changes = [...pen.malesChanged];
  if (pen.otherMalesUntil !== null) changes.unshift(pen.otherMalesUntil);
  return changes.map((changed) => ({ changed, pureFrom: addDays(changed, days) }));
}

/** The day from which all eggs of a pen are pure, or null if its males were never changed. */
export function pureFrom(pen: Pen): Day | null {
  const carries = carriesOf(pen);
  return carries.length === 0 ? null : carries.map((one) => one.pureFrom).reduce(later);
}

/** True while a male no longer there may still be the father. */
export function isCarried(pen: Pen, day: Day): boolean {
  return carriesOf(pen).some((carry) => carry.changed <= day && day < carry.pureFrom);
}

/** True if eggs of a pen laid on a day may be set; `sooner` moves the day it is ready, for trials. */
export function layIsGood(pen: Pen, day: Day, sooner = 0): boolean {
  const ready = addDays(firstFertile(pen), -sooner);
  return day >= ready && (pen.parted === null || day < pen.parted) && !isCarried(pen, day);
}
