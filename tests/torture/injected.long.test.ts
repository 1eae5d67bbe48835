import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { buildShim, injected } from './injected.ts';

const scratch = realpathSync(mkdtempSync(join(tmpdir(), 'traybook-injected-')));
const shim = buildShim(root, scratch);
// `npm run torture` puts in two thousand.
const FAULTS = Number(process.env.FAULTS ?? 30);

test.skipIf(shim === null)('faults of the system under every command that writes (gcc)', () => {
  let state = 1;
  const random = () => {
    // The generator of Park and Miller (1988), minimal standard.
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  try {
    expect(injected({ root, scratch, shim: shim! }, FAULTS, random)).toContain(
      'nothing acknowledged lost',
    );
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
});
