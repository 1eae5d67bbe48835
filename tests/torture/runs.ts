// What the record is put through: each run returns its figures, and throws when a promise is broken.
import { type ChildProcess, execFileSync, spawn, spawnSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { appendLine } from '../../src/io/append.ts';
import { realDisk } from '../../src/io/disk.ts';
import { withLock } from '../../src/io/lock.ts';
import { WriteRefused } from '../../src/io/refusal.ts';
import { replaceFile } from '../../src/io/replace.ts';
import { Killed, killedAfter } from '../support/faulty-disk.ts';
import { SEASON } from '../support/season-folder.ts';

/** The project's own folder: the runs start its built program. */
export type Bench = { readonly root: string; readonly scratch: string; readonly appender: string };

export class Broken extends Error {
  override readonly name = 'Broken';
}

function must(holds: boolean, promise: string): asserts holds {
  if (!holds) throw new Broken(promise);
}

const HEADER = 'worker,n,filler';
const rowsOf = (path: string): string[] => readFileSync(path, 'utf8').split('\n').slice(1, -1);

function start(bench: Bench, season: string, count: number, worker: string) {
  const child = spawn(process.execPath, [bench.appender, season, 'a.csv', '0', `${count}`, worker]);
  let said = '';
  child.stdout.on('data', (data: Buffer) => {
    said += data.toString('utf8');
  });
  const ended = new Promise<{ acknowledged: string[]; code: number | null }>((done) => {
    child.on('close', (code) => done({ acknowledged: said.split('\n').slice(0, -1), code }));
  });
  return { child, ended };
}

function folder(bench: Bench): string {
  const path = mkdtempSync(join(bench.scratch, 'season-'));
  writeFileSync(join(path, 'season.yaml'), SEASON);
  return path;
}

/** The append cut after every byte it writes, with a torn line to set aside and without. */
export function cutAtEveryByte(bench: Bench): string {
  const row = 'a,1,"é 🐣, first"';
  let cuts = 0;
  for (const before of [null, `${HEADER}\nb,2,\n`, `${HEADER}\nb,2,\ntorn li`]) {
    for (let bytes = 0; ; bytes += 1) {
      const season = folder(bench);
      const log = join(season, 'a.csv');
      if (before !== null) writeFileSync(log, before);
      let finished = true;
      try {
        appendLine(killedAfter({ bytes }), log, HEADER, row, new Date(0));
      } catch (error) {
        if (!(error instanceof Killed)) throw error;
        finished = false;
      }
      appendLine(realDisk, log, HEADER, 'c,3,', new Date(1000));
      const rows = rowsOf(log);
      must(rows.at(-1) === 'c,3,', 'the append after a cut is clean');
      must(before === null || rows[0] === 'b,2,', 'a row acknowledged before the cut is there');
      must(
        rows.every((one) => ['b,2,', row, 'c,3,'].includes(one)),
        'no torn row is believed',
      );
      must(!finished || rows.includes(row), 'a row acknowledged is there');
      rmSync(season, { recursive: true });
      cuts += 1;
      if (finished) break;
    }
  }
  return `append cut at ${cuts} places: no acknowledged row lost, no torn row believed`;
}

/** Processes that add at once. */
export async function together(bench: Bench, processes: number, each: number): Promise<string> {
  const season = folder(bench);
  const runs = Array.from({ length: processes }, (_, worker) =>
    start(bench, season, each, `w${worker}`),
  );
  const acknowledged = (await Promise.all(runs.map(({ ended }) => ended))).flatMap(
    (one) => one.acknowledged,
  );
  const rows = rowsOf(join(season, 'a.csv'));
  must(acknowledged.length === processes * each, 'every row is acknowledged');
  must(
    rows.length === acknowledged.length && new Set(rows).size === rows.length,
    'every row is there once',
  );
  must(
    acknowledged.every((row) => rows.includes(row)),
    'every acknowledged row is there',
  );
  must(
    !readdirSync(season).some((name) => name.includes('torn') || name.startsWith('.traybook')),
    'nothing is left over',
  );
  return `${processes} processes added ${each} rows each at once: ${rows.length} rows, none lost, torn or doubled`;
}

/** A process killed at a random moment while it adds; then the next one. */
export async function killed(bench: Bench, times: number, random: () => number): Promise<string> {
  const season = folder(bench);
  const acknowledged: string[] = [];
  let slowest = 0;
  let left = 0;
  for (let round = 0; round < times; round += 1) {
    const { child, ended } = start(bench, season, 1_000_000, `k${round}`);
    await new Promise((first) => child.stdout!.once('data', first));
    await pause(random() * 60);
    (child as ChildProcess).kill('SIGKILL');
    acknowledged.push(...(await ended).acknowledged);
    if (readdirSync(season).includes('.traybook.lock')) left += 1;
    const before = performance.now();
    // Refused, and so broken, if the dead process's lock is not taken over within two seconds.
    await withLock(
      season,
      () => appendLine(realDisk, join(season, 'a.csv'), HEADER, `n${round},0,`, new Date()),
      { waitMs: 1900 },
    );
    slowest = Math.max(slowest, performance.now() - before);
    acknowledged.push(`n${round},0,`);
  }
  const rows = rowsOf(join(season, 'a.csv'));
  const known = new Set(rows);
  const lost = acknowledged.filter((row) => !known.has(row)).length;
  must(lost === 0, `no acknowledged row is lost (${lost} were)`);
  must(known.size === rows.length, 'no row is there twice');
  must(
    rows.every((row) => /^[kn]\d+,\d+,x*$/.test(row)),
    'no torn row is believed',
  );
  const torn = readdirSync(season).filter((name) => name.includes('.torn-')).length;
  return `${times} kills at random moments: ${acknowledged.length} acknowledged rows, 0 lost; ${left} locks of dead processes taken over, the slowest in ${Math.round(slowest)} ms; ${torn} torn lines set aside`;
}

type Program = { code: number | null; stderr: string };
function program(bench: Bench, season: string, words: string[], user?: number): Program {
  const { status, stderr } = spawnSync(
    process.execPath,
    [join(bench.root, 'bin/traybook.js'), '--now', '2027-03-01T09:00', ...words],
    {
      cwd: season,
      encoding: 'utf8',
      env: { PATH: process.env.PATH ?? '', TZ: 'UTC', TRAYBOOK_BY: 'Ane' },
      ...(user === undefined ? {} : { uid: user, gid: user }),
    },
  );
  return { code: status, stderr };
}

/** A disk of a few kilobytes, or null where none can be mounted; to be unmounted by whoever asked. */
function smallDisk(bench: Bench): string | null {
  const disk = mkdtempSync(join(bench.scratch, 'small-disk-'));
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=32k', 'tmpfs', disk], { stdio: 'ignore' });
    return disk;
  } catch {
    return null;
  }
}

const NO_DISK = 'SKIPPED, as mounting a small disk needs an administrator on Linux';

/** Fills a disk to its last page. */
function fill(disk: string): void {
  try {
    for (let filler = 0; ; filler += 1)
      writeFileSync(join(disk, `filler-${filler}`), Buffer.alloc(4096));
  } catch {
    // Full.
  }
}

/** The season file rewritten on a full disk, and while an editor saves it: whole or not at all. */
export async function rewritten(bench: Bench): Promise<string> {
  const disk = smallDisk(bench);
  if (disk === null) return `season.yaml on a full disk: ${NO_DISK}`;
  const path = join(disk, 'season.yaml');
  const refusal = async (text: string, expectedText: string): Promise<WriteRefused> => {
    try {
      replaceFile(path, text, { expectedText });
    } catch (error) {
      if (error instanceof WriteRefused) return error;
      throw error;
    }
    throw new Broken('a rewrite that cannot be made is refused');
  };
  try {
    writeFileSync(path, SEASON);
    fill(disk);
    const names = readdirSync(disk).sort();
    const longer = `${SEASON}# ${'x'.repeat(12_000)}\n`;
    const full = await refusal(longer, SEASON);
    must(/disk is full/.test(full.message), `a full disk is refused plainly (${full.message})`);
    must(readFileSync(path, 'utf8') === SEASON, 'a refused rewrite leaves the file as it was');
    must(
      `${readdirSync(disk)
        .filter((name) => name !== '.traybook')
        .sort()}` === `${names}`,
      'a refused rewrite leaves nothing beside it',
    );
    for (const name of names) if (name.startsWith('filler-')) rmSync(join(disk, name));
    const changed = await refusal(longer, `${SEASON}# as it was\n`);
    must(/changed on disk/.test(changed.message), 'a file that changed meanwhile is refused');
    replaceFile(path, longer, { expectedText: SEASON });
    must(readFileSync(path, 'utf8') === longer, 'the file is rewritten when there is room');
    return 'season.yaml on a full disk, or changed since it was read: refused, unchanged, nothing left beside it; rewritten once there was room';
  } finally {
    execFileSync('umount', [disk]);
  }
}

/** The real program on a disk of a few kilobytes until it is full, and after room was made. */
export function fullDisk(bench: Bench): string {
  const disk = smallDisk(bench);
  if (disk === null) return `full disk: ${NO_DISK}`;
  try {
    writeFileSync(join(disk, 'season.yaml'), SEASON);
    must(
      program(bench, disk, ['add', 'eggs', 'north', '--kept', '1']).code === 0,
      'the first row is written',
    );
    // Leave less than a page, then fill that.
    fill(disk);
    const log = join(disk, 'log/eggs.csv');
    let acknowledged = 1;
    for (;;) {
      const before = readFileSync(log);
      const { code, stderr } = program(bench, disk, [
        'add',
        'eggs',
        'north',
        '--kept',
        '1',
        '--note',
        'x'.repeat(900),
        '--anyway',
      ]);
      if (code === 0) {
        acknowledged += 1;
        continue;
      }
      must(
        code === 4 && /disk is full/.test(stderr),
        `a full disk is refused plainly (${code}: ${stderr})`,
      );
      must(readFileSync(log).equals(before), 'a refused row leaves the log as it was');
      break;
    }
    for (const name of readdirSync(disk)) if (name.startsWith('filler-')) rmSync(join(disk, name));
    must(
      program(bench, disk, ['add', 'eggs', 'north', '--kept', '2']).code === 0,
      'the next row is written when there is room',
    );
    must(rowsOf(log).length === acknowledged + 1, 'every acknowledged row is there');
    must(program(bench, disk, ['list', 'eggs']).code === 0, 'the log reads');
    return `full disk: refused with exit code 4 after ${acknowledged === 1 ? '1 row' : `${acknowledged} rows`}, log unchanged; written again once there was room`;
  } finally {
    execFileSync('umount', [disk]);
  }
}

const NOBODY = 65534;

/** A log, then a folder, that may not be written; reading works all the same and writes nothing. */
export function readOnly(bench: Bench): string {
  const isRoot = process.getuid?.() === 0;
  const season = folder(bench);
  must(
    program(bench, season, ['add', 'eggs', 'north', '--kept', '1']).code === 0,
    'the first row is written',
  );
  const paths = [
    join(season, 'log/eggs.csv'),
    join(season, 'log'),
    join(season, 'season.yaml'),
    season,
  ];
  if (isRoot) for (const path of [...paths, bench.scratch]) chownSync(path, NOBODY, NOBODY);
  const user = isRoot ? NOBODY : undefined;
  const log = paths[0]!;
  const before = readFileSync(log);
  chmodSync(log, 0o444);
  const file = program(bench, season, ['add', 'eggs', 'north', '--kept', '2'], user);
  must(
    file.code === 4 && /no permission/.test(file.stderr),
    `a read-only log is refused plainly (${file.code}: ${file.stderr})`,
  );
  chmodSync(season, 0o555);
  const whole = program(bench, season, ['add', 'eggs', 'north', '--kept', '2'], user);
  must(
    whole.code === 4 && /no permission/.test(whole.stderr),
    `a read-only folder is refused plainly (${whole.code}: ${whole.stderr})`,
  );
  for (const words of [['today'], ['list', 'eggs'], ['summary'], ['check']]) {
    const { code } = program(bench, season, words, user);
    must(code === 0 || code === 1, `${words[0]} reads a read-only folder`);
  }
  must(readFileSync(log).equals(before), 'the log is as it was');
  chmodSync(season, 0o755);
  return 'read-only log and folder: refused with exit code 4, log unchanged, reading works';
}
