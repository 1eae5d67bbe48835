import {
  chmodSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { failing, Killed, killedAfter } from '../../tests/support/faulty-disk.ts';
import { type Disk, realDisk } from './disk.ts';
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

test('replaces the whole text, keeps the mode, leaves nothing beside it', () => {
  chmodSync(path, 0o640);
  replaceFile(path, 'season: 2028 # é\n', { expectedText: 'season: 2027\n' });
  expect(readFileSync(path, 'utf8')).toBe('season: 2028 # é\n');
  expect(statSync(path).mode & 0o777).toBe(0o640);
  expect(readdirSync(folder).sort()).toEqual(['.traybook', 'season.yaml']);
  // What was replaced is kept until the next write.
  expect(readFileSync(join(folder, '.traybook/season.yaml.before'), 'utf8')).toBe('season: 2027\n');
  expect(readdirSync(join(folder, '.traybook')).sort()).toEqual([
    '.gitignore',
    'season.yaml.before',
  ]);
});

test('refuses when the file changed, or went, since it was read', () => {
  writeFileSync(path, 'season: 2027\n# saved by an editor\n');
  const work = () => replaceFile(path, 'new', { expectedText: 'season: 2027\n' });
  expect(work).toThrow(/changed on disk/);
  expect(work).toThrow(WriteRefused);
  expect(readFileSync(path, 'utf8')).toBe('season: 2027\n# saved by an editor\n');
  rmSync(path);
  expect(() => replaceFile(path, 'new', { expectedText: '' })).toThrow(/removed or renamed/);
  expect(readdirSync(folder)).toEqual([]);
});

test('a byte-order mark put in by an editor counts as a change', () => {
  writeFileSync(path, '\uFEFFseason: 2027\n');
  expect(() => replaceFile(path, 'new', { expectedText: 'season: 2027\n' })).toThrow(/changed/);
});

const OLD = 'season: 2027\n';
const EDITED = 'season: 2027\n# saved by an editor\n';

/** An editor that saves the file in place, or by a rename, just before one of our calls. */
function saving(call: 'link' | 'rename', how: 'in place' | 'by a rename'): Disk {
  return {
    ...realDisk,
    [call]: (from: string, to: string) => {
      if (how === 'in place') writeFileSync(path, EDITED);
      else {
        writeFileSync(`${path}.editor`, EDITED);
        renameSync(`${path}.editor`, path);
      }
      realDisk[call](from, to);
    },
  };
}

test.each([
  ['link', 'in place'],
  ['link', 'by a rename'],
  ['rename', 'in place'],
] as const)('an editor that saves just before the %s, %s, keeps its text', (call, how) => {
  const disk = saving(call, how);
  expect(() => replaceFile(path, 'season: 2028\n', { expectedText: OLD, disk })).toThrow(/changed/);
  expect(readFileSync(path, 'utf8')).toBe(EDITED);
});

test('a folder that cannot be synced after the rename gets its old text back', () => {
  const disk = failing('syncFolder', 'EIO');
  expect(() => replaceFile(path, 'season: 2028\n', { expectedText: OLD, disk })).toThrow(
    WriteRefused,
  );
  expect(readFileSync(path, 'utf8')).toBe(OLD);
});

test('killed between any two calls, the file holds the old text or the new one', () => {
  for (let calls = 0; ; calls += 1) {
    writeFileSync(path, OLD);
    let done = false;
    try {
      replaceFile(path, 'season: 2028\n', { expectedText: OLD, disk: killedAfter({ calls }) });
      done = true;
    } catch (error) {
      expect(error).toBeInstanceOf(Killed);
    }
    expect([OLD, 'season: 2028\n']).toContain(readFileSync(path, 'utf8'));
    if (done) break;
    expect(readdirSync(folder).sort()).toEqual(expect.arrayContaining(['season.yaml']));
  }
});

test('where the file system has no hard links, a copy is kept', () => {
  const disk = failing('link', 'EPERM');
  replaceFile(path, 'season: 2028\n', { expectedText: OLD, disk });
  expect(readFileSync(path, 'utf8')).toBe('season: 2028\n');
  expect(readFileSync(join(folder, '.traybook/season.yaml.before'), 'utf8')).toBe(OLD);
});

test('a link is kept, and what it leads to replaced', () => {
  const elsewhere = join(folder, 'elsewhere');
  mkdirSync(elsewhere);
  renameSync(path, join(elsewhere, 'season.yaml'));
  symlinkSync(join(elsewhere, 'season.yaml'), path);
  replaceFile(path, 'season: 2028\n', { expectedText: OLD });
  expect(lstatSync(path).isSymbolicLink()).toBe(true);
  expect(readFileSync(join(elsewhere, 'season.yaml'), 'utf8')).toBe('season: 2028\n');
});
