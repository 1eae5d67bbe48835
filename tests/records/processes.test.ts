// Real processes over one season folder: together, and killed at random moments.
import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { withLock } from '../../src/io/lock.ts';
import { bundle } from '../support/bundle.ts';

let folder: string;
let appender: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'traybook-'));
  appender = await bundle('tests/support/appender.ts', folder);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function start(season: string, log: string, first: number, count: number, worker: string) {
  const child = spawn(process.execPath, [appender, season, log, `${first}`, `${count}`, worker]);
  let said = '';
  let complained = '';
  child.stdout.on('data', (data: Buffer) => {
    said += data.toString('utf8');
  });
  child.stderr.on('data', (data: Buffer) => {
    complained += data.toString('utf8');
  });
  const ended = new Promise<{ acknowledged: string[]; complained: string }>((done) => {
    child.on('close', () => done({ acknowledged: said.split('\n').slice(0, -1), complained }));
  });
  return { child, ended };
}

const rowsOf = (path: string) => readFileSync(path, 'utf8').split('\n');

test('eight processes add at once and no row is lost, torn or doubled', async () => {
  const season = mkdtempSync(join(folder, 'many-'));
  const runs = Array.from({ length: 8 }, (_, worker) =>
    start(season, 'a.csv', 0, 25, `w${worker}`),
  );
  const results = await Promise.all(runs.map(({ ended }) => ended));
  expect(results.map(({ complained }) => complained).join('')).toBe('');
  const [header, ...rows] = rowsOf(join(season, 'a.csv'));
  expect(header).toBe('worker,n,filler');
  expect(rows.pop()).toBe('');
  expect(rows).toHaveLength(200);
  expect(rows.sort()).toEqual(results.flatMap(({ acknowledged }) => acknowledged).sort());
  expect(readdirSync(season)).toEqual(['a.csv']);
}, 120_000);

test('a process killed while it adds loses no acknowledged row and blocks nobody', async () => {
  const season = mkdtempSync(join(folder, 'killed-'));
  const acknowledged: string[] = [];
  for (let round = 0; round < 12; round += 1) {
    const { child, ended } = start(season, 'a.csv', 0, 100_000, `k${round}`);
    await new Promise((first) => child.stdout.once('data', first));
    await pause(Math.random() * 40);
    child.kill('SIGKILL');
    acknowledged.push(...(await ended).acknowledged);
    // Refuses, and so fails, if the dead process's lock is not taken over within two seconds.
    await withLock(season, () => undefined, { waitMs: 1900 });
  }
  const rows = new Set(rowsOf(join(season, 'a.csv')));
  expect(acknowledged.filter((row) => !rows.has(row))).toEqual([]);
  expect(readdirSync(season).filter((name) => name.startsWith('.traybook'))).toEqual([]);
}, 120_000);
