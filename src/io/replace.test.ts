import {
  chmodSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { WriteRefused } from './refusal.ts';
import { replaceFile } from './replace.ts';

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'traybook-'));
  path = join(folder, 'season.yaml');
  writeFileSync(path, 'season: 2027\n');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

test('replaces the whole text, keeps the mode, leaves nothing beside it', async () => {
  chmodSync(path, 0o640);
  await replaceFile(path, 'season: 2028 # é\n', { expectedText: 'season: 2027\n' });
  expect(readFileSync(path, 'utf8')).toBe('season: 2028 # é\n');
  expect(statSync(path).mode & 0o777).toBe(0o640);
  expect(readdirSync(folder)).toEqual(['season.yaml']);
});

test('refuses when the file changed, or went, since it was read', async () => {
  writeFileSync(path, 'season: 2027\n# saved by an editor\n');
  const work = replaceFile(path, 'new', { expectedText: 'season: 2027\n' });
  await expect(work).rejects.toThrow(/changed on disk/);
  await expect(work).rejects.toBeInstanceOf(WriteRefused);
  expect(readFileSync(path, 'utf8')).toBe('season: 2027\n# saved by an editor\n');
  rmSync(path);
  await expect(replaceFile(path, 'new', { expectedText: '' })).rejects.toThrow(
    /removed or renamed/,
  );
  expect(readdirSync(folder)).toEqual([]);
});

test('a byte-order mark put in by an editor counts as a change', async () => {
  writeFileSync(path, '\uFEFFseason: 2027\n');
  await expect(replaceFile(path, 'new', { expectedText: 'season: 2027\n' })).rejects.toThrow(
    /changed/,
  );
});
