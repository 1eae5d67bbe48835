import type { PlannedSet, Season } from '../../season/model.ts';
import { daysBetween } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { openPlan } from '../hatch-time.ts';
import type { Check } from './check.ts';

/** `eggs-too-old`: eggs set after more days in storage than the season allows. */
export const eggsTooOld: Check = ({ season }) => {
  const faults: Fault[] = [];
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const most = season.storageMaxDays(share.pen.line.species);
      const old = share.drawn.filter((one) => one.age > most);
      if (old.length === 0) continue;
      const eggs = old.reduce((sum, one) => sum + one.eggs, 0);
      const oldest = Math.max(...old.map((one) => one.age));
      faults.push(
        fault(
          'eggs-too-old',
          share.at,
          `${set.name}: ${eggs} eggs of ${share.pen.name} were stored ${oldest} days, and ${most} are allowed`,
          { set: set.name, pen: share.pen.name, hint: 'expect fewer and later chicks of these' },
        ),
      );
    }
  return faults;
};

/** `eggs-not-there`: more eggs set than were kept, recorded or, for a plan of today, in store. */
export const eggsNotThere: Check = ({ season, now }) => {
  const faults: Fault[] = [];
  for (const set of season.sets.values())
    for (const share of set.shares) {
      if (share.notKept === 0) continue;
      faults.push(
        fault(
          'eggs-not-there',
          share.at,
          `${set.name}: ${share.eggs} eggs of ${share.pen.name} were set, and ${share.notKept} of them were never recorded as kept`,
          {
            set: set.name,
            pen: share.pen.name,
            hint: `a day of eggs not written down? traybook add eggs ${share.pen.name} --on DAY --kept N`,
          },
        ),
      );
    }
  for (const one of openPlan(season)) {
    if (one.on !== now.day) continue;
    for (const share of one.shares) {
      const have = inStore(season, one, share.pen.name);
      if (have >= share.eggs) continue;
      faults.push(
        fault(
          'eggs-not-there',
          one.at,
          `${one.name}: ${share.eggs} eggs of ${share.pen.name} are planned for today, and ${have} are in store`,
          {
            set: one.name,
            pen: share.pen.name,
            severity: 'warning',
          },
        ),
      );
    }
  }
  return faults;
};

function inStore(season: Season, one: PlannedSet, pen: string): number {
  const most = season.storageMaxDays(one.species);
  return season.lots
    .filter((lot) => lot.pen === pen && lot.laid <= one.on && daysBetween(lot.laid, one.on) <= most)
    .reduce((sum, lot) => sum + lot.left, 0);
}

/** More eggs sold, eaten, thrown away or sent off than were in store. */
export const eggsOutNotThere: Check = ({ season }) =>
  season.eggsOut
    .filter((one) => one.notKept > 0)
    .map(({ row, notKept }) =>
      fault(
        'eggs-not-there',
        row.at,
        `${row.values.pen}: ${row.values.eggs} eggs ${row.values.way}, and ${row.values.eggs - notKept} were in store`,
        {
          pen: row.values.pen,
          about: row.entry,
          hint: `a day of eggs not written down? traybook add eggs ${row.values.pen} --on DAY --kept N`,
        },
      ),
    );
