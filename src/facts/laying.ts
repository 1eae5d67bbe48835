/** Which eggs of a pen may be set: laid at all, fertile by then, and surely of its own males. */

import type { Pen, Season } from '../season/model.ts';
import { penOn } from '../season/pens.ts';
import { addDays, type Day, earlier, later } from '../text/day.ts';
import { work } from './tasks/work.ts';

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

/** True for eggs that came by road or post: the journey loosens the air cell. */
export function isPosted({ bought }: Pen): boolean {
  return bought !== null && bought.road_days > 0;
}

/** The day from which eggs of a lot may be set: at once, but for posted ones, which stand a while first. */
export function restedOn(pen: Pen, laid: Day): Day {
  if (!isPosted(pen)) return laid;
  const { road_days, days_old } = pen.bought!;
  return addDays(laid, road_days + days_old + work.posted_rest_days.value);
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

/** The males that an egg may be of: how many, their names as far as known, and the day since which they are those. */
export type Fathers = {
  readonly males: number;
  readonly names: readonly string[];
  readonly since: Day;
};

/** The males that sired the eggs of a pen laid on a day; null while one no longer there may still be the father. */
export function fathersOf(pen: Pen, day: Day): Fathers | null {
  const days = pen.line.species.carry_over_days.value.safe;
  const ofMales = pen.changes.filter((one) => one.sex === 'male' && one.day <= day);
  const isLeft = ofMales.some(
    (one) => (one.change === 'died' || one.change === 'removed') && day < addDays(one.day, days),
  );
  if (isLeft || isCarried(pen, day)) return null;
  const { males, sires } = penOn(pen, day);
  const byHand = pen.malesChanged.filter((one) => one <= day);
  // A change without a row of its own: who came is not known.
  const isTold = byHand.every((one) => ofMales.some((row) => row.day === one));
  return {
    males,
    names: isTold ? sires : [],
    since: [...byHand, ...ofMales.map((one) => one.day)].reduce(later, pen.joined),
  };
}

/** True if eggs of a pen laid on a day may be set; `sooner` moves the day it is ready, for trials. */
export function layIsGood(pen: Pen, day: Day, sooner = 0): boolean {
  const ready = addDays(firstFertile(pen), -sooner);
  return day >= ready && (pen.parted === null || day < pen.parted) && !isCarried(pen, day);
}

/** Hens of a pen that are there on a day and neither sit nor moult, as its rows of pen-change say. */
export function hensInLay(pen: Pen, day: Day): number {
  const { hens } = penOn(pen, day);
  const rests: { until: Day; birds: number }[] = [];
  for (const { change, birds, day: from } of pen.changes) {
    if (from > day) break;
    if (change === 'broody' || change === 'moulting')
      rests.push({ until: restEnds(pen, change, from), birds });
    if (change !== 'laying') continue;
    let back = birds;
    for (const rest of rests) {
      const some = Math.min(back, rest.until > from ? rest.birds : 0);
      rest.birds -= some;
      back -= some;
    }
  }
  const resting = rests.reduce((sum, rest) => (rest.until > day ? sum + rest.birds : sum), 0);
  return Math.max(0, hens - resting);
}

/** The day on which a hen that sits or moults is taken to lay again, unless the keeper says so sooner. */
function restEnds({ line }: Pen, change: 'broody' | 'moulting', from: Day): Day {
  const days =
    change === 'moulting'
      ? work.moult_days.value
      : line.species.hatch_day.value + work.broody_after_days.value;
  return addDays(from, days);
}

const DAYS_A_YEAR = 365;

/**
 * The day a pen is taken to stop laying: so long after its first egg of the season as its kind lays,
 * or a little after its last egg if it laid on. Null before its first egg, when nobody knows, and for
 * a kind that lays the year round.
 */
export function layEnds(season: Season, { name, age, line }: Pen): Day | null {
  const length = line.species.lay_days.value[age];
  if (length >= DAYS_A_YEAR) return null;
  const laid = season.rows.eggs.filter(
    ({ values }) => values.pen === name && (values.laid ?? values.kept) > 0,
  );
  if (laid.length === 0) return null;
  const days = laid.map((row) => row.on.day);
  return later(
    addDays(days.reduce(earlier), length),
    addDays(days.reduce(later), work.lay_over_days.value),
  );
}

/** What is said of the end of a pen's lay. */
export const endOfLay = (pen: string, end: Day): string =>
  `${pen} is taken to stop laying on ${end}, by the days its kind lays; eggs written later move it`;

/** Hens of a pen expected to lay, by the day: those that do not rest, and none once its lay has ended. */
export function layersOn(season: Season, pen: Pen): (day: Day) => number {
  const end = layEnds(season, pen);
  return (day) => (end === null || day < end ? hensInLay(pen, day) : 0);
}
