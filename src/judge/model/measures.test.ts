import { describe, expect, it } from 'vitest';
import { logSum } from './grid.ts';
import { axes, spreadTable } from './measures.ts';
import { seeds } from './priors.ts';

/** Mean of the log spread that a table alone makes likely, within three standard deviations of a farm's. */
function meanSpread(cells: Parameters<typeof spreadTable>[0]): number {
  const { length, first, step } = axes.spread;
  const own = spreadTable(cells).slice(0, length);
  const sd = seeds.measures.spread.level_sd;
  const logs = own.map((log, i) => log - 0.5 * ((first + i * step) / sd) ** 2);
  const total = logSum(logs);
  return logs.reduce((sum, log, i) => sum + Math.exp(log - total) * (first + i * step), 0);
}

describe('the spread of a hatch', () => {
  it('is not called wide because the first look came late and found most of the chicks', () => {
    // Hours from expectation: most found at the first look, three days after transfer; the rest at the next.
    const late = [
      { from: -75, to: 2, count: 25 },
      { from: 2, to: 15, count: 8 },
    ];
    expect(Math.abs(meanSpread(late))).toBeLessThan(0.15);
  });

  it('is told by looks that come often', () => {
    const often = (counts: readonly number[]) =>
      counts.map((count, i) => ({ from: -40 + 8 * i, to: -32 + 8 * i, count }));
    expect(meanSpread(often([0, 0, 0, 1, 14, 14, 1, 0, 0, 0]))).toBeLessThan(-0.1);
    expect(meanSpread(often([2, 3, 3, 4, 4, 4, 4, 3, 3, 2]))).toBeGreaterThan(0.4);
  });
});
