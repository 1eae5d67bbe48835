import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { realDisk } from './disk.ts';

const { makeFolder } = realDisk;

test('a folder is made with those above it, and the highest that was made is told', () => {
  const home = mkdtempSync(join(tmpdir(), 'traybook-disk-'));
  onTestFinished(() => rmSync(home, { recursive: true }));
  expect(makeFolder(join(home, 'a', 'b', 'c'))).toBe(join(home, 'a'));
  expect(existsSync(join(home, 'a', 'b', 'c'))).toBe(true);
  expect(makeFolder(join(home, 'a', 'b', 'd'))).toBe(join(home, 'a', 'b', 'd'));
  expect(makeFolder(join(home, 'a'))).toBeNull();
  writeFileSync(join(home, 'file'), '');
  expect(() => makeFolder(join(home, 'file', 'x'))).toThrow('ENOTDIR');
});

test.runIf(process.platform === 'linux')('where the system makes no folders it is refused', () => {
  expect(() => makeFolder('/proc/traybook/log')).toThrow('ENOENT');
});
