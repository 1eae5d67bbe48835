/** Pens as they stand on a day: what the season file says of them, and every change since. */
import { isRest, type penChange } from '../records/pen-change.ts';
import type { RowOf } from '../records/record.ts';
import { addDays, type Day } from '../text/day.ts';
import type { Pen, PenChange } from './model.ts';

/** The birds of a pen on a day. Names only of those that are known by name. */
export type PenBirds = Pick<Pen, 'hens' | 'males' | 'sires' | 'dams'> & {
  /** Hens and males that went by then and were never there. */
  readonly missing: { readonly hens: number; readonly males: number };
};

/**
 * A pen with the changes of its rows. Hens, males and their names are those it had at the last of
 * them; a day on which males went and others came counts among `malesChanged`, as written by hand.
 */
export function changedPen(pen: Pen, rows: readonly RowOf<typeof penChange>[]): Pen {
  if (rows.length === 0) return pen;
  const changes = rows.map(
    (row): PenChange => ({
      day: row.on.day,
      change: row.values.change,
      birds: row.values.birds ?? 1,
      sex: row.values.sex,
      bird: row.values.bird,
      at: row.at,
    }),
  );
  const parted = changes.filter((one) => one.change === 'parted').map((one) => one.day);
  const changed = { ...pen, changes };
  return {
    ...changed,
    ...birdsOf(changed, changes),
    malesChanged: [...new Set([...pen.malesChanged, ...newMales(pen, changes)])].sort(),
    parted: [...(pen.parted === null ? [] : [pen.parted]), ...parted].sort()[0] ?? null,
  };
}

/** The birds of a pen on a day, the changes of that day made. */
export function penOn(pen: Pen, day: Day): PenBirds {
  return birdsOf(
    pen,
    pen.changes.filter((one) => one.day <= day),
  );
}

/** The birds that the pen began with, after some of its changes. */
function birdsOf(pen: Pen, changes: readonly PenChange[]): PenBirds {
  let { hens, males } = pen.began;
  const names = { female: new Set(pen.began.dams), male: new Set(pen.began.sires) };
  const missing = { hens: 0, males: 0 };
  for (const { change, birds, sex, bird } of changes) {
    if (sex === null || change === 'parted' || isRest(change)) continue;
    const key = sex === 'female' ? 'hens' : 'males';
    const sign = change === 'added' ? 1 : change === 'replaced' ? 0 : -1;
    const after = (key === 'hens' ? hens : males) + sign * birds;
    missing[key] += Math.max(0, -after);
    if (key === 'hens') hens = Math.max(0, after);
    else males = Math.max(0, after);
    if (change === 'replaced' && birds >= (key === 'hens' ? hens : males)) names[sex].clear();
    if (bird === null) continue;
    if (sign < 0) names[sex].delete(bird);
    else names[sex].add(bird);
  }
  return { hens, males, sires: [...names.male], dams: [...names.female], missing };
}

/** Days on which new males came while eggs could still be of one that had gone. */
function newMales(pen: Pen, changes: readonly PenChange[]): Day[] {
  const carry = pen.line.species.carry_over_days.value;
  const longest = carry.certain ?? carry.safe;
  const ofMales = changes.filter((one) => one.sex === 'male');
  return ofMales
    .filter(
      (one) =>
        one.change === 'replaced' ||
        (one.change === 'added' &&
          ofMales.some(
            (gone) =>
              (gone.change === 'died' || gone.change === 'removed') &&
              gone.day <= one.day &&
              one.day <= addDays(gone.day, longest),
          )),
    )
    .map((one) => one.day);
}
