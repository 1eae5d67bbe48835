// What the program writes where no terminal is: a file, a pipe whose reader leaves, a full disk.
import { spawn, spawnSync } from 'node:child_process';
import { closeSync, existsSync, mkdtempSync, openSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { root } from './harness/console.ts';
import { newFolder } from './support/season-folder.ts';

const words = [
  join(root, 'bin', 'traybook.js'),
  ...['--season', join(root, 'examples', 'finished'), '--now', '2026-11-30T08:00'],
  ...['--json', 'review'],
];

test('a file and a pipe get the same, to the last byte', () => {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-output-'));
  const file = openSync(join(folder, 'out'), 'w');
  expect(spawnSync(process.execPath, words, { stdio: ['ignore', file, 'pipe'] }).status).toBe(0);
  closeSync(file);
  const piped = spawnSync(process.execPath, words, { encoding: 'utf8' }).stdout;
  expect(piped.length).toBeGreaterThan(100_000);
  expect(readFileSync(join(folder, 'out'), 'utf8')).toBe(piped);
  rmSync(folder, { recursive: true });
});

test('a reader that leaves early is no fault', async () => {
  const child = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  child.stderr.on('data', (text) => {
    said += text;
  });
  child.stdout.once('data', () => child.stdout.destroy());
  const code = await new Promise((done) => child.once('close', done));
  expect([code, said]).toEqual([0, '']);
});

test.runIf(existsSync('/dev/full'))(
  'a full disk is told in a sentence, and by the exit code',
  () => {
    const full = openSync('/dev/full', 'w');
    const { status, stderr } = spawnSync(process.execPath, words, {
      stdio: ['ignore', full, 'pipe'],
      encoding: 'utf8',
    });
    closeSync(full);
    expect(status).toBe(4);
    expect(stderr).toBe(
      'the answer could not be written: ENOSPC: no space left on device, write\n',
    );
  },
);

test.runIf(existsSync('/dev/full'))(
  'a row that is written stays written though the answer is lost, and the exit code says so',
  () => {
    const folder = newFolder();
    const full = openSync('/dev/full', 'w');
    const run = (...words: string[]) =>
      spawnSync(
        process.execPath,
        [
          join(root, 'bin', 'traybook.js'),
          '--season',
          folder.path,
          '--now',
          '2027-03-14',
          ...words,
        ],
        { stdio: ['ignore', full, 'pipe'], encoding: 'utf8' },
      );
    const added = run('add', 'eggs', 'north', '--laid', '9', '--kept', '8');
    const row = readFileSync(join(folder.path, 'log', 'eggs.csv'), 'utf8').split('\n')[1]!;
    const entry = row.slice(0, row.indexOf(','));
    expect(added.status).toBe(5);
    expect(added.stderr).toContain(`it is recorded, though: eggs.csv ${entry}\n`);
    // Nothing was written: the other code.
    expect(run('list', 'eggs').status).toBe(4);
    closeSync(full);
    folder.remove();
  },
);
