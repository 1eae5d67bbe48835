import {
  closeSync,
  existsSync,
  fchmodSync,
  fstatSync,
  fsyncSync,
  ftruncateSync,
  linkSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  readSync,
  renameSync,
  type Stats,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { dirname, resolve } from 'node:path';

/** What a stat tells that anything here asks. Sizes in bytes, times in milliseconds since 1970. */
export type FileFacts = {
  readonly size: number;
  readonly mtimeMs: number;
  /** `other`: a link, when not followed; a pipe, a device, a socket. */
  readonly kind: 'file' | 'folder' | 'other';
};

/**
 * The calls that reach a disk: the one seam below the record. Everything that writes takes a
 * `Disk`, so that a test can cut a write at any byte, fill the disk or stop the process between
 * any two calls. Each throws what node:fs throws.
 */
export type Disk = {
  /** `flags` as in open(2), by Node's names: `r`, `r+`, `wx`, `a`, `ax`. */
  open(path: string, flags: string): number;
  /** One write(2): the number of bytes taken, which may be fewer than given. */
  write(handle: number, bytes: Uint8Array): number;
  /** Bytes from `position` into `into`: the number read, 0 at the end. */
  readAt(handle: number, into: Uint8Array, position: number): number;
  truncate(handle: number, size: number): void;
  sync(handle: number): void;
  close(handle: number): void;
  size(handle: number): number;
  /** The whole file. */
  read(path: string): Buffer;
  /** The whole file as text; what is no UTF-8 in it shows as U+FFFD. Takes half the time. */
  text(path: string): string;
  /** Facts of a file, not following a link; `null` when there is none. */
  facts(path: string): FileFacts | null;
  /** Facts of what a path leads to, links followed; `null` when it leads to nothing. */
  target(path: string): FileFacts | null;
  /** The names in a folder, sorted. */
  list(path: string): string[];
  rename(from: string, to: string): void;
  link(from: string, to: string): void;
  unlink(path: string): void;
  /** The permission bits of what a path leads to. */
  mode(path: string): number;
  setMode(handle: number, mode: number): void;
  /** Makes the folder and those above it: the highest that was made, `null` if all were there. */
  makeFolder(path: string): string | null;
  /** Makes new, renamed and removed names in a folder last through a power cut. */
  syncFolder(path: string): void;
};

/** Systems and file systems that cannot open or sync a folder answer so; there is nothing to do there. */
const FOLDER_SYNC_UNKNOWN = new Set(['EISDIR', 'EPERM', 'EACCES', 'EINVAL', 'ENOTSUP', 'EBADF']);

function factsOf(found: Stats | undefined): FileFacts | null {
  if (found === undefined) return null;
  const kind = found.isFile() ? 'file' : found.isDirectory() ? 'folder' : 'other';
  return { size: found.size, mtimeMs: found.mtimeMs, kind };
}

const PERMISSIONS = 0o777;

/** One mkdir(2) a folder, the highest first: `recursive` of Node 20 never ends below /proc. */
function makeFolder(path: string): string | null {
  const missing: string[] = [];
  for (let at = resolve(path); !existsSync(at); at = dirname(at)) missing.push(at);
  for (const folder of missing.reverse())
    try {
      mkdirSync(folder);
    } catch (error) {
      // Another process made it meanwhile.
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
  return missing[0] ?? null;
}

/** The disk of this machine. */
export const realDisk: Disk = {
  open: (path, flags) => openSync(path, flags, 0o666),
  write: (handle, bytes) => writeSync(handle, bytes, 0, bytes.length, null),
  readAt: (handle, into, position) => readSync(handle, into, 0, into.length, position),
  truncate: (handle, size) => ftruncateSync(handle, size),
  sync: (handle) => fsyncSync(handle),
  close: (handle) => closeSync(handle),
  size: (handle) => fstatSync(handle).size,
  read: (path) => readFileSync(path),
  text: (path) => readFileSync(path, 'utf8'),
  facts: (path) => factsOf(lstatSync(path, { throwIfNoEntry: false })),
  target: (path) => factsOf(statSync(path, { throwIfNoEntry: false })),
  list: (path) => readdirSync(path).sort(),
  rename: (from, to) => renameSync(from, to),
  link: (from, to) => linkSync(from, to),
  unlink: (path) => unlinkSync(path),
  mode: (path) => statSync(path).mode & PERMISSIONS,
  setMode: (handle, mode) => fchmodSync(handle, mode),
  makeFolder,
  syncFolder: (path) => {
    let handle: number | null = null;
    try {
      handle = openSync(path, 'r');
      fsyncSync(handle);
    } catch (error) {
      if (!FOLDER_SYNC_UNKNOWN.has((error as NodeJS.ErrnoException).code ?? '')) throw error;
    } finally {
      if (handle !== null) closeSync(handle);
    }
  },
};

export function removeIfThere(disk: Disk, path: string): void {
  if (disk.facts(path) !== null) disk.unlink(path);
}

/** Removes what was begun and came to nothing: the refusal under way tells more than one of this. */
export function removeQuietly(disk: Disk, path: string): void {
  try {
    removeIfThere(disk, path);
  } catch {
    // It stays, in the program's own folder.
  }
}
