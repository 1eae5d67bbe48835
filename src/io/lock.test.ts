import { spawnSync } from 'node:child_process';
import {
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { failing, fullAfter } from '../../tests/support/faulty-disk.ts';
import { type Disk, realDisk } from './disk.ts';
import { type Holder, withLock } from './lock.ts';
import { WriteRefused } from './refusal.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'traybook-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const LOCK = '.traybook.lock';
const holder = (token: string, over: Partial<Holder> = {}): Holder => ({
  token,
  pid: 4_000_000,
  started: '1',
  world: 'elsewhere/boot/ns',
  since: '2027-03-06T18:30:00Z',
  doing: 'add eggs',
  ...over,
});
const put = (name: string, value: Holder | string) =>
  writeFileSync(join(folder, name), typeof value === 'string' ? value : JSON.stringify(value));
/** Judges by the first letter of the token: d for dead. */
const judge = ({ token }: Holder) =>
  token.startsWith('d') ? ('dead' as const) : ('alive' as const);
const caught = async (work: Promise<unknown>): Promise<WriteRefused> => {
  const error = await work.then(
    () => null,
    (thrown: unknown) => thrown,
  );
  expect(error).toBeInstanceOf(WriteRefused);
  return error as WriteRefused;
};

test('holds a lock while the action runs and leaves nothing after', async () => {
  const seen = await withLock(folder, () => readdirSync(folder));
  expect(seen).toEqual([LOCK]);
  expect(readdirSync(folder)).toEqual([]);
});

test('lets go when the action fails, and passes its error on', async () => {
  await expect(
    withLock(folder, () => {
      throw new Error('of the action');
    }),
  ).rejects.toThrow('of the action');
  expect(readdirSync(folder)).toEqual([]);
});

test('keeps actions of one folder apart, however long one takes', async () => {
  const order: string[] = [];
  const slow = withLock(folder, async () => {
    order.push('slow in');
    await pause(150);
    order.push('slow out');
  });
  await pause(20);
  await withLock(folder, () => order.push('next'));
  await slow;
  expect(order).toEqual(['slow in', 'slow out', 'next']);
});

test('refuses after the wait with the holder, and leaves the lock to it', async () => {
  put(LOCK, holder('aaaaaaaa', { doing: 'add eggs \u001b[2J', pid: 4711 }));
  const refused = await caught(withLock(folder, () => 1, { judge, waitMs: 30 }));
  expect(refused.message).toMatch(/process 4711 .*add eggs \?\[2J/);
  expect(refused.hint).toMatch(/delete .*\.traybook\.lock/);
  expect(readdirSync(folder)).toEqual([LOCK]);
});

test('a holder on another machine is never judged dead', async () => {
  put(LOCK, holder('aaaaaaaa'));
  expect((await caught(withLock(folder, () => 1, { waitMs: 10 }))).message).toMatch(
    /another machine/,
  );
});

test('a dead holder is replaced, and so is one that died while replacing another', async () => {
  put(LOCK, holder('d1111111'));
  put(`${LOCK}.after-d1111111`, holder('d2222222'));
  put(`${LOCK}.after-d2222222`, holder('d3333333'));
  put(`${LOCK}.new-d4444444`, holder('d4444444'));
  expect(await withLock(folder, () => readdirSync(folder), { judge })).toEqual([LOCK]);
  expect(readdirSync(folder)).toEqual([]);
});

test('a live process that is replacing a dead one is waited for', async () => {
  put(LOCK, holder('d1111111'));
  put(`${LOCK}.after-d1111111`, holder('aaaaaaaa', { pid: 4711 }));
  const refused = await caught(withLock(folder, () => 1, { judge, waitMs: 10 }));
  expect(refused.message).toMatch(/4711/);
});

test('one that comes late with a right already used lets go', async () => {
  // While this process looks at the dead lock, another replaces it, sweeps, and still works.
  put(LOCK, holder('d1111111'));
  let swapped = false;
  const disk: Disk = {
    ...realDisk,
    link: (from, to) => {
      if (to.includes('.after-d1111111') && !swapped) {
        swapped = true;
        put(LOCK, holder('aaaaaaaa'));
      }
      realDisk.link(from, to);
    },
  };
  await caught(withLock(folder, () => 1, { disk, judge, waitMs: 10 }));
  expect(swapped).toBe(true);
  expect(readdirSync(folder)).toEqual([LOCK]);
});

test('an unreadable lock is waited for, unless it is older than the machine has been up', async () => {
  put(LOCK, '');
  expect((await caught(withLock(folder, () => 1, { waitMs: 10 }))).message).toMatch(/does not say/);
  utimesSync(join(folder, LOCK), 1, 1);
  expect(await withLock(folder, () => 'mine')).toBe('mine');
  expect(readdirSync(folder)).toEqual([]);
});

test('a lock file that names a path for a token is not believed', async () => {
  put(LOCK, holder('../../../dead'));
  await caught(withLock(folder, () => 1, { judge: () => 'dead', waitMs: 10 }));
});

test('works where the file system has no hard links', async () => {
  const disk = failing('link', 'EPERM');
  const order: string[] = [];
  const slow = withLock(
    folder,
    async () => {
      order.push('in');
      await pause(60);
      order.push('out');
    },
    { disk },
  );
  await pause(10);
  await withLock(folder, () => order.push('next'), { disk });
  await slow;
  expect(order).toEqual(['in', 'out', 'next']);
  put(LOCK, holder('d1111111'));
  await withLock(folder, () => 1, { disk, judge });
  expect(readdirSync(folder)).toEqual([]);
});

test('a lock deleted by hand and taken by another is left to that one', async () => {
  await withLock(folder, () => put(LOCK, holder('aaaaaaaa')));
  expect(readdirSync(folder)).toEqual([LOCK]);
});

test('a folder that cannot be written, is full or is missing refuses plainly', async () => {
  expect(
    (await caught(withLock(folder, () => 1, { disk: failing('open', 'EROFS') }))).message,
  ).toMatch(/read-only/);
  expect((await caught(withLock(folder, () => 1, { disk: fullAfter(10) }))).message).toMatch(
    /full/,
  );
  expect((await caught(withLock(join(folder, 'none'), () => 1))).message).toMatch(/not there/);
  expect(readdirSync(folder)).toEqual([]);
});

test.runIf(process.platform === 'linux')(
  'a dead lock of a machine that has been renamed since is taken over (Linux)',
  async () => {
    const dead = spawnSync(process.execPath, ['-e', '']).pid;
    const read = (path: string) => readFileSync(path, 'utf8').trim();
    const world = `another-name/${read('/proc/sys/kernel/random/boot_id')}/${readlinkSync('/proc/self/ns/pid')}`;
    put(LOCK, holder('0123456789', { pid: dead, world }));
    expect(await withLock(folder, () => 'mine', { waitMs: 0 })).toBe('mine');
  },
);

test('a file of ours that cannot be removed is no reason to refuse', async () => {
  expect(await withLock(folder, () => 'done', { disk: failing('unlink', 'EIO') })).toBe('done');
});
