import { type Day, weekdayOf } from '../../text/day.ts';
import { type Fault, fault } from '../../text/fault.ts';
import { isDayOff, type Labour } from '../days-off.ts';
import { milestonesOfPlanned, milestonesOfSet, openPlan } from '../hatch-time.ts';
import type { Check } from './check.ts';

const doing: Record<Labour, string> = {
  set: 'is set',
  candle: 'is candled',
  transfer: 'is moved to the hatcher',
  hatch: 'hatches',
};

/** `day-off`: setting, transfer or hatch on a day the keeper does not do that work. */
export const dayOff: Check = ({ season, now }) => {
  const faults: Fault[] = [];
  const look = (set: string, labour: Labour, day: Day, at: Fault['at']): void => {
    // What is past was done, day off or not.
    if (day < now.day || !isDayOff(season, labour, day)) return;
    faults.push(
      fault('day-off', at, `${set} ${doing[labour]} on ${weekdayOf(day)} ${day}, a day off`, {
        set,
        severity: 'warning',
      }),
    );
  };
  for (const one of openPlan(season)) {
    const dates = milestonesOfPlanned(one, season);
    look(one.name, 'set', one.on, one.at);
    look(one.name, 'transfer', dates.transfer, one.at);
    look(one.name, 'hatch', dates.hatch, one.at);
  }
  for (const set of season.sets.values()) {
    const dates = milestonesOfSet(set, season);
    if (set.shares.some((share) => share.stage === 'in-setter' && share.live > 0))
      look(set.name, 'transfer', dates.transfer, set.at);
    if (set.shares.some((share) => share.stage !== 'finished' && share.live > 0))
      look(set.name, 'hatch', dates.hatch, set.at);
  }
  return faults;
};
