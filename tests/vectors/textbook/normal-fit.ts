/** A normal fitted to chicks counted between openings, and Sheppard's correction: textbook figures. */
import type { TimedCell } from '../../../src/judge/hatch-times.ts';
import { normalUpper } from '../../../src/judge/statistics/normal.ts';

/** Density of a standard normal. */
const normalDensity = (z: number): number => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);

/** P(a < Z <= b), taken in the tail where it is accurate. */
function normalBetween(a: number, b: number): number {
  return a > 0 ? normalUpper(a) - normalUpper(b) : normalUpper(-b) - normalUpper(-a);
}

/** Maximum likelihood of a normal from counts in intervals, by expectation–maximisation. */
function normalFit(
  cells: readonly TimedCell[],
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

/** The interval-censored normal fit; null with fewer than three openings that found chicks. */
export function normalOf(
  cells: readonly TimedCell[],
  { mean, sd }: { mean: number; sd: number | null },
): { mean: number; sd: number } | null {
  const filled = cells.filter((c) => c.count > 0);
  if (filled.length < 3) return null;
  return normalFit(filled, { mean, sd: sd || cells[0]!.to - cells[0]!.from });
}

/** The sd with Sheppard's correction; null for unequal intervals or where it goes negative. */
export function sheppard(cells: readonly TimedCell[], sd: number | null): number | null {
  const width = cells[0]!.to - cells[0]!.from;
  const even = cells.length > 1 && cells.every((c) => Math.abs(c.to - c.from - width) < 1e-9);
  const corrected = sd === null ? 0 : sd * sd - (width * width) / 12;
  return even && corrected > 0 ? Math.sqrt(corrected) : null;
}
