// The short form of `npm run torture`: real processes, killed, together, on a full and a read-only disk.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { bundle } from '../../.ci/bundle.mjs';
import { type Bench, fullDisk, killed, readOnly, rewritten, together } from '../torture/runs.ts';

let bench: Bench;
beforeAll(async () => {
  const scratch = mkdtempSync(join(tmpdir(), 'traybook-'));
  const root = join(import.meta.dirname, '../..');
  bench = { root, scratch, appender: await bundle('tests/support/appender.ts', scratch) };
});
afterAll(() => rmSync(bench.scratch, { recursive: true, force: true }));

test('eight processes add at once and no row is lost, torn or doubled', async () => {
  expect(await together(bench, 8, 25)).toContain('200 rows');
}, 120_000);

test('a process killed while it adds loses no acknowledged row and blocks nobody', async () => {
  expect(await killed(bench, 8, Math.random)).toContain('0 lost');
}, 120_000);

test('a full disk refuses, and changes nothing', () => {
  expect(fullDisk(bench)).toMatch(/exit code 4|SKIPPED/);
}, 120_000);

test('the season file on a full disk, or changed by an editor, is rewritten whole or not at all', async () => {
  expect(await rewritten(bench)).toMatch(/refused, unchanged|SKIPPED/);
}, 120_000);

test('what may not be written refuses, and is read all the same', () => {
  expect(readOnly(bench)).toContain('exit code 4');
}, 120_000);
