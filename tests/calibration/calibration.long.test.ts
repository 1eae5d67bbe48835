import { describe, expect, test } from 'vitest';
import { binomialAtMost } from '../vectors/textbook/distributions.ts';
import { kinds, play, summed } from './calibrate.ts';
import { right } from './truth.ts';

// A short form of `npm run calibrate`: few seasons, so only what cannot be luck fails.
const SEASONS = 16;
const DRAWS = 300;
const SEED = 77;
/** A right forecast fails less than once in a thousand choices of seed. */
const LUCK = 0.0005;

describe('nine chances in ten are kept', () => {
  test('over farms without records and with a short one', () => {
    const chosen = kinds.filter((kind) =>
      ['one pen, no records', 'three pens, one short season'].includes(kind.name),
    );
    const results = chosen.flatMap((kind, k) => play(kind, right, SEASONS, SEED + 1000 * k, DRAWS));
    const { promised, met, predicted, place } = summed('all', results);
    expect(promised).toBeGreaterThan(1.5 * SEASONS);
    // So few met, or so many, must not be next to impossible.
    expect(predicted).toBeGreaterThanOrEqual(0.9);
    expect(predicted).toBeLessThan(0.92);
    expect(binomialAtMost(met, promised, predicted)).toBeGreaterThan(LUCK);
    // Where the birds fall within what was forecast has mean a half; 0.29 is its scatter by chance.
    expect(Math.abs(place - 0.5)).toBeLessThan((3.5 * 0.29) / Math.sqrt(promised));
  });
});
