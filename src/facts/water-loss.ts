import type { Season, Share } from '../season/model.ts';
import { daysBetween, type On } from '../text/day.ts';

/** How a share's water loss stands at one weighing. Percent of the mass at setting. */
export type Course = {
  readonly on: On;
  readonly day: number;
  /** Days since setting, with parts of a day where both hours were written. */
  readonly elapsed: number;
  readonly lost: number;
  /** Carried on at the same pace to the day of transfer. */
  readonly atTransfer: number;
  /** 95 % range of `atTransfer`, by what the scale and the eggs' own differences leave unknown. */
  readonly low: number;
  readonly high: number;
  readonly target: { readonly low: number; readonly target: number; readonly high: number };
  /** Points that `atTransfer` stands above (positive) or below (negative) the band of the kind. */
  readonly beyond: number;
};

/**
 * Standard error of the loss by transfer weighed on its day, percent: judgement, no source. Weighed
 * earlier it is as much larger as the day is earlier.
 */
export const LOSS_ERROR = 0.4;
const NORMAL_95 = 1.96;

/** Days from one row to another, with parts of a day where both hours were written. */
function elapsedDays(from: On, to: On): number {
  const whole = daysBetween(from.day, to.day);
  if (from.time === null || to.time === null) return whole;
  const minutes = (t: string): number => Number(t.slice(0, 2)) * 60 + Number(t.slice(3, 5));
  return whole + (minutes(to.time) - minutes(from.time)) / (24 * 60);
}

/** Percent of the mass at setting lost a day, m = M (1 - slope day), by the mean mass of an egg on two days. */
export function lossPerDay(
  start: { readonly days: number; readonly mass: number },
  end: { readonly days: number; readonly mass: number },
): number {
  return (100 * (start.mass - end.mass)) / (start.mass * end.days - end.mass * start.days);
}

/** A weighing counts from this day on: before it a wet hand outweighs the water lost. */
const FIRST_DAY = 4;

/**
 * The course of a share's water loss at each weighing: the mean mass of an egg against that at
 * setting (or the first weighing of the same number of eggs), on a straight line through nothing lost
 * on day 0. Eggs taken out are no water lost: means of like numbers are compared where there are any.
 */
export function courseOf(season: Season, share: Share): Course[] {
  const figure = share.pen.line.species.weight_loss_percent.value;
  const transfer = share.pen.line.species.transfer_day.value;
  const only = season.sets.get(share.set)?.shares.length === 1;
  const rows = season.rows.weighing
    .filter(
      (row) =>
        row.values.set === share.set &&
        (row.values.pen === share.pen.name || (row.values.pen === null && only)),
    )
    .map((row) => ({
      on: row.on,
      day: daysBetween(share.on.day, row.on.day),
      elapsed: elapsedDays(share.on, row.on),
      eggs: row.values.eggs,
      mass: row.values.mass_g,
    }))
    .filter((row) => row.eggs > 0 && row.day >= 0)
    .sort((a, b) => a.day - b.day);
  const set = share.trays.every((one) => one.mass_g !== null)
    ? [
        {
          on: share.on,
          day: 0,
          elapsed: 0,
          eggs: share.eggs,
          mass: share.trays.reduce((sum, one) => sum + one.mass_g!, 0),
        },
      ]
    : [];
  const all = [...set, ...rows];
  return rows.flatMap((row): Course[] => {
    if (row.day < FIRST_DAY) return [];
    const earlier = all.filter((one) => one.day < row.day);
    const same = earlier.filter((one) => one.eggs === row.eggs);
    const [start] = same.length > 0 ? same : earlier;
    if (start === undefined) return [];
    const slope = lossPerDay(
      { days: start.elapsed, mass: start.mass / start.eggs },
      { days: row.elapsed, mass: row.mass / row.eggs },
    );
    const atTransfer = slope * transfer;
    const range = NORMAL_95 * LOSS_ERROR * Math.max(1, transfer / row.elapsed);
    return [
      {
        on: row.on,
        day: row.day,
        elapsed: row.elapsed,
        lost: slope * row.elapsed,
        atTransfer,
        low: atTransfer - range,
        high: atTransfer + range,
        target: figure,
        beyond:
          atTransfer > figure.high
            ? atTransfer - figure.high
            : atTransfer < figure.low
              ? atTransfer - figure.low
              : 0,
      },
    ];
  });
}
