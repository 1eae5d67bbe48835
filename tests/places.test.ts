// Where the program looks for a season, and which moment it takes.
import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { root } from './harness/console.ts';
import { SEASON } from './support/season-folder.ts';

let farm: string;
beforeAll(() => {
  farm = mkdtempSync(join(tmpdir(), 'traybook places é '));
  for (const year of ['2026', '2027']) {
    mkdirSync(join(farm, 'seasons', year), { recursive: true });
    writeFileSync(join(farm, 'seasons', year, 'season.yaml'), SEASON.replace('2027', year));
  }
  mkdirSync(join(farm, 'seasons', '2026', 'notes'));
  mkdirSync(join(farm, 'empty'));
});
afterAll(() => rmSync(farm, { recursive: true }));

const run = (cwd: string, words: string[], env: Record<string, string> = {}) => {
  const { PATH = '', HOME = '' } = process.env;
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [join(root, 'bin', 'traybook.js'), ...words],
    { cwd: join(farm, cwd), encoding: 'utf8', env: { PATH, HOME, TZ: 'UTC', ...env } },
  );
  return { status, stdout, stderr };
};
const season = (cwd: string, env: Record<string, string> = {}, words: string[] = []) => {
  const { stdout, stderr } = run(cwd, [...words, 'summary', '--json'], env);
  return stderr === '' ? String(JSON.parse(stdout).season) : stderr + stdout;
};

test('the folder named, then the variable, then above, then the newest below', () => {
  expect(season('seasons/2026')).toBe('2026');
  expect(season('seasons/2026/notes')).toBe('2026');
  expect(season('seasons')).toBe('2027');
  expect(season('.')).toBe('2027');
  expect(season('.', { TRAYBOOK_SEASON: 'seasons/2026' })).toBe('2026');
  expect(season('.', { TRAYBOOK_SEASON: '' })).toBe('2027');
  expect(season('.', { TRAYBOOK_SEASON: 'seasons/2026' }, ['--season', 'seasons/2027'])).toBe(
    '2027',
  );
  const none = run('empty', ['today']);
  expect([none.status, none.stdout]).toEqual([3, '']);
  expect(none.stderr).toContain('no season.yaml in this folder, above it or below it');
});

test('the moment said, then the variable', () => {
  const date = (words: string[], env: Record<string, string>) =>
    JSON.parse(run('.', [...words, '--json', 'today'], env).stdout).date;
  expect(date([], { TRAYBOOK_NOW: '2027-03-06T07:00' })).toBe('2027-03-06');
  expect(date(['--now', '2027-04-01'], { TRAYBOOK_NOW: '2027-03-06T07:00' })).toBe('2027-04-01');
  const wrong = run('.', ['today'], { TRAYBOOK_NOW: 'soon' });
  expect([wrong.status, wrong.stdout]).toEqual([2, '']);
  expect(wrong.stderr).toContain('--now or TRAYBOOK_NOW: expected a day, a minute or an instant');
});

test('the program alone, with a folder, says what can be done there', () => {
  expect(run('empty', []).stdout).toContain('traybook new --example trial');
  expect(run('empty', ['--season', join(farm, 'seasons/2027')]).stdout).toContain(
    'usage: traybook',
  );
});

test('the example seasons are those that ship, and each opens at its moment', () => {
  const made = run('empty', ['new', '--example', 'trial']);
  expect([made.status, made.stderr]).toEqual([0, '']);
  const moments = JSON.parse(readFileSync(join(root, 'examples/now.json'), 'utf8'));
  expect(Object.keys(moments).sort()).toEqual(['finished', 'midseason']);
  for (const [name, moment] of Object.entries(moments)) {
    const line = `traybook --season trial/${name} --now ${moment} today`;
    expect(made.stdout).toContain(line);
    const looked = run('empty', line.split(' ').slice(1));
    expect([looked.status, looked.stderr]).toEqual([0, '']);
    // The line for editors comes before.
    expect(readFileSync(join(farm, 'empty/trial', name, 'season.yaml'), 'utf8')).toBe(
      `# yaml-language-server: $schema=.traybook/season.schema.json\n${readFileSync(join(root, 'examples', name, 'season.yaml'), 'utf8')}`,
    );
  }
  expect(run('empty', ['new', '--example', 'trial']).status).toBe(4);
  expect(run('empty', ['new', '--example', 'other', '--year', '2027']).status).toBe(2);
});

test('what has no JSON says so', () => {
  for (const words of [['guide'], ['sheet', 'day'], ['completion', 'bash']]) {
    const refused = run('seasons', ['--json', ...words]);
    expect([refused.status, refused.stdout]).toEqual([2, '']);
    expect(refused.stderr).toContain('has no --json');
  }
});
