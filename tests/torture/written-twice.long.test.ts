import { test } from 'vitest';
import { expectNothingTwice } from '../support/written-twice.ts';

test('a hundred thousand entries in two clones, retries and merges: each twin is told, and all eggs and birds are accounted for', {
  timeout: 900_000,
}, async () => {
  await expectNothingTwice(100, 1000);
});
