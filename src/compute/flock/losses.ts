import binomialCdf from '@stdlib/stats-base-dists-binomial-cdf';
import { type BirdKind, growing, growthOf } from '../../season/brooding.ts';

/** Share of birds lost by an age if all goes as the trade plans: half of the early part in week 1. */
export function plannedLoss(kind: BirdKind, ageDays: number): number {
  const growth = growthOf(kind);
  const early = growth.loss_early.value;
  const late = growth.loss_late.value;
  const age = Math.max(0, ageDays);
  const week = 7;
  const firstWeek = early.plan * early.first_week_share;
  if (age <= week) return (firstWeek * age) / week;
  if (age <= early.until_day)
    return firstWeek + ((early.plan - firstWeek) * (age - week)) / (early.until_day - week);
  const lay = (growth.first_egg_days.value.low + growth.first_egg_days.value.high) / 2;
  const through = Math.min(1, (age - early.until_day) / Math.max(1, lay - early.until_day));
  // The late share is of the birds that entered the stage: they multiply, they do not add.
  return 1 - (1 - early.plan) * (1 - late.plan * through);
}

export type LossAlarm = {
  readonly placed: number;
  readonly lost: number;
  readonly expected: number;
  /** Chance of as many losses or more if the plan's rate held: exact binomial. */
  readonly chance: number;
  readonly verdict: 'fine' | 'watch' | 'act';
};

/**
 * Losses of a group against the planning rate for its age, by the exact binomial upper tail.
 *
 * @throws RangeError if more are lost than were placed, or none were placed.
 */
export function lossAlarm(
  kind: BirdKind,
  ageDays: number,
  placed: number,
  lost: number,
): LossAlarm {
  if (placed < 1 || lost < 0 || lost > placed)
    throw new RangeError(`losses of ${lost} out of ${placed} birds placed`);
  const rate = plannedLoss(kind, ageDays);
  const chance = lost === 0 ? 1 : rate === 0 ? 0 : 1 - binomialCdf(lost - 1, placed, rate);
  const { act, watch } = growing.alarm;
  return {
    placed,
    lost,
    expected: placed * rate,
    chance,
    verdict: chance < act.value ? 'act' : chance < watch.value ? 'watch' : 'fine',
  };
}

/** Share of birds alive at an age that live to a later one, at the planning rate. */
export function plannedSurvival(kind: BirdKind, fromAge: number, toAge: number): number {
  return (1 - plannedLoss(kind, toAge)) / (1 - plannedLoss(kind, fromAge));
}
