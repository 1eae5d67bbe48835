import { type Disk, realDisk } from '../../src/io/disk.ts';

/** Thrown by a disk whose process is to be thought of as killed: every later call throws it too. */
export class Killed extends Error {
  override readonly name = 'Killed';
}

/** A failed system call with its code, as node:fs throws it. */
function systemError(code: string): Error {
  return Object.assign(new Error(`${code}: injected`), { code });
}

/**
 * The real disk, with the process killed after so many bytes were written or, if `calls` is given,
 * before the call of that number among those that change something.
 */
export function killedAfter(limits: { bytes?: number; calls?: number }): Disk {
  let bytesLeft = limits.bytes ?? Number.POSITIVE_INFINITY;
  let callsLeft = limits.calls ?? Number.POSITIVE_INFINITY;
  let dead = false;
  const open = new Set<number>();
  const die = (): never => {
    dead = true;
    for (const handle of open) realDisk.close(handle);
    open.clear();
    throw new Killed('killed');
  };
  const reads = <Arguments extends unknown[], Result>(call: (...given: Arguments) => Result) => {
    return (...given: Arguments): Result => {
      if (dead) throw new Killed('killed');
      return call(...given);
    };
  };
  const changes = <Arguments extends unknown[], Result>(call: (...given: Arguments) => Result) => {
    return reads((...given: Arguments): Result => {
      if (callsLeft === 0) die();
      callsLeft -= 1;
      return call(...given);
    });
  };
  return {
    open: changes((path: string, flags: string) => {
      const handle = realDisk.open(path, flags);
      open.add(handle);
      return handle;
    }),
    write: changes((handle: number, bytes: Uint8Array) => {
      if (bytes.length > bytesLeft) {
        realDisk.write(handle, bytes.subarray(0, bytesLeft));
        die();
      }
      bytesLeft -= bytes.length;
      return realDisk.write(handle, bytes);
    }),
    close: reads((handle: number) => {
      open.delete(handle);
      realDisk.close(handle);
    }),
    truncate: changes(realDisk.truncate),
    sync: changes(realDisk.sync),
    setMode: changes(realDisk.setMode),
    rename: changes(realDisk.rename),
    link: changes(realDisk.link),
    unlink: changes(realDisk.unlink),
    makeFolder: changes(realDisk.makeFolder),
    syncFolder: changes(realDisk.syncFolder),
    mode: reads(realDisk.mode),
    readAt: reads(realDisk.readAt),
    size: reads(realDisk.size),
    read: reads(realDisk.read),
    text: reads(realDisk.text),
    facts: reads(realDisk.facts),
    target: reads(realDisk.target),
    list: reads(realDisk.list),
  };
}

/** The real disk with room for so many more bytes: a write past it is short, the next one ENOSPC. */
export function fullAfter(bytes: number): Disk {
  let left = bytes;
  return {
    ...realDisk,
    write: (handle, given) => {
      if (left === 0) throw systemError('ENOSPC');
      const taken = given.subarray(0, left);
      left -= taken.length;
      return realDisk.write(handle, taken);
    },
  };
}

/** The real disk on which one call always fails with `code`. */
export function failing(call: keyof Disk, code: string): Disk {
  return {
    ...realDisk,
    [call]: () => {
      throw systemError(code);
    },
  };
}
