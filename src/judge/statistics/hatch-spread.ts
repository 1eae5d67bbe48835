import { normalUpper } from './normal.ts';

export type HatchSpread = {
  n: number;
  mean: number;
  /** `null` for a single chick. */
  sd: number | null;
  p05: number;
  p10: number;
  p25: number;
  p50: number;
  p75: number;
  p90: number;
  p95: number;
  /** Chick-hours spent in the machine up to `takeoff`: by midpoints, and its bounds. */
  waiting: { midpoint: number; minimum: number; maximum: number };
  /** Interval-censored normal fit; `null` with fewer than three openings that found chicks. */
  normal: { mean: number; sd: number } | null;
  /** The sd with Sheppard's correction; `null` for unequal intervals or where it goes negative. */
  sdSheppard: number | null;
};

type HatchCell = { from: number; to: number; count: number };

/** Density of a standard normal. */
export const normalDensity = (z: number): number => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);

/** P(a < Z <= b), taken in the tail where it is accurate. */
export function normalBetween(a: number, b: number): number {
  return a > 0 ? normalUpper(a) - normalUpper(b) : normalUpper(-b) - normalUpper(-a);
}

/** Maximum likelihood of a normal from counts in intervals, by expectation–maximisation. */
function normalFit(
  cells: readonly HatchCell[],
  start: { mean: number; sd: number },
): {
  mean: number;
  sd: number;
} {
  const n = cells.reduce((s, c) => s + c.count, 0);
  let { mean, sd } = start;
  for (let i = 0; i < 5000; i++) {
    let first = 0;
    let second = 0;
    for (const { from, to, count } of cells) {
      const a = (from - mean) / sd;
      const b = (to - mean) / sd;
      const mass = normalBetween(a, b);
      if (mass < 1e-300) {
        // So far out that the nearer edge is as good as the mean.
        const edge = (Math.abs(a) < Math.abs(b) ? a : b) * sd + mean;
        first += count * edge;
        second += count * edge * edge;
        continue;
      }
      const fa = normalDensity(a);
      const fb = normalDensity(b);
      const m1 = (fa - fb) / mass;
      const m2 = 1 + (a * fa - b * fb) / mass;
      first += count * (mean + sd * m1);
      second += count * (mean * mean + 2 * mean * sd * m1 + sd * sd * m2);
    }
    const nextMean = first / n;
    const nextSd = Math.sqrt(Math.max(1e-12, second / n - nextMean * nextMean));
    const moved = Math.abs(nextMean - mean) + Math.abs(nextSd - sd);
    mean = nextMean;
    sd = nextSd;
    if (moved < 1e-10) break;
  }
  return { mean, sd };
}

/**
 * When chicks hatched, from how many each opening found: one found at an opening hatched after the
 * one before (the first: after `start`). Hours in any one clock. Mean and sd (n - 1) from
 * midpoints; percentiles linear within an interval. `null` when no chick was found.
 * Throws RangeError unless openings rise from `start`.
 */
export function hatchSpread(
  start: number,
  openings: readonly number[],
  counts: readonly number[],
  takeoff: number,
): HatchSpread | null {
  const cells: HatchCell[] = openings.map((to, i) => ({
    from: i === 0 ? start : openings[i - 1]!,
    to,
    count: counts[i] ?? 0,
  }));
  if (cells.some((c) => !(c.to > c.from)))
    throw new RangeError('openings must rise from the start');
  const n = cells.reduce((s, c) => s + c.count, 0);
  if (n === 0) return null;
  const middle = (c: HatchCell): number => (c.from + c.to) / 2;
  const mean = cells.reduce((s, c) => s + c.count * middle(c), 0) / n;
  const squares = cells.reduce((s, c) => s + c.count * (middle(c) - mean) ** 2, 0);
  const sd = n > 1 ? Math.sqrt(squares / (n - 1)) : null;
  const percentile = (p: number): number => {
    const wanted = p * n;
    let before = 0;
    for (const c of cells) {
      if (c.count > 0 && before + c.count >= wanted) {
        return c.from + ((c.to - c.from) * (wanted - before)) / c.count;
      }
      before += c.count;
    }
    return cells.at(-1)!.to;
  };
  const waited = (at: (c: HatchCell) => number): number =>
    cells.reduce((s, c) => s + c.count * (takeoff - at(c)), 0);
  const filled = cells.filter((c) => c.count > 0);
  const width = cells[0]!.to - cells[0]!.from;
  const even = cells.length > 1 && cells.every((c) => Math.abs(c.to - c.from - width) < 1e-9);
  const corrected = sd === null ? 0 : sd * sd - (width * width) / 12;
  return {
    n,
    mean,
    sd,
    p05: percentile(0.05),
    p10: percentile(0.1),
    p25: percentile(0.25),
    p50: percentile(0.5),
    p75: percentile(0.75),
    p90: percentile(0.9),
    p95: percentile(0.95),
    waiting: {
      midpoint: waited(middle),
      minimum: waited((c) => c.to),
      maximum: waited((c) => c.from),
    },
    normal:
      filled.length >= 3
        ? normalFit(
            cells.filter((c) => c.count > 0),
            { mean, sd: sd || width },
          )
        : null,
    sdSheppard: even && corrected > 0 ? Math.sqrt(corrected) : null,
  };
}
