import { test } from 'vitest';
import { expectNothingTwice } from '../support/written-twice.ts';

const SEASONS = 3;
const ENTRIES = 400;

test('two clones, retries and merges: each twin is told, and all eggs and birds are accounted for', {
  timeout: 900_000,
}, async () => {
  await expectNothingTwice(SEASONS, ENTRIES);
});
