// The short form of what `npm run torture` does to a folder.
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { damaged, damagedForReal } from '../torture/damage.ts';

const ROOT = join(import.meta.dirname, '../..');

test('random damage is told in faults of the catalogue, and no figure is drawn from it', async () => {
  const runs = Number(process.env.TRAYBOOK_RUNS ?? 100);
  expect(await damaged(runs, Date.now() % 2 ** 31)).toMatch(/refused with exit code 3/);
}, 600_000);

test('the built program answers the same, and ends by itself', async () => {
  // A wide limit here, where other tests share the machine; the torture has the promised one.
  expect(await damagedForReal(ROOT, 5, Date.now() % 2 ** 31)).toMatch(/times the processor time/);
}, 300_000);
