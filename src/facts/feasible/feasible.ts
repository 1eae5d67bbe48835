/**
 * May these be there on that day: trays, hatchers, brooders, closed machines, the keeper's season and
 * days off, and whether the eggs are there. Check prints these reasons, a plan is refused by them.
 */
import type { Now, Season } from '../../season/model.ts';
import type { Expected } from '../expected.ts';
import { occupancyOf } from '../occupancy.ts';
import { brooderOverfull } from './brooders.ts';
import { dayOff, machineClosed, outOfSeason } from './days.ts';
import { eggsNotRested, eggsNotThere, eggsOutNotThere, eggsTooOld } from './eggs.ts';
import { hatcherNotClean, hatcherOverfull, hatcherTaken, mixedStage } from './hatchers.ts';
import type { FeasibleLimit, Reason } from './reason.ts';
import { trayOverfull, trayTaken } from './trays.ts';

/** Every limit. A new one is one function and one line here. */
const limits: readonly FeasibleLimit[] = [
  trayTaken,
  trayOverfull,
  hatcherTaken,
  hatcherNotClean,
  hatcherOverfull,
  mixedStage,
  machineClosed,
  outOfSeason,
  dayOff,
  eggsTooOld,
  eggsNotRested,
  eggsNotThere,
  eggsOutNotThere,
  brooderOverfull,
];

/**
 * Every reason against what is recorded and planned; none if all of it may be.
 * @param expected what is expected of what is not recorded yet; null to ask only what is recorded
 */
export function reasonsAgainst(season: Season, now: Now, expected: Expected | null): Reason[] {
  const setting = { season, now, expected, occupancy: occupancyOf(season, now, expected) };
  return limits.flatMap((limit) => limit(setting));
}
