import type { Now, Season } from '../../season/model.ts';
import { type Fault, inOrder } from '../../text/fault.ts';
import { occupancyOf } from '../occupancy.ts';
import { outOfBalance } from './balance.ts';
import { birdsInOrder } from './birds.ts';
import {
  agesApart,
  brooderOverfull,
  flockBalance,
  heldTooLong,
  keptApart,
  lookAlike,
  waterfowlWithChicks,
} from './brooders.ts';
import type { Check } from './check.ts';
import { dayOff } from './days-off.ts';
import { goalsCanBeMet } from './goals.ts';
import { hatcherNotClean, hatcherOverfull, hatcherTaken, mixedStage } from './hatchers.ts';
import { orderOfEvents } from './order.ts';
import { penNotPure, penNotReady, tooFewMales } from './pens.ts';
import { eggsNotThere, eggsTooOld } from './stock.ts';
import { trayOverfull, trayTaken } from './trays.ts';
import { withdrawal } from './treatments.ts';

/** Every rule of the season. A new one is one function and one line here. */
const checks: readonly Check[] = [
  trayTaken,
  trayOverfull,
  hatcherTaken,
  hatcherNotClean,
  hatcherOverfull,
  mixedStage,
  eggsTooOld,
  eggsNotThere,
  penNotReady,
  penNotPure,
  tooFewMales,
  dayOff,
  outOfBalance,
  orderOfEvents,
  flockBalance,
  heldTooLong,
  brooderOverfull,
  waterfowlWithChicks,
  keptApart,
  agesApart,
  lookAlike,
  withdrawal,
  birdsInOrder,
  goalsCanBeMet,
];

/** Every conflict of a season, recorded and planned, in the order of the files. */
export function conflictsOf(season: Season, now: Now): Fault[] {
  const checked = { season, occupancy: occupancyOf(season, now), now };
  return inOrder(checks.flatMap((check) => check(checked)));
}
