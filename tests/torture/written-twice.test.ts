import { expect, test } from 'vitest';
import { writtenTwice } from '../support/written-twice.ts';

const SEASONS = 3;
const ENTRIES = 400;

/** Numbers that look random and are the same in each run (Lehmer, modulus 2^31 - 1). */
function drawer(seed: number): (most: number) => number {
  let state = seed;
  return (most) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % most;
  };
}

test('two clones, retries and merges: each twin is told, and all eggs and birds are accounted for', {
  timeout: 900_000,
}, async () => {
  let twins = 0;
  for (let n = 1; n <= SEASONS; n += 1) {
    const one = await writtenTwice(ENTRIES, drawer(n * 7919));
    expect(one.twins.found, `season ${n}`).toBe(one.twins.due);
    expect(one.eggs.accounted, `season ${n}`).toBe(one.eggs.kept);
    expect(one.birds.accounted, `season ${n}`).toBe(one.birds.placed);
    twins += one.twins.found;
  }
  expect(twins).toBeGreaterThan(SEASONS);
});
