import type { Season } from '../../season/model.ts';
import { groupedBy } from '../../text/lists.ts';
import { type CountedShare, differenceOf, limitsOfSet } from '../model/counted.ts';
import type { RateName } from '../rate-names.ts';
import { type SeasonSeen, seenOf } from '../seen.ts';
import { cuts, type GroupRates, groupsOf, pool } from './groups.ts';
import { outcomesOf, type ShareOutcome } from './outcome.ts';
import { type MachineReadings, readingsOf } from './readings.ts';
import { type HatchTiming, timingOf } from './timing.ts';
import { humidityAdvice, lossesOf, type ShareLoss } from './weights.ts';

/** A set on the control chart, in the order the sets were set. */
export type ChartPoint = {
  set: string;
  x: number;
  n: number;
  share: number;
  /** Counts that a set of this size may have; one below `lower` or above `upper` is a signal. */
  lower: number;
  upper: number;
  signal: 'high' | 'low' | null;
};

export type ControlChart = {
  rate: RateName;
  pooled: number;
  points: ChartPoint[];
};

export type AgainstPrevious = {
  season: string;
  rate: RateName;
  now: CountedShare;
  before: CountedShare;
  difference: number;
  low: number;
  high: number;
};

export type LossLineOf = ShareLoss & { advice: { aim: number; next: number } | null };

const losses = ['clear', 'early', 'middle', 'late', 'pipped'] as const;

/** What took the most eggs of a season's closed shares. */
export type LargestLoss = { to: (typeof losses)[number]; eggs: number };

export type Review = {
  groups: GroupRates[];
  /** Of the eggs that hatch of set is counted in; null where none was lost. */
  largestLoss: LargestLoss | null;
  losses: LossLineOf[];
  timing: HatchTiming;
  readings: MachineReadings[];
  charts: ControlChart[];
  previous: AgainstPrevious[];
  /** Shares whose counts contradict each other, left out of every rate. */
  leftOut: { set: string; pen: string; why: string }[];
  unaccounted: { set: string; pen: string; eggs: number }[];
  /** Shares still in a machine, and finished ones nobody candled. */
  running: string[];
  notCandled: string[];
  /** Pens candled of whose clears none was opened: they are not in corrected fertility. */
  notOpened: string[];
};

/** How eggs are counted, in words: printed below every review. */
export const countingRules = [
  'Eggs not accounted for are shown, and are in no denominator of what came after they were last seen.',
  'Apparent fertility is (set - clear) / set: an early death looks clear. Fertile, without "apparent", is corrected by clears broken out; a sample is scaled up, also for clears of the same pen in sets where none was opened, and every interval that leans on it widened.',
  'Early, middle, late and pipped are counted of the fertile eggs (corrected where known, else apparent): an infertile egg cannot die. Unopened quits count as early in the first half of the term, as middle later; unopened whole shells as late.',
  'What happens in the hatcher counts once a share had its final opening. Intervals are 95 %, and allow for the scatter of sets.',
] as const;

const compared: readonly RateName[] = [
  'settable',
  'fertile_apparent',
  'fertile',
  'early',
  'middle',
  'late',
  'hatch_of_set',
  'hatch_of_fertile',
];

/** The control chart of one rate over sets; null with fewer than two sets that have it. */
function chartOf(outcomes: readonly ShareOutcome[], rate: RateName): ControlChart | null {
  const points = [...groupedBy(outcomes, (one) => one.set)].flatMap(([set, list]) => {
    const { x, n } = pool(list.map((o) => o.rates[rate]));
    return n > 0 ? [{ set, x: Math.round(x), n: Math.round(n) }] : [];
  });
  if (points.length < 2) return null;
  const all = pool(points);
  const limits = limitsOfSet(rate, points);
  return {
    rate,
    pooled: all.x / all.n,
    points: points.map(({ set, x, n }) => {
      const { lower, upper } = limits(n);
      return {
        set,
        x,
        n,
        share: x / n,
        lower,
        upper,
        signal: x > upper ? 'high' : x < lower ? 'low' : null,
      };
    }),
  };
}

function largestLossOf(outcomes: readonly ShareOutcome[]): LargestLoss | null {
  const closed = outcomes.filter((one) => one.rates.hatch_of_set !== null);
  const eggsOf = (to: LargestLoss['to']): number =>
    to === 'clear'
      ? closed.reduce((sum, one) => sum + one.clears, 0)
      : pool(closed.map((one) => one.rates[to])).x;
  const largest = losses
    .map((to) => ({ to, eggs: eggsOf(to) }))
    .reduce((a, b) => (b.eggs > a.eggs ? b : a));
  return largest.eggs > 0 ? largest : null;
}

/** What a season's counts say; `previous` are earlier seasons, to compare with. */
export function reviewOf(
  season: Season,
  previous: readonly Season[] = [],
  seen: SeasonSeen = seenOf(season),
): Review {
  const outcomes = seen.outcomes();
  const groups = cuts.flatMap((cut) => groupsOf(season, outcomes, cut));
  const readings = readingsOf(season, seen.gauges());
  const whole = groups.find((g) => g.by === 'season')!;
  const against = previous.flatMap((old) => {
    const then = groupsOf(old, outcomesOf(old), 'season')[0]!;
    return compared.flatMap((rate): AgainstPrevious[] => {
      const a = whole.rates[rate];
      const b = then.rates[rate];
      if (!a || !b || a.n === 0 || b.n === 0) return [];
      const season = String(old.values.season);
      return [{ season, rate, now: a, before: b, ...differenceOf(a, b) }];
    });
  });
  const rhOf = (set: string): number | null => {
    const setter = season.sets.get(set)?.shares[0]?.trays[0]?.setter;
    return readings.find((m) => m.machine === setter)?.humidity?.mean ?? null;
  };
  return {
    groups,
    largestLoss: largestLossOf(outcomes),
    losses: lossesOf(season).map((l) => ({ ...l, advice: humidityAdvice(l, rhOf(l.set)) })),
    timing: timingOf(seen),
    readings,
    charts: (['fertile_apparent', 'hatch_of_fertile', 'hatch_of_set'] as const).flatMap(
      (rate) => chartOf(outcomes, rate) ?? [],
    ),
    previous: against,
    leftOut: outcomes.flatMap((o) =>
      o.contradiction === null ? [] : [{ set: o.set, pen: o.pen, why: o.contradiction }],
    ),
    unaccounted: outcomes.flatMap((o) =>
      o.unaccounted > 0 ? [{ set: o.set, pen: o.pen, eggs: o.unaccounted }] : [],
    ),
    running: outcomes.filter((o) => !o.finished).map((o) => `${o.set} ${o.pen}`),
    notCandled: outcomes.filter((o) => o.finished && !o.candled).map((o) => `${o.set} ${o.pen}`),
    notOpened: [
      ...new Set(
        outcomes
          .filter((o) => o.rates.fertile_apparent !== null && o.rates.fertile === null)
          .map((o) => o.pen),
      ),
    ],
  };
}
