// System calls that fail, fall short or end the process, one at a time, under every command that
// writes: what is acknowledged is there once, what is refused is not, and every exit code is a
// documented one. The calls are caught by a small library that is preloaded (`shim.c`).
import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { constants } from 'node:os';
import { join } from 'node:path';

/** How a call goes wrong: an error, half of what was given, the end of the process. */
const hows = [
  String(constants.errno.ENOSPC),
  String(constants.errno.EIO),
  String(constants.errno.EACCES),
  String(constants.errno.EDQUOT),
  'short',
  'kill',
] as const;

const calls = ['any', 'open', 'write', 'fsync', 'rename', 'link', 'unlink', 'ftruncate'] as const;

/** Commands that write into the season folder, and whether they write rows. */
const writing: readonly (readonly string[])[] = [
  ['add', 'eggs', 'north', '--laid', '8', '--kept', '7', '--cracked', '1'],
  ['add', 'candling', 'D7', '--pen', 'north', '--clear', '2'],
  ['add', 'hatch', 'D5', '--pen', 'north', '--hatched', '15'],
  ['amend', 'last', 'note=again'],
  ['void', 'last'],
];
/** One that rewrites season.yaml; it is asked of the finished season. */
const rewriting = ['breeders', '--mate', '--line', 'dorking', '--write'];

const KILLED = 'SIGKILL';

/** The shim, built into a folder; null where there is no compiler or no preloading. */
export function buildShim(root: string, folder: string): string | null {
  if (process.platform !== 'linux') return null;
  const shim = join(folder, 'shim.so');
  const made = spawnSync('gcc', [
    '-shared',
    '-fPIC',
    '-O1',
    '-o',
    shim,
    join(root, 'tests/torture/shim.c'),
    '-ldl',
  ]);
  return made.status === 0 ? shim : null;
}

const rowsIn = (season: string): string[] =>
  readdirSync(join(season, 'log'))
    .filter((name) => name.endsWith('.csv'))
    .sort()
    .flatMap((name) =>
      readFileSync(join(season, 'log', name), 'utf8')
        .split('\n')
        .slice(1, -1)
        .map((row) => `${name}: ${row}`),
    );

class Broken extends Error {
  override readonly name = 'Broken';
}

/**
 * Puts in faults until `most` have been hit.
 *
 * @param random numbers from 0 to 1, for the order in which places are tried
 * @returns how many there were and what they ended with, in words
 */
export function injected(
  { root, scratch, shim }: { root: string; scratch: string; shim: string },
  most: number,
  random: () => number,
): string {
  const program = join(root, 'bin', 'traybook.js');
  const season = join(scratch, 'injected');
  const log = join(scratch, 'hit');
  let now = '';
  const run = (words: readonly string[], env: Record<string, string> = {}) => {
    const { PATH = '', HOME = '' } = process.env;
    return spawnSync(process.execPath, [program, '--season', season, '--now', now, ...words], {
      encoding: 'utf8',
      env: { PATH, HOME, TZ: 'UTC', TRAYBOOK_BY: 'Ane', ...env },
    });
  };
  const moments = JSON.parse(readFileSync(join(root, 'examples', 'now.json'), 'utf8'));
  const textOf = () => readFileSync(join(season, 'season.yaml'), 'utf8');
  const fresh = (words: readonly string[]) => {
    const name = words === rewriting ? 'finished' : 'midseason';
    now = moments[name];
    rmSync(season, { recursive: true, force: true });
    mkdirSync(season);
    cpSync(join(root, 'examples', name), season, { recursive: true });
    return { before: rowsIn(season), yaml: textOf() };
  };
  /** What each command writes where nothing goes wrong. */
  const whole = [...writing, rewriting].map((words) => {
    const { before, yaml } = fresh(words);
    const done = run(words);
    if (done.status !== 0) throw new Broken(`${words.join(' ')}: ${done.stderr}`);
    const rows = rowsIn(season).length - before.length;
    return { words, rows, changesYaml: textOf() !== yaml };
  });
  const ends = new Map<string, number>();
  let hit = 0;
  let missed = 0;
  /** Where a call does not come so often any more. */
  const beyond = new Map<string, number>();
  while (hit < most) {
    const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
    // To choose pens takes long, so the season file is rewritten now and then only.
    const { words, rows, changesYaml } = random() < 0.03 ? whole.at(-1)! : pick(whole.slice(0, -1));
    const call = pick(calls);
    const how = pick(hows);
    const key = `${words[0]} ${words[1]} ${call} ${how === 'short'}`;
    const at = 1 + Math.floor(random() * ((beyond.get(key) ?? (call === 'any' ? 20 : 6)) - 1));
    rmSync(log, { force: true });
    const { before, yaml } = fresh(words);
    const told = `${words.join(' ')}, ${call} ${at}: ${how}`;
    const must = (holds: boolean, promise: string): void => {
      if (!holds) throw new Broken(`${told}: ${promise}`);
    };
    const done = run(words, {
      LD_PRELOAD: shim,
      FAULT_ROOT: season,
      FAULT_CALL: call,
      FAULT_AT: String(at),
      FAULT_HOW: how,
      FAULT_LOG: log,
    });
    if (!existsSync(log)) {
      beyond.set(key, Math.max(2, Math.min(at, beyond.get(key) ?? at)));
      missed += 1;
      if (missed > 20 * most) throw new Broken('hardly any fault is hit');
      continue;
    }
    hit += 1;
    const end = done.signal ?? String(done.status);
    ends.set(end, (ends.get(end) ?? 0) + 1);
    must(['0', '4', '5', KILLED].includes(end), `it ended with ${end}: ${done.stderr}`);
    must(!/fault of the program|\n {4}at /.test(done.stderr), `it said ${done.stderr}`);
    const after = rowsIn(season);
    must(
      before.every((row, index) => after.includes(row) && before.indexOf(row) === index),
      'a row that was there is gone',
    );
    must(new Set(after).size === after.length, 'a row is there twice');
    const added = after.length - before.length;
    const isReplaced = textOf() !== yaml;
    if (end === '0' || end === '5') {
      must(added === rows, `${added} rows of ${rows} are there`);
      must(isReplaced === changesYaml, 'season.yaml is not as acknowledged');
    } else if (end === '4') {
      must(added === 0, `refused, and ${added} rows are there`);
      must(!isReplaced, 'refused, and season.yaml is changed');
    } else must(added === 0 || added === rows, `killed, and ${added} rows of ${rows} are there`);
    // Whatever happened, the next command reads the folder, writes, and leaves nothing of it behind.
    const next = run([
      'add',
      'money',
      '--category',
      'feed',
      '--amount',
      '12',
      '--anyway',
      '--again',
    ]);
    must(next.status === 0, `the next command ended with ${next.status}: ${next.stderr}`);
    must(rowsIn(season).length === after.length + 1, 'the next row is not there');
    const left = readdirSync(season).filter((name) => /^\.traybook\.lock|\.yaml\.\d/.test(name));
    must(left.length === 0, `left behind: ${left.join(', ')}`);
  }
  const counts = [...ends].sort().map(([end, count]) => `${count} ended with ${end}`);
  return `${hit} faults put in under ${whole.length} commands: nothing acknowledged lost, nothing doubled; ${counts.join(', ')}`;
}
