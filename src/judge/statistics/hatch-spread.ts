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
};

type HatchCell = { from: number; to: number; count: number };

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
  };
}
