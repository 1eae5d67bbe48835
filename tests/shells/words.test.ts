// What completion offers where a word is one of a list: kinds, topics, --as, --of, --by, --want.
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { commands } from '../../src/commands/index.ts';
import { root } from '../harness/console.ts';
import { answer } from '../support/in-process.ts';

const home = mkdtempSync(join(tmpdir(), 'traybook-words-'));
beforeAll(() =>
  cpSync(join(root, 'examples', 'midseason'), join(home, 'season'), { recursive: true }),
);
afterAll(() => rmSync(home, { recursive: true }));

const offered = async (...typed: string[]): Promise<string[]> => {
  const { stdout } = await answer(join(home, 'season'), ['completion', 'words', '--', ...typed]);
  return stdout.split('\n').flatMap((line) => line.split('\t')[0] || []);
};

test('kinds of sheets, topics, forms, lines, cuts, records and birds', async () => {
  expect(await offered('sheet', '')).toContain('candling');
  expect(await offered('guide', 'first')).toEqual(['first-week']);
  expect(await offered('guide', 'figures', 'du')).toEqual(['duck']);
  expect(await offered('calendar', '--as', '')).toEqual(['ics', 'table']);
  expect(await offered('rates', '--of', '')).toEqual(['dorking', 'harlequin']);
  expect(await offered('review', '--by', 'pe')).toEqual(['pen']);
  expect(await offered('import', 'x.csv', '--as', 'wei')).toEqual(['weighing']);
  expect(await offered('eggs-for', '40', '--want', 'p')).toEqual(['pullets']);
  expect(await offered('import', 'x.csv', '--as', 'ba')).toEqual(['batch']);
  expect(await offered('list', 'sto')).toEqual(['store']);
  expect(await offered('add', 'bi')).toEqual(['bird', 'birds']);
  expect(await offered('list', 'bi')).toEqual(['bird']);
  expect(await offered('add', 'birds', '--ba')).toEqual(['--band', '--bands']);
  expect(await offered('add', 'birds', '--from', 'D')).toEqual(['D1', 'D2']);
  expect(await offered('plan', '--trial', 'm')).toEqual(['males']);
  expect(await offered('check', '--accept', 'too-f')).toEqual(['too-few-males']);
  expect(await offered('completion', 'z')).toEqual(['zsh']);
  expect(await offered('costs', '--f')).toEqual(['--full']);
});

test('every command of the help answers one of the questions, and is named once', async () => {
  const { stdout } = await answer(home, ['--help']);
  for (const { name, summary } of commands)
    expect(stdout.split('\n').filter((line) => line.trim().startsWith(`${name} `))).toEqual([
      expect.stringContaining(summary),
    ]);
  for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  expect(stdout).toContain('--version');
});
