import { describe, expect, it } from 'vitest';
import { expectedGain, gainOf, type Ranking } from './merit.ts';

const ranking = (index: Record<string, number>, reliability: number): Ranking => ({
  traits: [],
  merits: new Map(Object.entries(index).map(([id, value]) => [id, { index: value, reliability }])),
  spread: 1,
});

describe('gain', () => {
  it('is intensity × accuracy × spread, halved where one sex is not chosen', () => {
    // Best of ten: 1.5388 (exact order statistic).
    const males = { candidates: 10, kept: 1, accuracy: 0.5 };
    expect(expectedGain(males, { candidates: 5, kept: 5, accuracy: 1 }, 2)).toBeCloseTo(
      (1.53875273 * 0.5 * 2) / 2,
      6,
    );
  });
  it('widens with doubt, and counts a male named for each hen once', () => {
    const index = { m: 1, n: -1, h: 0.5, i: -0.5 };
    const all = { males: ['m', 'n'], hens: ['h', 'i'] };
    const of = (reliability: number, males: readonly string[]) =>
      gainOf([ranking(index, reliability)], all, { males, hens: ['h'] })!;
    expect(of(1, ['m'])).toEqual({ estimate: 0.75, low: 0.75, high: 0.75 });
    expect(of(0.2, ['m']).low).toBeLessThan(of(0.8, ['m']).low);
    expect(of(0.5, ['m', 'm', 'm']).low).toBeCloseTo(of(0.5, ['m']).low, 12);
  });
});
