// A small share of `npm run diagnose-bench`, of seeds of its own. What is asserted would fail once in a
// thousand choices of seed if the diagnosis were only just as good as it claims to be.
import { describe, expect, it } from 'vitest';
import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { causes } from '../../src/judge/diagnose/finding.ts';
import { comparisonsOf } from '../../src/judge/review/comparisons.ts';
import { reviewOf } from '../../src/judge/review/review.ts';
import type { Season } from '../../src/season/model.ts';
import { binomialAtMost } from '../vectors/textbook/distributions.ts';
import { nothing, scoreSeason, scoreWeeks } from './scores.ts';
import { farms, secondSeason } from './second-opinion.ts';
import { simulated, wellKept } from './simulate.ts';

const LUCK = 0.001;
const SEED = 4_000;

describe('a share of the bench', () => {
  it('finds single faults in full records: what, where and since when', () => {
    const score = nothing();
    causes.forEach((cause, c) => {
      for (const i of [0, 2]) {
        const one = { cause, from: 4 + i };
        scoreSeason(score, simulated(SEED + 10 * c + i, [one], wellKept), [one]);
      }
    });
    const { faulty, likeliest, likeliestTwo, first, wrong, placed, begun } = score;
    expect(faulty).toBe(2 * causes.length);
    expect(binomialAtMost(likeliest, faulty, 0.95)).toBeGreaterThan(LUCK);
    expect(binomialAtMost(likeliestTwo, faulty, 0.98)).toBeGreaterThan(LUCK);
    expect(binomialAtMost(first, faulty, 0.9)).toBeGreaterThan(LUCK);
    expect(binomialAtMost(placed.right, placed.of, 0.95)).toBeGreaterThan(LUCK);
    expect(binomialAtMost(begun.right, begun.of, 0.8)).toBeGreaterThan(LUCK);
    expect(1 - binomialAtMost(wrong - 1, faulty, 0.02)).toBeGreaterThan(LUCK);
  });

  it('tells no clean season to act, though it is asked every week', () => {
    const score = nothing();
    for (let i = 0; i < 4; i++) {
      scoreWeeks(score, simulated(SEED + 500 + i, null, wellKept), null);
      const thin = {
        ...wellKept,
        candling: false,
        breakouts: 'none' as const,
        machines: 2 as const,
      };
      scoreWeeks(score, simulated(SEED + 600 + i, null, thin), null);
      scoreWeeks(score, secondSeason(SEED + 700 + i, farms[4]!, null), null);
    }
    expect(score.clean).toBe(12);
    expect(1 - binomialAtMost(score.cleanActs - 1, score.clean, 0.02)).toBeGreaterThan(LUCK);
  });
});

describe('rows of a log', () => {
  it('may stand in any order', () => {
    const { season, at } = simulated(SEED + 900, [{ cause: 'warm', from: 5 }], {
      ...wellKept,
      breakouts: 'some',
    });
    const turned = at(undefined, (rows) => [...rows].reverse());
    expect(diagnose(turned)).toEqual(diagnose(season));
    const told = (one: Season) => {
      const { groups, charts, readings, timing } = reviewOf(one);
      return { groups, tests: comparisonsOf(one), charts, readings, timing };
    };
    expect(told(turned)).toEqual(told(season));
  });
});
