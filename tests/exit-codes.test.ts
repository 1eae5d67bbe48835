// The table of exit codes in the README, each code with command lines that end with it, asked of the
// built program; and what is said below it: what ends with 1 to 4 has written nothing. An answer that is
// lost, 5, is in output.long.test.ts; Ctrl-C, 130, is pressed in shells/planning.long.test.ts.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { root } from './harness/console.ts';
import { type Folder, newFolder } from './support/season-folder.ts';

const told = readFileSync(join(root, 'README.md'), 'utf8').matchAll(/^\| (\d+) \|/gm);
const EGGS = ['add', 'eggs', 'north', '--laid', '9', '--kept', '8'];
const GOAL = 'goals: [{line: sussex, want: chicks, count: 900, by: 2027-04-12, confidence: 0.9}]\n';

type Case = { readonly words: readonly string[]; readonly before?: (folder: Folder) => void };
const broken = (folder: Folder) => folder.write('season.yaml', 'season: [\n');
const wanting = (folder: Folder) =>
  folder.write('season.yaml', readFileSync(join(folder.path, 'season.yaml'), 'utf8') + GOAL);

const cases: Readonly<Record<number, readonly Case[]>> = {
  0: [{ words: EGGS }, { words: ['today'] }, { words: ['check'] }, { words: ['--help'] }],
  1: [
    { words: ['check'], before: (folder) => folder.write('log/eggs.csv', 'torn') },
    { words: ['plan', '--write', '--draws', '100'], before: wanting },
  ],
  2: [
    { words: ['ad'] },
    { words: ['today', '--dayz', '2'] },
    { words: ['add'] },
    { words: ['add', '--json'] },
    { words: ['add', 'eggs', 'nort', '--kept', '8'] },
    { words: ['check', '--accept', 'day-off', 'A1'] },
    { words: ['summary', '--html', '--md'] },
    { words: ['plan', '--mend', '--replan'] },
    { words: ['list', 'eggs', '--pen', 'nort'] },
    { words: ['forecast', '--suppose', 'pens.nort.hens=9'] },
    { words: ['forecast', '--by', '2027-05-01'] },
  ],
  3: [
    { words: EGGS, before: broken },
    { words: ['today'], before: broken },
    { words: ['plan', '--write'], before: broken },
    { words: ['check'], before: broken },
    { words: ['--season', 'nowhere', 'today'] },
  ],
  4: [{ words: ['export', 'season.yaml'] }, { words: ['new', 'season.yaml/2028'] }],
};

let folder: Folder;
beforeEach(() => {
  folder = newFolder();
});
afterEach(() => folder.remove());

const files = (): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder.path, { recursive: true, withFileTypes: true })
      .filter((one) => one.isFile())
      .map(({ parentPath, name }) => join(parentPath, name))
      .map((path) => [path, readFileSync(path, 'utf8')]),
  );

test.each(
  Object.entries(cases).flatMap(([code, some]) =>
    some.map((one) => [Number(code), one.words.join(' '), one] as const),
  ),
)('%i: %s', (code, _, { words, before }) => {
  before?.(folder);
  const was = files();
  const ran = folder.run(...words);
  expect([ran.code, ran.stderr]).toEqual([
    code,
    expect.not.stringContaining('fault of the program'),
  ]);
  if (code > 0) expect(files()).toEqual(was);
});

test('the README tells these codes and no other', () => {
  expect([...told].map(([, code]) => Number(code))).toEqual([...Object.keys(cases).map(Number), 5]);
});
