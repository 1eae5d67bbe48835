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
import { dayNotWritten, unknownOrder, unlikelyFigure } from './likely.ts';
import { orderOfEvents } from './order.ts';
import { penChanges, penNotPure, penNotReady, tooFewMales } from './pens.ts';
import { eggsNotThere, eggsOutNotThere, eggsTooOld } from './stock.ts';
import { trayOverfull, trayTaken } from './trays.ts';
import { withdrawal } from './treatments.ts';
import { twinRows } from './twins.ts';

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
  eggsOutNotThere,
  penNotReady,
  penNotPure,
  tooFewMales,
  penChanges,
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
  twinRows,
  unlikelyFigure,
  dayNotWritten,
  unknownOrder,
];

/** Every conflict of a season, recorded and planned, in the order of the files, but those accepted. */
export function conflictsOf(season: Season, now: Now): Fault[] {
  return judged(season, now).open;
}

/** The conflicts of a season: those open, and those that an acceptance settles. */
export function judged(season: Season, now: Now): { open: Fault[]; accepted: Fault[] } {
  const checked = { season, occupancy: occupancyOf(season, now), now };
  const all = inOrder(checks.flatMap((check) => check(checked)));
  const settled = new Set(
    season.rows.acceptance.map(({ values }) => JSON.stringify([values.code, values.about])),
  );
  const isSettled = (one: Fault) => settled.has(JSON.stringify([one.code, one.about]));
  return { open: all.filter((one) => !isSettled(one)), accepted: all.filter(isSettled) };
}
