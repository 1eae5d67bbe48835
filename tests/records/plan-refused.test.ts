// What `plan --write` does when it cannot end well: nothing is written, and the reason is told.

import { spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { type Folder, newFolder } from '../support/season-folder.ts';

const solver = { before: (): void => {}, spoil: false };

// Files share their modules: this one takes new ones with its own solver, and leaves none of them.
vi.resetModules();
vi.doMock('../../src/planner/solver.ts', async (original) => {
  const real = await original<typeof import('../../src/planner/solver.ts')>();
  return {
    ...real,
    async openSolver(...words: Parameters<typeof real.openSolver>) {
      solver.before();
      const opened = await real.openSolver(...words);
      if (!solver.spoil) return opened;
      return {
        ...opened,
        minimise(...given: Parameters<typeof opened.minimise>) {
          const found = opened.minimise(...given);
          if (!('values' in found)) return found;
          // More eggs than there are, and none of it told: a wrong answer, not a broken one.
          return { ...found, values: found.values.map((value) => 7 * value) };
        },
      };
    },
  };
});
const { answer } = await import('../support/in-process.ts');
afterAll(() => {
  vi.doUnmock('../../src/planner/solver.ts');
  vi.resetModules();
});

const goals = 'goals: [{line: sussex, want: chicks, count: 20, by: 2027-06-01}]\n';
let folder: Folder;
let before: string;
const season = () => readFileSync(join(folder.path, 'season.yaml'), 'utf8');

beforeEach(() => {
  folder = newFolder();
  folder.write('season.yaml', season() + goals);
  before = season();
  solver.before = () => {};
  solver.spoil = false;
});
afterEach(() => folder.remove());

describe('plan --write', () => {
  const write = () => answer(folder.path, ['plan', '--write', '--draws', '200']);

  test('writes where nothing is amiss', async () => {
    expect((await write()).code).toBe(0);
    expect(season()).not.toBe(before);
  });

  test('a solver that stops is told as such, and nothing is written', async () => {
    const { SolverFailure } = await import('../../src/planner/solver.ts');
    solver.before = () => {
      throw new SolverFailure('it stopped: memory access out of bounds');
    };
    const { code, stdout, stderr } = await write();
    expect(code).toBe(1);
    expect(stdout).toBe('');
    expect(stderr).toContain('no plan: the solver failed: it stopped: memory access out of bounds');
    expect(stderr).toContain('nothing was written');
    expect(season()).toBe(before);
    expect(readdirSync(folder.path)).toEqual(['season.yaml']);
  });

  test('a wrong answer of the solver is caught outside it', async () => {
    solver.spoil = true;
    const { code, stdout, stderr } = await write();
    expect(code).toBe(1);
    expect(stdout).toBe('');
    expect(stderr).toContain('no plan: the solver failed: ');
    expect(season()).toBe(before);
  });

  test('a season file that was changed meanwhile is left as it is: exit 4', async () => {
    const changed = `# a word by another hand\n${before}`;
    solver.before = () => writeFileSync(join(folder.path, 'season.yaml'), changed);
    const { code, stdout, stderr } = await write();
    expect(code).toBe(4);
    expect(stdout).toBe('');
    expect(stderr).toContain('season.yaml');
    expect(stderr).toContain('changed');
    expect(season()).toBe(changed);
  });

  test('a plan that is not met is not written: exit 1', async () => {
    folder.write(
      'season.yaml',
      before.replace('count: 20', 'count: 2000').replace('06-01', '04-20'),
    );
    before = season();
    const { code, stdout } = await write();
    expect(code).toBe(1);
    expect(stdout).toContain('The goal cannot be met as asked');
    expect(stdout).toContain('Nothing was written.');
    expect(season()).toBe(before);
  });

  test('a program whose solver is damaged says so', () => {
    const root = new URL('../..', import.meta.url).pathname;
    const place = mkdtempSync(join(tmpdir(), 'traybook-program-'));
    try {
      for (const part of ['bin', 'dist', 'package.json'])
        cpSync(join(root, part), join(place, part), { recursive: true });
      const wasm = join(place, 'dist', 'highs.wasm');
      expect(existsSync(wasm)).toBe(true);
      writeFileSync(wasm, readFileSync(wasm).subarray(0, 1000));
      const ran = spawnSync(
        process.execPath,
        [join(place, 'bin', 'traybook.js'), '--now', '2027-03-20T09:00', 'plan', '--write'],
        { cwd: folder.path, encoding: 'utf8', env: { PATH: process.env.PATH, TZ: 'UTC' } },
      );
      expect(ran.status).toBe(1);
      expect(ran.stderr).toContain('no plan: the solver failed: it could not be loaded');
      expect(season()).toBe(before);
    } finally {
      rmSync(place, { recursive: true, force: true });
    }
  });
});
