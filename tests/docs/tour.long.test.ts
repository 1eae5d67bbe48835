// The README's tour, pasted line by line into a real shell, with nothing set beside it.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from '../harness/console.ts';
import { isLongRun } from '../support/long.ts';
import { has } from '../support/programs.ts';

const readme = readFileSync(join(root, 'README.md'), 'utf8');
const lines = /<!-- tour -->\s+```sh\n(.*?)```/s.exec(readme)![1]!.trimEnd().split('\n');

test('the tour sets its clock itself, and uses nothing that only some systems have', () => {
  expect(lines.filter((line) => line.startsWith('export TRAYBOOK_NOW='))).toHaveLength(1);
  expect(lines.filter((line) => /\b(sed|grep|date|cat)\b/.test(line))).toEqual([]);
});

const shells = [
  ['bash', ['--norc', '--noprofile']],
  ['zsh', ['--no-rcs']],
] as const;
for (const [shell, words] of shells.slice(0, isLongRun ? 2 : 1))
  test.skipIf(!has(shell))(`the tour runs as it is printed (${shell})`, () => {
    const home = mkdtempSync(join(tmpdir(), 'traybook tour é '));
    try {
      mkdirSync(join(home, 'bin'));
      const shim = join(home, 'bin', 'traybook');
      const log = join(home, 'log');
      writeFileSync(
        shim,
        `#!/bin/sh\n"${process.execPath}" "${join(root, 'bin/traybook.js')}" "$@"\ncode=$?\necho "$code $*" >> "$HOME/log"\nexit $code\n`,
        { mode: 0o755 },
      );
      const { status, stdout, stderr } = spawnSync(shell, [...words, '-s'], {
        cwd: home,
        encoding: 'utf8',
        input: `${lines.join('\n')}\n`,
        env: {
          PATH: `${join(home, 'bin')}:${process.env.PATH}`,
          HOME: home,
          TZ: 'UTC',
          LANG: 'C.UTF-8',
        },
      });
      expect([status, stderr]).toEqual([0, '']);
      const commands = lines.filter((line) => line.startsWith('traybook '));
      expect(readFileSync(log, 'utf8').trimEnd().split('\n')).toEqual(
        commands.map((line) => `0 ${line.slice('traybook '.length)}`),
      );
      expect(stdout).toContain('Saturday 24 April 2027');
      expect(stdout).not.toMatch(/NaN|undefined|Infinity/);
    } finally {
      rmSync(home, { recursive: true });
    }
  });
