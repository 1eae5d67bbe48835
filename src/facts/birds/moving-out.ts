import { type BirdKind, broodingOf, hardening, stepAt } from '../../season/brooding.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { once } from '../../text/once.ts';
import type { Night, NightOn } from './nights.ts';

/** When birds may leave the heat for an unheated shelter, and what decides it. */
export type MovingOut = {
  /** When the kind is fully feathered. */
  readonly feathered: { readonly from: Day; readonly to: Day };
  /** First day at the youngest age at which any weather would do. */
  readonly youngest: Day;
  /** First day from which the expected nights suit the age, for a week on end; null if unknown. */
  readonly earliest: Day | null;
  /** The same by the night that nine in ten stay above; null if too few nights are known. */
  readonly safe: Day | null;
  /** What holds `earliest` back: `age`, `nights`, or `unknown` where no nights are known. */
  readonly heldBy: 'age' | 'nights' | 'unknown';
  /** The night low, °C, that the birds can meet at `earliest` (at `youngest` if unknown). */
  readonly nightLow: number;
  /** Days added for a small group or a slow-feathering line. */
  readonly slowDays: number;
};

/** Nights on end that must suit the birds. */
const NIGHTS_ON_END = 7;
/** A kind still not out at a year of age never will be by this rule. */
const FARTHEST_DAYS = 365;

/**
 * The dates on which a kind hatched on a day may move out. Older birds bear colder nights, by steps
 * of `seeds/brooding.yaml`; meat types step earlier because they feather and grow faster, and
 * later in the season warm nights let every kind out younger. Small groups and lines said to
 * feather slowly wait a week longer.
 */
export function movingOut(
  kind: BirdKind,
  hatched: Day,
  birds: number,
  isSlow: boolean,
  nightOn: NightOn,
): MovingOut {
  const brooding = broodingOf(kind);
  const steps =
    (kind.class === 'meat' ? brooding.out_meat : undefined)?.value ?? brooding.out.value;
  const isSmall = birds > 0 && birds < hardening.small_group.value;
  const slowDays = isSlow || isSmall ? hardening.slow_days.value : 0;
  const youngest = steps[0]!.from_day + slowDays;
  const limitAt = (age: number): number | null => stepAt(steps, age - slowDays)?.night_low ?? null;
  const first = (lowOf: (night: Night) => number | null): Day | null => {
    let run = 0;
    for (let age = youngest; age < FARTHEST_DAYS + NIGHTS_ON_END; age += 1) {
      const night = nightOn(addDays(hatched, age));
      const low = night === null ? null : lowOf(night);
      if (low === null) return null;
      run = low >= limitAt(age)! ? run + 1 : 0;
      if (run === NIGHTS_ON_END) return addDays(hatched, age + 1 - NIGHTS_ON_END);
    }
    return null;
  };
  const feathers = brooding.feathered_day.value;
  // Birds in full feather are asked about by age alone: the nights are gone through when they are asked for.
  const earliest = once(() => first((night) => night.low));
  const age = (): number => {
    const day = earliest();
    return day === null ? youngest : daysBetween(hatched, day);
  };
  return {
    feathered: {
      from: addDays(hatched, feathers.low + slowDays),
      to: addDays(hatched, feathers.high + slowDays),
    },
    youngest: addDays(hatched, youngest),
    get earliest() {
      return earliest();
    },
    get safe() {
      return first((night) => night.low_10);
    },
    get heldBy() {
      return earliest() === null ? 'unknown' : age() === youngest ? 'age' : 'nights';
    },
    get nightLow() {
      return limitAt(age())!;
    },
    slowDays,
  };
}
