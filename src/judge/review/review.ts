import type { Season } from '../../season/model.ts';
import type { RateName } from '../norms.ts';
import {
  exactLimits,
  exactSignals,
  laneyChart,
  THREE_SIGMA_TAIL,
} from '../statistics/control-chart.ts';
import { fisher2x2 } from '../statistics/exact.ts';
import { heterogeneity } from '../statistics/heterogeneity.ts';
import { holm } from '../statistics/holm.ts';
import { type Comparison, comparisonsOf } from './comparisons.ts';
import { cuts, differenceOf, type GroupRates, groupsOf, pool } from './groups.ts';
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
  /** Exact binomial limits, in counts: a count below `lower` or above `upper` is a signal. */
  lower: number;
  upper: number;
  signal: 'high' | 'low' | null;
};

export type ControlChart = {
  rate: RateName;
  pooled: number;
  points: ChartPoint[];
  /** Scatter of sets against chance; well above 1 the exact limits cry wolf, so read these too. */
  scatter: number | null;
  /** Sets outside Laney's wider limits, which allow for the usual scatter between sets. */
  beyondScatter: string[];
};

export type AgainstPrevious = {
  season: string;
  rate: RateName;
  now: { x: number; n: number };
  before: { x: number; n: number };
  difference: number;
  low: number;
  high: number;
  p: number | null;
  p_adjusted: number | null;
};

export type LossLineOf = ShareLoss & { advice: { aim: number; next: number } | null };

export type Review = {
  groups: GroupRates[];
  tests: Comparison[];
  /** Differences of each rate between pens, against the first pen. */
  differences: {
    rate: RateName;
    a: string;
    b: string;
    difference: number;
    low: number;
    high: number;
  }[];
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
  'Early, middle, late and pipped are shares of fertile eggs (corrected where known, else apparent): an infertile egg cannot die. Unopened quits count as early in the first half of the term, as middle later; unopened whole shells as late.',
  "What happens in the hatcher counts once a share had its final opening. Intervals are 95 %: Wilson's, of counts taken down by the scatter of sets.",
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
  const bySet = new Map<string, ShareOutcome[]>();
  for (const one of outcomes) bySet.set(one.set, [...(bySet.get(one.set) ?? []), one]);
  const points = [...bySet].flatMap(([set, list]) => {
    const { x, n } = pool(list.map((o) => o.rates[rate]));
    return n > 0 ? [{ set, x: Math.round(x), n: Math.round(n) }] : [];
  });
  if (points.length < 2) return null;
  const pooled = points.reduce((s, p) => s + p.x, 0) / points.reduce((s, p) => s + p.n, 0);
  const limits = exactLimits(
    points.map((p) => p.n),
    pooled,
    THREE_SIGMA_TAIL,
  );
  const signals = exactSignals(
    points.map((p) => p.x),
    limits,
  );
  const laney = laneyChart(points);
  return {
    rate,
    pooled,
    scatter: heterogeneity(points).varianceRatio,
    beyondScatter: [...laney.signals.high, ...laney.signals.low].map((i) => points[i - 1]!.set),
    points: points.map((p, i) => ({
      ...p,
      share: p.x / p.n,
      lower: limits.lower[i]!,
      upper: limits.upper[i]!,
      signal: signals.high.includes(i + 1) ? 'high' : signals.low.includes(i + 1) ? 'low' : null,
    })),
  };
}

/** What a season's counts say; `previous` are earlier seasons, to compare with. */
export function reviewOf(season: Season, previous: readonly Season[] = []): Review {
  const outcomes = outcomesOf(season);
  const groups = cuts.flatMap((cut) => groupsOf(season, outcomes, cut));
  const readings = readingsOf(season);
  const whole = groups.find((g) => g.by === 'season')!;
  const pens = groups.filter((g) => g.by === 'pen');
  const against = previous.flatMap((old) => {
    const then = groupsOf(old, outcomesOf(old), 'season')[0]!;
    return compared.flatMap((rate): AgainstPrevious[] => {
      const a = whole.rates[rate];
      const b = then.rates[rate];
      const d = differenceOf(a, b);
      if (!d || !a || !b) return [];
      const cell = (x: number): number => Math.round(x);
      const table = [
        [cell(a.x), cell(a.n) - cell(a.x)],
        [cell(b.x), cell(b.n) - cell(b.x)],
      ];
      return [
        {
          season: String(old.values.season),
          rate,
          now: { x: a.x, n: a.n },
          before: { x: b.x, n: b.n },
          ...d,
          p: fisher2x2(table).twoSided,
          p_adjusted: null,
        },
      ];
    });
  });
  const adjusted = holm(against.map((a) => a.p));
  const rhOf = (set: string): number | null => {
    const setter = season.sets.get(set)?.shares[0]?.trays[0]?.setter;
    return readings.find((m) => m.machine === setter)?.humidity?.mean ?? null;
  };
  return {
    groups,
    tests: comparisonsOf(season, outcomes),
    differences: (['fertile_apparent', 'hatch_of_fertile', 'hatch_of_set'] as const).flatMap(
      (rate) =>
        pens.slice(1).flatMap((pen) => {
          const d = differenceOf(pen.rates[rate], pens[0]!.rates[rate]);
          return d ? [{ rate, a: pen.key, b: pens[0]!.key, ...d }] : [];
        }),
    ),
    losses: lossesOf(season).map((l) => ({ ...l, advice: humidityAdvice(l, rhOf(l.set)) })),
    timing: timingOf(season),
    readings,
    charts: (['fertile_apparent', 'hatch_of_fertile', 'hatch_of_set'] as const).flatMap(
      (rate) => chartOf(outcomes, rate) ?? [],
    ),
    previous: against.map((a, i) => ({ ...a, p_adjusted: adjusted[i]! })),
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
