// Two clones of a season. The program that writes is killed at any moment, and whoever typed tries
// again, not knowing whether it was written; now and then git merges the two. What was typed is known
// here, so what must stand in the books is known too.
import { execFileSync, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import gitattributes from '../../seeds/starter/gitattributes';
import gitignore from '../../seeds/starter/gitignore';
import { twinsOf } from '../../src/facts/checks/twins.ts';
import { readSeasonFolder } from '../../src/io/season-folder.ts';
import { kindOf, recordNames } from '../../src/records/index.ts';
import { headerOf } from '../../src/records/record.ts';
import { addDays, type Day } from '../../src/text/day.ts';
import { root } from '../harness/console.ts';
import { SEASON } from '../support/season-folder.ts';

const PROGRAM = join(root, 'bin', 'traybook.js');
const FIRST_DAY = '2027-01-20' as Day;
/** Milliseconds within which a run may be killed: it starts, reads, waits, writes and answers in them. */
const WITHIN = 400;

/** What came of it; all pairs must be equal. */
export type KilledKeepers = {
  readonly kills: number;
  /** Retries that were told the fact stands already: kills after the write. */
  readonly told: number;
  readonly rows: readonly [found: number, due: number];
  readonly twins: readonly [found: number, due: number];
  readonly eggs: readonly [kept: number, accounted: number];
};

const git = (folder: string, ...words: string[]): string =>
  execFileSync('git', ['-c', 'user.name=Ane', '-c', 'user.email=ane@example.org', ...words], {
    cwd: folder,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
  });

/** Runs the program; kills it after so many milliseconds, or lets it end. */
function run(folder: string, words: readonly string[], killAfter: number | null) {
  return new Promise<{ code: number | null; said: string }>((done) => {
    const child = spawn(process.execPath, [PROGRAM, '--now', '2027-12-01T09:00', ...words], {
      cwd: folder,
      env: { PATH: process.env.PATH, TZ: 'UTC', NO_COLOR: '1', TRAYBOOK_BY: 'Ane' },
    });
    let said = '';
    child.stdout.on('data', (data) => {
      said += data;
    });
    child.stderr.on('data', (data) => {
      said += data;
    });
    const timer = killAfter === null ? null : setTimeout(() => child.kill('SIGKILL'), killAfter);
    child.on('close', (code) => {
      if (timer !== null) clearTimeout(timer);
      done({ code, said });
    });
  });
}

/** Types so many facts, each killed once and tried again. `below` draws a whole number below another. */
export async function killedKeepers(
  facts: number,
  below: (most: number) => number,
): Promise<KilledKeepers> {
  const home = mkdtempSync(join(tmpdir(), 'traybook-killed-'));
  try {
    const clones = [join(home, 'ane'), join(home, 'bob')] as const;
    mkdirSync(join(clones[0], 'log'), { recursive: true });
    writeFileSync(join(clones[0], 'season.yaml'), SEASON);
    writeFileSync(join(clones[0], '.gitattributes'), gitattributes);
    writeFileSync(join(clones[0], '.gitignore'), gitignore);
    for (const name of recordNames)
      writeFileSync(
        join(clones[0], 'log', kindOf(name).file),
        `${headerOf(kindOf(name)).join(',')}\n`,
      );
    git(clones[0], 'init', '-q', '-b', 'main');
    git(clones[0], 'add', '.');
    git(clones[0], 'commit', '-qm', 'begin');
    git(home, 'clone', '-q', clones[0], clones[1]);
    let told = 0;
    /** Rows that there must be, and those of them that another says already. */
    let rows = 0;
    let twins = 0;
    for (let n = 0; n < facts; n += 1) {
      const clone = clones[below(2)]!;
      const pen = below(2) ? 'north' : 'south';
      const on = addDays(FIRST_DAY, n);
      const words =
        below(4) === 0
          ? ['add', 'eggs-out', pen, '--eggs', '1', '--way', 'eaten', '--on', on]
          : ['add', 'eggs', pen, '--laid', '9', '--kept', String(1 + below(8)), '--on', on];
      const killed = await run(clone, words, below(WITHIN));
      const again = await run(clone, words, null);
      rows += 1;
      if (again.code === 2 && /stands twice/.test(again.said)) told += 1;
      else if (again.code !== 0) throw new Error(`${words.join(' ')}: ${again.said}`);
      else if (killed.code === 0) throw new Error(`${words.join(' ')}: written twice`);
      if (below(5) === 0) {
        // It happened a second time, and somebody says so.
        const more = await run(clone, [...words, '--again'], null);
        if (more.code !== 0) throw new Error(more.said);
        rows += 1;
      } else if (below(4) === 0) {
        // The other writes the same evening down in the other clone, where it is not known yet.
        const other = clones.find((one) => one !== clone)!;
        const same = await run(other, words, null);
        if (same.code !== 0) throw new Error(same.said);
        rows += 1;
        twins += 1;
      }
      if (below(4) === 0 || n === facts - 1) merge(clones);
    }
    const read = await readSeasonFolder(clones[1]);
    if (read.season === null) throw new Error(JSON.stringify(read.faults.slice(0, 3)));
    const { lots, eggsOut, rows: all } = read.season;
    const sum = (numbers: readonly number[]) => numbers.reduce((total, one) => total + one, 0);
    const left = readdirSync(clones[1]).filter((name) => /torn|lock/.test(name));
    if (left.length > 1) throw new Error(`left over: ${left.join(', ')}`);
    return {
      kills: facts,
      told,
      rows: [all.eggs.length + all['eggs-out'].length, rows],
      twins: [twinsOf(read.season).length, twins],
      eggs: [
        sum(all.eggs.map((row) => row.values.kept)),
        sum(lots.map((lot) => lot.left)) +
          sum(eggsOut.map((one) => one.row.values.eggs - one.notKept)),
      ],
    };
  } finally {
    rmSync(home, { recursive: true, force: true });
  }
}

/** Both take the other's rows; git joins the logs by lines. */
function merge([one, other]: readonly [string, string]): void {
  for (const clone of [one, other]) {
    git(clone, 'add', '.');
    git(clone, 'commit', '-qm', 'evening', '--allow-empty');
  }
  git(other, 'pull', '-q', '--no-rebase', '--no-edit', one, 'main');
  git(one, 'pull', '-q', '--no-rebase', '--no-edit', other, 'main');
}
