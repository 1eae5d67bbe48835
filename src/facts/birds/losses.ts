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

/** Birds that were at risk together from one age in days to another. */
export type Spell = { readonly birds: number; readonly fromAge: number; readonly toAge: number };

export type LossAlarm = {
  readonly lost: number;
  readonly expected: number;
  /** Chance of as many losses or more if the plan's rate held: exact. */
  readonly chance: number;
  readonly verdict: 'fine' | 'watch' | 'act';
};

/**
 * Losses against the planning rate for the ages lived through. Birds that left were at risk only
 * until then, so a group is cut into spells at each leaving; losses of a spell are binomial, and of
 * all together their exact convolution (one spell: the plain binomial upper tail).
 *
 * @throws RangeError if more are lost than there were birds.
 */
export function lossAlarm(kind: BirdKind, spells: readonly Spell[], lost: number): LossAlarm {
  const most = spells.reduce((sum, one) => sum + one.birds, 0);
  if (lost < 0 || lost > most)
    throw new RangeError(`losses of ${lost} out of ${most} birds at risk`);
  let pmf: number[] = [1];
  let expected = 0;
  for (const { birds, fromAge, toAge } of spells) {
    const rate = 1 - plannedSurvival(kind, fromAge, toAge);
    expected += birds * rate;
    pmf = convolved(pmf, binomial(birds, rate), lost);
  }
  const below = pmf.slice(0, lost).reduce((sum, one) => sum + one, 0);
  const chance = lost === 0 ? 1 : Math.max(0, 1 - below);
  const { act, watch } = growing.alarm;
  return {
    lost,
    expected,
    chance,
    verdict: chance < act.value ? 'act' : chance < watch.value ? 'watch' : 'fine',
  };
}

/** Chances of 0 … n of n, each with chance p, by logarithms so that many birds do not vanish. */
function binomial(n: number, p: number): number[] {
  if (p <= 0) return [1];
  let log = n * Math.log1p(-p);
  const odds = Math.log(p) - Math.log1p(-p);
  const pmf = [Math.exp(log)];
  for (let x = 0; x < n; x += 1) {
    log += Math.log((n - x) / (x + 1)) + odds;
    pmf.push(Math.exp(log));
  }
  return pmf;
}

/** The chances of a sum, as far as `most`. */
function convolved(a: readonly number[], b: readonly number[], most: number): number[] {
  const out = Array.from({ length: Math.min(most, a.length + b.length - 2) + 1 }, () => 0);
  for (const [i, one] of a.entries())
    for (let j = 0; j < b.length && i + j < out.length; j += 1) out[i + j]! += one * b[j]!;
  return out;
}

/** Share of birds alive at an age that live to a later one, at the planning rate. */
export function plannedSurvival(kind: BirdKind, fromAge: number, toAge: number): number {
  return (1 - plannedLoss(kind, toAge)) / (1 - plannedLoss(kind, fromAge));
}
