// `traybook/api` as a script uses it: typed, the same documents as `--json`, and nothing written.
import { execFileSync, spawnSync } from 'node:child_process';
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { documentNames } from '../src/api.ts';
import { exampleNow, root } from './harness/console.ts';
import { isLongRun } from './support/long.ts';

let place: string;
beforeAll(() => {
  place = mkdtempSync(join(tmpdir(), 'traybook-api-'));
  mkdirSync(join(place, 'node_modules'));
  symlinkSync(root, join(place, 'node_modules', 'traybook'), 'junction');
  for (const name of Object.keys(exampleNow))
    cpSync(join(root, 'examples', name), join(place, name), { recursive: true });
});
afterAll(() => rmSync(place, { recursive: true }));

const now = exampleNow.midseason!;
const run = (script: string) => {
  writeFileSync(join(place, 'script.mjs'), script);
  return spawnSync(process.execPath, ['script.mjs'], { cwd: place, encoding: 'utf8' });
};
const open = `import { openSeason, SeasonError } from 'traybook/api';
const season = await openSeason('midseason', { now: '${now}' });`;

/** Words that a document needs; others need none. */
const words: Readonly<Record<string, readonly string[]>> = {
  list: ['hatch'],
  history: ['D1'],
  'eggs-for': ['40', '--want', 'pullets', '--of', 'dorking'],
  plan: ['--draws', '200'],
  forecast: ['--draws', '200'],
};

test('the documents are those of the command line, and no file changes', () => {
  const state = () =>
    readdirSync(join(place, 'midseason'), { recursive: true, encoding: 'utf8' })
      .sort()
      .map((name) => [name, statSync(join(place, 'midseason', name)).mtimeMs]);
  const before = state();
  for (const name of ['today', 'check', 'list', 'rates', 'summary'] as const) {
    const said = (words[name] ?? []).map((word) => JSON.stringify(word));
    const read = run(
      `${open}\nprocess.stdout.write(JSON.stringify(await season.read(${[JSON.stringify(name), ...said].join(', ')})));`,
    );
    expect(read.stderr).toBe('');
    const shown = execFileSync(
      process.execPath,
      [
        join(root, 'bin/traybook.js'),
        '--season',
        join(place, 'midseason'),
        '--now',
        now,
        '--json',
        name,
        ...(words[name] ?? []),
      ],
      { encoding: 'utf8' },
    );
    expect(JSON.parse(read.stdout)).toEqual(JSON.parse(shown));
  }
  expect(state()).toEqual(before);
});

test('what writes is refused, and a folder that cannot be read is told with its faults', () => {
  const asked = run(`${open}
for (const words of [['add', 'eggs'], ['plan', '--write'], ['check', '--accept=x']])
  await season.read(...words).catch((error) => console.log(error instanceof SeasonError, error.exit));
await openSeason('nowhere').catch((error) => console.log(error instanceof SeasonError, error.exit, error.message));`);
  expect(asked.stderr).toBe('');
  expect(asked.stdout.split('\n').slice(0, 3)).toEqual(['true 2', 'true 2', 'true 2']);
  expect(asked.stdout).toMatch(/true 3 .*no season\.yaml/);
});

test('every document has a type', () => {
  const types = readFileSync(join(root, 'dist/api.d.ts'), 'utf8');
  for (const name of documentNames) expect(types).toContain(`readonly "${name}": {`);
});

// The compiler is most of the cost of this file, so it is of the long tests.
const checked = () => {
  writeFileSync(
    join(place, 'script.ts'),
    `import { openSeason } from 'traybook/api';
const season = await openSeason('2027', { now: '2027-03-06' });
const today = await season.read('today');
const titles: readonly string[] = today.tasks.map((task) => task.title);
const count: number | null = today.tasks[0]!.count;
// @ts-expect-error a name that no document has
today.nothing;
// @ts-expect-error no such document
await season.read('add');
export { titles, count };
`,
  );
  writeFileSync(join(place, 'package.json'), '{"type": "module"}');
  const tsc = spawnSync(
    process.execPath,
    [
      join(root, 'node_modules/typescript/bin/tsc'),
      '--noEmit',
      '--strict',
      '--target',
      'es2022',
      '--module',
      'nodenext',
      '--moduleResolution',
      'nodenext',
      '--skipLibCheck',
      'false',
      'script.ts',
    ],
    { cwd: place, encoding: 'utf8' },
  );
  expect(tsc.stdout).toBe('');
  expect(tsc.status).toBe(0);
};
if (isLongRun) test('a script is checked against the types of the documents', checked);
