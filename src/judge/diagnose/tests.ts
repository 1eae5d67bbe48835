import { pool } from '../review/groups.ts';
import type { Part } from '../review/outcome.ts';
import {
  betaUpper,
  normalQuantile,
  normalUpper,
  studentUpper,
} from '../statistics/distributions.ts';
import { heterogeneity } from '../statistics/heterogeneity.ts';
import { isSeparated, logistic } from '../statistics/logistic.ts';
import { proportion } from '../statistics/proportion.ts';
import { designEffect } from '../statistics/sampled.ts';

export type Side = 'above' | 'below';
export type Clustered = Part & { readonly cluster: string };

export type Level = {
  x: number;
  n: number;
  estimate: number;
  low: number;
  high: number;
  /** How many times chance the clusters scatter, at least 1. */
  scatter: number;
  p: number;
};

function byCluster(parts: readonly Clustered[]): { x: number; n: number; sampled: number }[] {
  const sums = new Map<string, { x: number; n: number; sampled: number }>();
  for (const part of parts) {
    const sum = sums.get(part.cluster) ?? { x: 0, n: 0, sampled: 0 };
    sum.x += part.x;
    sum.n += part.n;
    sum.sampled += part.sampled ?? 0;
    sums.set(part.cluster, sum);
  }
  return [...sums.values()];
}

/**
 * Is a share beyond a limit? Exact binomial tail of the effective counts: eggs of one set share
 * their luck, so counts are divided by Pearson's dispersion between sets where it exceeds 1 (Rao &
 * Scott 1992, Biometrics 48:577), and by no less than what opening only a sample asks for. The interval is Wilson's of the same effective counts.
 * `null` without eggs.
 */
export function levelTest(parts: readonly Clustered[], limit: number, side: Side): Level | null {
  const clusters = byCluster(parts);
  const x = clusters.reduce((s, c) => s + c.x, 0);
  const n = clusters.reduce((s, c) => s + c.n, 0);
  if (n === 0) return null;
  const sampled = clusters.reduce((s, c) => s + c.sampled, 0);
  const scatter = Math.max(
    designEffect({ x, n, sampled }),
    heterogeneity(clusters).varianceRatio ?? 1,
  );
  const ex = x / scatter;
  const en = n / scatter;
  const interval = proportion(ex, en);
  const p =
    side === 'above'
      ? ex <= 0
        ? 1
        : 1 - betaUpper(limit, ex, en - ex + 1)
      : ex >= en
        ? 1
        : betaUpper(limit, ex + 1, en - ex);
  return {
    x,
    n,
    estimate: x / n,
    low: interval.low!,
    high: interval.high!,
    scatter,
    p: Math.max(0, p),
  };
}

/**
 * Eggs needed so that a test at `level` sees a share of `alternative` against `limit` four times
 * out of five (the usual normal formula), widened by the scatter of sets.
 */
export function eggsToTell(
  limit: number,
  alternative: number,
  level: number,
  scatter: number,
): number {
  const a = normalQuantile(1 - level) * Math.sqrt(limit * (1 - limit));
  const b = normalQuantile(0.8) * Math.sqrt(alternative * (1 - alternative));
  return Math.ceil((scatter * (a + b) ** 2) / (alternative - limit) ** 2);
}

export type Slope = {
  /** Change of the logit for one unit of the column. */
  estimate: number;
  se: number;
  df: number;
  /** One-sided p that it is not beyond the limit on the asked side. */
  p: number;
  scatter: number;
};

/**
 * One covariate's slope in a logistic model with the others held, standard errors widened by the
 * dispersion where it exceeds 1 (then with Student's t). The dispersion is the larger of that
 * between shares and that between sets, since the shares of a set have their luck in common. When the columns split all from none,
 * half an egg is added to both outcomes of each row (Haldane 1956; Anscombe 1956). `limit`, from 0,
 * is how steep a slope is still taken as usual. `null` when the
 * covariate does not vary or is determined by the others.
 */
export function slopeTest(
  parts: readonly Clustered[],
  columns: Readonly<Record<string, readonly number[]>>,
  of: string,
  side: Side,
  limit = 0,
): Slope | null {
  if (parts.length < 3) return null;
  const x = parts.map((p) => p.x);
  const n = parts.map((p) => p.n);
  const total = x.reduce((s, v) => s + v, 0);
  if (total === 0 || total >= n.reduce((s, v) => s + v, 0)) return null;
  // The asked column last, so that it is the one dropped when others determine it.
  const { [of]: asked, ...others } = columns;
  if (asked === undefined) return null;
  const ordered = { ...others, [of]: asked };
  let fit = logistic({ x, n, columns: ordered });
  if (isSeparated(fit)) {
    fit = logistic({ x: x.map((v) => v + 0.5), n: n.map((v) => v + 1), columns: ordered });
    if (isSeparated(fit)) return null;
  }
  const c = fit.coefficients[of];
  if (!c || fit.dfResidual < 1) return null;
  const used = parts.filter((part) => part.n > 0);
  const sets = new Map<string, { beyond: number; variance: number }>();
  used.forEach((part, i) => {
    const share = fit.fitted[i]!;
    const set = sets.get(part.cluster) ?? { beyond: 0, variance: 0 };
    set.beyond += part.x - part.n * share;
    set.variance += part.n * share * (1 - share);
    sets.set(part.cluster, set);
  });
  const dfSets = sets.size - Object.keys(fit.coefficients).length;
  const between =
    dfSets > 0
      ? [...sets.values()].reduce((s, v) => s + v.beyond ** 2 / v.variance, 0) / dfSets
      : 1;
  const own = Math.max(designEffect(pool(parts)), fit.dispersion ?? 1);
  const scatter = Math.max(1, own, between);
  const df = between > own ? dfSets : fit.dfResidual;
  const se = c.se * Math.sqrt(scatter);
  const z = ((side === 'above' ? c.estimate : -c.estimate) - limit) / se;
  return {
    estimate: c.estimate,
    se,
    df,
    p: scatter > 1 ? studentUpper(z, df) : normalUpper(z),
    scatter,
  };
}

/** Student's t of a difference of two means that know their own errors, by Welch and Satterthwaite. */
export function welch(
  difference: number,
  a: { se: number; groups: number },
  b: { se: number; groups: number },
): { t: number; df: number } {
  const va = a.se ** 2;
  const vb = b.se ** 2;
  const df = (va + vb) ** 2 / (va ** 2 / (a.groups - 1) + vb ** 2 / (b.groups - 1));
  return { t: difference / Math.sqrt(va + vb), df: Math.max(1, df) };
}

/**
 * One p value from several signs that may hang together: the Cauchy combination (Liu & Xie 2020,
 * J. Am. Stat. Assoc. 115:393), led by the strongest. A sign that speaks against the cause takes
 * nothing back from one that speaks for it: p counts as no more than 1 - 1/k, as its authors treat
 * p = 1. `null` from none.
 */
export function combined(values: readonly (number | null)[]): number | null {
  const known = values.filter((p) => p !== null);
  if (known.length === 0) return null;
  if (known.length === 1) return known[0]!;
  const most = 1 - 1 / known.length;
  const t =
    known.reduce((s, p) => {
      const q = Math.min(most, Math.max(p, 1e-300));
      return s + (q < 1e-8 ? 1 / (q * Math.PI) : Math.tan((0.5 - q) * Math.PI));
    }, 0) / known.length;
  return t > 1e8 ? 1 / (t * Math.PI) : 0.5 - Math.atan(t) / Math.PI;
}

// A sign is worth at most this many standard errors against another: a biased thermometer or
// scale is sure of itself however wrong.
const MOST_SURE = 4;

/**
 * Several instruments asked the same question, weighed by how far each can be trusted (Stouffer;
 * Lipták 1958): what one shows the other may take back. Each z is kept within four standard
 * errors. `null` from none.
 */
export function weighed(signs: readonly { z: number | null; weight: number }[]): number | null {
  const known = signs.filter((s): s is { z: number; weight: number } => s.z !== null);
  if (known.length === 0) return null;
  const top = known.reduce(
    (s, k) => s + k.weight * Math.min(MOST_SURE, Math.max(-MOST_SURE, k.z)),
    0,
  );
  return top / Math.sqrt(known.reduce((s, k) => s + k.weight ** 2, 0));
}

/** A Student statistic as the normal one of the same tail. */
export function asNormal(t: number, df: number): number {
  const p = studentUpper(Math.abs(t), df);
  const z = p < 1e-300 ? 37 : -normalQuantile(p);
  return t < 0 ? -z : z;
}

/** Bonferroni's correction of the best of several places. */
export function ofPlaces(p: number, places: number): number {
  return Math.min(1, p * places);
}
