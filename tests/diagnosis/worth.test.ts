import { describe, expect, it } from 'vitest';
import { worthOfOpening } from '../../src/judge/diagnose/worth.ts';
import { logistic } from '../../src/judge/model/grid.ts';
import { levelOf, seeds } from '../../src/judge/model/priors.ts';

/** Share of clears that had begun, before any was opened. */
const clear = seeds.levels.looks_clear.value * logistic(levelOf('chicken', 'early').centre);
const begun = clear / (clear + logistic(levelOf('chicken', 'infertile').centre));

describe('opening twenty clears', () => {
  it('is worth what deciding afterwards wins, drawn egg by egg', () => {
    // An independent way: Pólya's urn draws the twenty, and the likelier fault is mended then.
    let state = 12_345;
    const uniform = (): number => {
      state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
      return state / 2 ** 32;
    };
    const a = 2 * begun + 3;
    const b = 2 * (1 - begun) + 3;
    const TRIALS = 40_000;
    let after = 0;
    for (let t = 0; t < TRIALS; t++) {
      let early = a;
      for (let i = 0; i < 20; i++) if (uniform() < early / (a + b + i)) early += 1;
      const share = early / (a + b + 20);
      after += Math.max(share, 1 - share);
    }
    // 0.004 is some four standard errors.
    expect(
      Math.abs(worthOfOpening(3, 3) - (after / TRIALS - Math.max(a, b) / (a + b))),
    ).toBeLessThan(0.004);
  });

  it('is worth nothing once enough were opened, and never less', () => {
    expect(worthOfOpening(0, 400)).toBeCloseTo(0, 6);
    expect(worthOfOpening(400, 0)).toBeCloseTo(0, 6);
    for (const early of [0, 1, 4, 12])
      for (const infertile of [0, 1, 4, 12])
        expect(worthOfOpening(early, infertile)).toBeGreaterThan(-1e-12);
  });
});
