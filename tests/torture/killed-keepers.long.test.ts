// TRAYBOOK_KILLS=1000 npm run test:all -- --mode all tests/torture/killed-keepers.long.test.ts
import { expect, test } from 'vitest';
import { drawer } from '../support/written-twice.ts';
import { killedKeepers } from './killed-keepers.ts';

const KILLS = Number(process.env.TRAYBOOK_KILLS ?? 12);

test('writers killed at any moment, tried again, two clones merged: each fact stands once, each twin is told', {
  timeout: 60_000 + KILLS * 10_000,
}, async () => {
  const one = await killedKeepers(KILLS, drawer(4711));
  console.log(`${one.kills} kills, ${one.told} of them after the write`);
  for (const pair of [one.rows, one.twins, one.eggs]) expect(pair[0]).toBe(pair[1]);
});
