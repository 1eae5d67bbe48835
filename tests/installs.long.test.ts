// The package installed as a keeper may: from its file, for all users, from a clone; in folders with
// blanks and accents in their names; under other Nodes.
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { root } from './harness/console.ts';

let place: string;
let tarball: string;
beforeAll(() => {
  place = mkdtempSync(join(tmpdir(), 'traybook où est ça '));
  const told = execFileSync(process.execPath, [join(root, '.ci/pack.mjs'), place], {
    encoding: 'utf8',
  });
  tarball = JSON.parse(told).filename;
});
afterAll(() => rmSync(place, { recursive: true, force: true }));

const npm = (...words: string[]) =>
  spawnSync('npm', [...words, '--no-audit', '--no-fund', '--prefer-offline'], {
    cwd: place,
    encoding: 'utf8',
  });

/** The first commands of a newcomer, in an empty folder. */
function firstSteps(program: readonly string[]): void {
  const folder = mkdtempSync(join(place, 'farm é '));
  const run = (...words: string[]) =>
    spawnSync(program[0]!, [...program.slice(1), ...words], {
      cwd: folder,
      encoding: 'utf8',
      env: { PATH: process.env.PATH, HOME: folder, TZ: 'UTC' },
    });
  for (const words of [
    ['--version'],
    ['new', '--example', 'trial'],
    ['--season', 'trial/midseason', '--now', '2027-04-24T07:00', 'today'],
    ['--season', 'trial/midseason', '--now', '2027-04-24T07:00', 'check'],
  ]) {
    const { status, stderr } = run(...words);
    expect([status, stderr]).toEqual([0, '']);
  }
}

test('from its file, for one folder and for all, without a warning', () => {
  const one = npm('install', '--prefix', join(place, 'one'), tarball);
  expect([one.status, /warn/i.test(one.stdout + one.stderr)]).toEqual([0, false]);
  firstSteps([join(place, 'one/node_modules/.bin/traybook')]);
  // What a command kept beside the installed example stays there.
  const own = join(place, 'one/node_modules/traybook/examples/midseason');
  const run = (cwd: string, ...words: string[]) =>
    spawnSync(join(place, 'one/node_modules/.bin/traybook'), words, { cwd, encoding: 'utf8' });
  expect(run(own, '--now', '2027-04-24T07:00', 'forecast').status).toBe(0);
  expect(existsSync(join(own, '.traybook/forecast.json'))).toBe(true);
  expect(run(place, 'new', 'again', '--example').status).toBe(0);
  expect(readdirSync(join(place, 'again/midseason/.traybook'))).not.toContain('forecast.json');
  const all = npm('install', '--global', '--prefix', join(place, 'all users'), tarball);
  expect([all.status, /warn/i.test(all.stdout + all.stderr)]).toEqual([0, false]);
  firstSteps([join(place, 'all users/bin/traybook')]);
});

test.skipIf(!existsSync(join(root, '.git')))('from a clone (git)', () => {
  const clone = join(place, 'clone');
  execFileSync('git', ['clone', '-q', root, clone]);
  const made = npm(
    'install',
    '--prefix',
    join(place, 'from git'),
    `git+file://${encodeURI(clone)}`,
  );
  expect(made.status, made.stderr).toBe(0);
  firstSteps([join(place, 'from git/node_modules/.bin/traybook')]);
  // As the README has it: `npm ci`, here with what is there already, then `npm install -g .`.
  symlinkSync(join(root, 'node_modules'), join(clone, 'node_modules'));
  const own = npm('install', '--global', '--prefix', join(place, 'own folder'), clone);
  expect(own.status, own.stderr).toBe(0);
  firstSteps([join(place, 'own folder/bin/traybook')]);
});

for (const version of ['22', '24'])
  test(`under Node ${version}`, (context) => {
    const folder = join(place, `node ${version}`);
    mkdirSync(folder, { recursive: true });
    const got = npm('install', '--prefix', folder, `node@${version}`);
    const node = join(folder, 'node_modules/node/bin/node');
    if (got.status !== 0 || !existsSync(node))
      context.skip(`npm does not carry Node ${version} here`);
    expect(execFileSync(node, ['--version'], { encoding: 'utf8' })).toMatch(`v${version}.`);
    firstSteps([node, join(root, 'bin/traybook.js')]);
  });
