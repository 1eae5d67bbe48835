import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { commands } from '../../src/commands/index.ts';
import { root } from '../harness/console.ts';
import { has } from '../support/programs.ts';

const page = join(root, 'dist', 'traybook.1');

test.skipIf(!has('groff'))('groff has nothing to say against the manual page', () => {
  const run = spawnSync('groff', ['-man', '-ww', '-Tutf8', page], { encoding: 'utf8' });
  expect(run.stderr).toBe('');
  for (const { name } of commands) expect(run.stdout).toContain(`traybook ${name}`);
});

test('the manual page names every command', () => {
  const text = readFileSync(page, 'utf8').replaceAll('\\-', '-');
  for (const { name } of commands) expect(text).toContain(`.SS traybook ${name}\n`);
});
