import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { injected, shimInjector, straceInjector } from './injected.ts';

const scratch = realpathSync(mkdtempSync(join(tmpdir(), 'traybook-injected-')));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));
// `npm run torture` puts in two thousand.
const FAULTS = Number(process.env.FAULTS ?? 40);

for (const [injector, needs] of [
  [shimInjector(root, scratch), 'gcc'],
  [straceInjector(), 'strace'],
] as const)
  test.skipIf(injector === null)(
    `faults of the system under every command that writes (${needs})`,
    async () => {
      let state = 1;
      const random = () => {
        // The generator of Park and Miller (1988), minimal standard.
        state = (state * 48_271) % 2_147_483_647;
        return state / 2_147_483_647;
      };
      expect(await injected({ root, scratch }, injector!, FAULTS, random)).toContain(
        'nothing acknowledged lost',
      );
    },
  );
