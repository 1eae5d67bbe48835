import { randomBytes } from 'node:crypto';
import { readFileSync, readlinkSync } from 'node:fs';
import { hostname, uptime } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { type Disk, realDisk } from './disk.ts';
import { codeOf, refusalOf, WriteRefused } from './refusal.ts';

/*
 * Why our own lock. The kept libraries judge a holder by the age of its lock file: measured, the
 * most used one made the next process wait ten seconds after a kill, and handed the lock to a
 * second process while the first, busy in one long computation, still held it. A lock of the
 * operating system (flock) would be best, but Node has none without a native part. Here the lock
 * file names its process and when that process started, so a dead holder is known at once and a
 * live one, however slow, is never robbed.
 *
 * How it is held. `.traybook.lock` is made by a hard link from a file already written whole: the
 * link either makes the name or fails because it is there. Whoever finds a dead holder must first
 * win `.traybook.lock.after-TOKEN`, TOKEN being the dead holder's: one process only can replace
 * that lock, by a rename over it. If the winner dies as well, its own token is the next to win, and
 * so on; each link of that chain is checked to be still in place before the rename. Tokens are never
 * used twice, so a late-comer that wins a right already used sees another token in the lock and
 * lets go.
 *
 * What it cannot judge it never takes: a holder on another machine or in another container, a lock
 * file it cannot read. Then it waits, and at last refuses with the holder's name. On systems
 * without /proc (macOS, Windows) a holder is judged by its process number alone: should another
 * program have been given the dead one's number, the lock has to be deleted by hand, and the
 * refusal says so.
 */

const LOCK = '.traybook.lock';
const CHAIN_LIMIT = 64;
const SHORTEST_PAUSE_MS = 4;
const LONGEST_PAUSE_MS = 60;
const DEFAULT_WAIT_MS = 10_000;

/** What a lock file says of its holder. */
export type Holder = {
  readonly token: string;
  readonly pid: number;
  /** The process's start in clock ticks since boot, where the system tells; else empty. */
  readonly started: string;
  /** Machine, boot and process namespace: only inside one of these do process numbers compare. */
  readonly world: string;
  /** ISO instant of taking the lock, and the words of the command: for the message only. */
  readonly since: string;
  readonly doing: string;
};

/** `unknown` where a process cannot be seen from here. */
type Judge = (holder: Holder) => 'alive' | 'dead' | 'unknown';

export type LockOptions = {
  readonly disk?: Disk;
  /** How long to wait for another process before refusing. */
  readonly waitMs?: number;
  /** What the holder does, shown to whoever waits in vain: `add candling`. */
  readonly doing?: string;
  /** Judges a holder; for tests. */
  readonly judge?: Judge;
};

/**
 * Runs `action` while no other process of this machine holds the season folder's lock. Waiting costs
 * no processor time; the lock of a dead process is taken over at once.
 *
 * @param directory the season folder
 * @throws WriteRefused when another process holds the lock beyond the wait, or the lock cannot be made
 */
export async function withLock<Result>(
  directory: string,
  action: () => Result | Promise<Result>,
  options: LockOptions = {},
): Promise<Result> {
  const disk = options.disk ?? realDisk;
  const me = describeMe(options.doing ?? 'traybook');
  await acquire(disk, directory, me, options);
  try {
    try {
      sweep(disk, directory, me, options.judge ?? judgeHolder);
    } catch {
      // Leftovers harm nobody: they may belong to another user, or the disk may be read-only by now.
    }
    return await action();
  } finally {
    release(disk, directory, me);
  }
}

async function acquire(
  disk: Disk,
  directory: string,
  me: Holder,
  options: LockOptions,
): Promise<void> {
  const lock = join(directory, LOCK);
  const mine = `${lock}.new-${me.token}`;
  const judge = options.judge ?? judgeHolder;
  const deadline = performance.now() + (options.waitMs ?? DEFAULT_WAIT_MS);
  let pauseMs = SHORTEST_PAUSE_MS;
  try {
    for (;;) {
      if (disk.facts(mine) === null) writeHolder(disk, mine, me);
      const outcome = attempt(disk, lock, mine, judge);
      if (outcome === 'mine') return;
      if (outcome === 'again') continue;
      if (performance.now() >= deadline) throw heldBy(outcome, lock);
      // A random part keeps waiting processes from knocking in step.
      await pause(pauseMs * (0.5 + Math.random()));
      pauseMs = Math.min(pauseMs * 2, LONGEST_PAUSE_MS);
    }
  } catch (error) {
    throw refusalOf(error, directory);
  } finally {
    try {
      unlinkIfThere(disk, mine);
    } catch {
      // Left over, it harms nobody: the next holder sweeps it away.
    }
  }
}

type LockHeld = { readonly holder: Holder | null };

/** One try. `again` asks for another at once: something changed while looking. */
function attempt(
  disk: Disk,
  lock: string,
  mine: string,
  judge: Judge,
): 'mine' | 'again' | LockHeld {
  const direct = take(disk, mine, lock);
  if (direct !== 'held') return direct === 'taken' ? 'mine' : 'again';
  const chain: { path: string; token: string }[] = [];
  for (let path = lock; ; ) {
    const found = look(disk, path, judge);
    if (found === 'gone') return 'again';
    if (found.state !== 'dead' || chain.length === CHAIN_LIMIT) return { holder: found.holder };
    chain.push({ path, token: found.token });
    const right = `${lock}.after-${found.token}`;
    const outcome = take(disk, mine, right);
    if (outcome === 'gone') return 'again';
    if (outcome === 'held') {
      path = right;
      continue;
    }
    const stands = chain.every((link) => {
      const now = look(disk, link.path, judge);
      return now !== 'gone' && now.token === link.token && now.state === 'dead';
    });
    if (!stands) {
      unlinkIfThere(disk, right);
      return 'again';
    }
    disk.rename(mine, lock);
    return 'mine';
  }
}

type LockFound = {
  readonly state: 'alive' | 'dead' | 'unknown';
  readonly token: string;
  readonly holder: Holder | null;
};

function look(disk: Disk, path: string, judge: Judge): LockFound | 'gone' {
  const holder = readHolder(disk, path);
  if (holder === 'gone') return 'gone';
  if (holder !== 'unreadable') return { state: judge(holder), token: holder.token, holder };
  // A power cut can leave the name without its content. Nobody from before the boot still runs.
  const state = isFromBeforeBoot(disk, path) ? 'dead' : 'unknown';
  return { state, token: 'unreadable', holder: null };
}

/** Links `mine` to `name`: the one step that only one process can win. */
function take(disk: Disk, mine: string, name: string): 'taken' | 'held' | 'gone' {
  try {
    disk.link(mine, name);
    return 'taken';
  } catch (error) {
    switch (codeOf(error)) {
      case 'EEXIST':
        return 'held';
      case 'ENOENT':
        return 'gone';
      case 'EPERM':
      case 'ENOTSUP':
      case 'EOPNOTSUPP':
      case 'ENOSYS':
      case 'EMLINK':
        return copyExclusive(disk, mine, name);
      default:
        throw error;
    }
  }
}

/**
 * Where the file system has no hard links (FAT cards): make the name exclusively, then fill it. A
 * kill between the two leaves a lock that nobody can judge and the keeper has to delete.
 */
function copyExclusive(disk: Disk, mine: string, name: string): 'taken' | 'held' {
  const content = disk.read(mine);
  let handle: number;
  try {
    handle = disk.open(name, 'wx');
  } catch (error) {
    if (codeOf(error) === 'EEXIST') return 'held';
    throw error;
  }
  try {
    disk.write(handle, content);
  } finally {
    disk.close(handle);
  }
  return 'taken';
}

function release(disk: Disk, directory: string, me: Holder): void {
  const lock = join(directory, LOCK);
  try {
    const found = readHolder(disk, lock);
    // Deleted by hand, and perhaps taken by another since: then it is not ours to remove.
    if (typeof found === 'object' && found.token === me.token) unlinkIfThere(disk, lock);
  } catch {
    // The work is done and recorded; a lock that cannot be removed ends with this process.
  }
}

/**
 * Clears what killed processes left: files not yet linked, rights already used. Only the holder
 * sweeps. A file of a live process swept by mistake costs it one more try, never the lock.
 */
function sweep(disk: Disk, directory: string, me: Holder, judge: Judge): void {
  for (const name of disk.list(directory)) {
    if (!name.startsWith(`${LOCK}.`)) continue;
    const path = join(directory, name);
    if (name.startsWith(`${LOCK}.new-`)) {
      const found = readHolder(disk, path);
      if (typeof found === 'object' && judge(found) !== 'dead') continue;
    } else if (name === `${LOCK}.after-${me.token}`) continue;
    unlinkIfThere(disk, path);
  }
}

function writeHolder(disk: Disk, path: string, me: Holder): void {
  const handle = disk.open(path, 'wx');
  try {
    const bytes = Buffer.from(`${JSON.stringify(me)}\n`);
    if (disk.write(handle, bytes) !== bytes.length) {
      throw Object.assign(new Error('short write'), { code: 'ENOSPC' });
    }
  } finally {
    disk.close(handle);
  }
}

function readHolder(disk: Disk, path: string): Holder | 'gone' | 'unreadable' {
  let text: string;
  try {
    text = disk.read(path).toString('utf8');
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return 'gone';
    return 'unreadable';
  }
  try {
    const value: unknown = JSON.parse(text);
    return isHolder(value) ? value : 'unreadable';
  } catch {
    return 'unreadable';
  }
}

function isHolder(value: unknown): value is Holder {
  if (typeof value !== 'object' || value === null) return false;
  const { token, pid, started, world, since, doing } = value as Record<string, unknown>;
  return (
    typeof token === 'string' &&
    // The token becomes part of a file name.
    /^[0-9a-f]{8,64}$/.test(token) &&
    Number.isSafeInteger(pid) &&
    (pid as number) > 0 &&
    [started, world, since, doing].every((text) => typeof text === 'string')
  );
}

function unlinkIfThere(disk: Disk, path: string): void {
  try {
    disk.unlink(path);
  } catch (error) {
    if (codeOf(error) !== 'ENOENT') throw error;
  }
}

function heldBy(held: LockHeld, lock: string): WriteRefused {
  if (held.holder === null) {
    return new WriteRefused(
      'the season folder is locked, and the lock does not say by whom',
      `if no other traybook command is running, delete ${lock}`,
    );
  }
  const { pid, since, doing, world } = held.holder;
  const where = isThisWorld(world) ? '' : ' on another machine or in another container';
  return new WriteRefused(
    `the season folder is in use by process ${pid}${where} (${printable(doing)}) since ${printable(since)}`,
    `wait for it to end and repeat; if no such command is running, delete ${lock}`,
  );
}

/** The lock file could have been written by anyone. */
function printable(text: string): string {
  return text.replace(/[^\x20-\x7e]/g, '?').slice(0, 80);
}

// Who this process is, and whether another still runs.

const WORLD = [hostname(), systemText('/proc/sys/kernel/random/boot_id'), processNamespace()].join(
  '/',
);

function describeMe(doing: string): Holder {
  return {
    token: randomBytes(12).toString('hex'),
    pid: process.pid,
    started: processFacts(process.pid)?.started ?? '',
    world: WORLD,
    since: new Date().toISOString(),
    doing,
  };
}

/** Whether the process that wrote a lock file still runs; `unknown` where that cannot be seen from here. */
function judgeHolder(holder: Holder): 'alive' | 'dead' | 'unknown' {
  const [host, boot = '', space] = holder.world.split('/');
  const [myHost, myBoot, mySpace] = WORLD.split('/');
  // A machine may be renamed while it runs; no two share the number of a boot.
  if (boot === '' || boot !== myBoot) {
    if (host !== myHost) return 'unknown';
    // Another boot is an earlier one of this machine, or a machine of the same name.
    if (boot !== myBoot) return Date.parse(holder.since) < bootTime() ? 'dead' : 'unknown';
  }
  if (space !== mySpace) return 'unknown';
  if (holder.started === '') return isRunning(holder.pid) ? 'unknown' : 'dead';
  const facts = processFacts(holder.pid);
  if (facts === null) return isRunning(holder.pid) ? 'unknown' : 'dead';
  return facts.started === holder.started && !facts.ended ? 'alive' : 'dead';
}

/** True if process numbers of there mean the same as here. */
function isThisWorld(world: string): boolean {
  const [host, boot, space] = world.split('/');
  const [myHost, myBoot, mySpace] = WORLD.split('/');
  return boot === myBoot && space === mySpace && (boot !== '' || host === myHost);
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return codeOf(error) !== 'ESRCH';
  }
}

/** A process as Linux tells of it; `ended` when it is dead but not yet collected by its parent. */
function processFacts(pid: number): { started: string; ended: boolean } | null {
  const text = systemText(`/proc/${pid}/stat`);
  // The second field, the program's name in brackets, may itself hold spaces and brackets.
  const fields = text.slice(text.lastIndexOf(')') + 2).split(' ');
  // proc(5): state is field 3, starttime field 22; the slice begins at field 3.
  const [state, started] = [fields[0], fields[19]];
  if (state === undefined || started === undefined) return null;
  return { started, ended: state === 'Z' || state === 'X' };
}

function isFromBeforeBoot(disk: Disk, path: string): boolean {
  const facts = disk.facts(path);
  return facts !== null && facts.mtimeMs < bootTime();
}

/** Milliseconds since 1970, a little early so that rounding never makes a living process older than it. */
function bootTime(): number {
  return Date.now() - uptime() * 1000 - 2000;
}

function systemText(path: string): string {
  try {
    return readFileSync(path, 'utf8').trim();
  } catch {
    return '';
  }
}

function processNamespace(): string {
  try {
    return readlinkSync('/proc/self/ns/pid');
  } catch {
    return '';
  }
}
