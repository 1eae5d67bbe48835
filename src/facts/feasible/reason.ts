import type { Now, Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { type Fault, type FaultExtras, fault } from '../../text/fault.ts';
import type { Expected } from '../expected.ts';
import type { Occupancy } from '../occupancy.ts';

/** Why something may not be there on a day; as a fault it says so to the keeper. */
export type Reason = Fault & {
  /** Tray, hatcher, brooder or pen. */
  readonly place: string | null;
  readonly day: Day;
  /** What would be there, and what may be: eggs, chicks, parts of a room. */
  readonly held: number | null;
  readonly room: number | null;
};

/** What every limit looks at. Without expectations only what is recorded is held against it. */
export type Setting = {
  readonly season: Season;
  readonly now: Now;
  readonly occupancy: Occupancy;
  readonly expected: Expected | null;
};

/** One limit: pure, and returns every breach of it. */
export type FeasibleLimit = (setting: Setting) => readonly Reason[];

/** What a reason says besides its fault. */
type ReasonPlace = FaultExtras &
  Pick<Reason, 'day'> &
  Partial<Pick<Reason, 'place' | 'held' | 'room'>>;

/** A reason and the words for it. */
export function reason(
  code: Fault['code'],
  at: Fault['at'],
  message: string,
  where: ReasonPlace,
): Reason {
  const { day, place = null, held = null, room = null, ...extras } = where;
  return { ...fault(code, at, message, extras), place, day, held, room };
}
