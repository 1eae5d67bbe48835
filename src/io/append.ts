import { basename, dirname } from 'node:path';
import { tailOf } from '../text/tail.ts';
import type { Disk } from './disk.ts';
import { codeOf, refusalOf, WriteRefused } from './refusal.ts';
import { tornStamp } from './torn.ts';
import { noteWritten } from './written.ts';

/** What an append did besides adding its lines. */
export type Appended = {
  /** True when the log was not there, or empty, and was begun with its header. */
  readonly created: boolean;
  /** The file that a torn last line was moved to, or `null`. */
  readonly torn: string | null;
  /** Bytes of whole lines that stood there before. */
  readonly before: number;
};

/**
 * Makes the folder of the logs where there is none yet.
 *
 * @throws WriteRefused when the disk refuses
 */
export function makeLogFolder(disk: Disk, path: string): void {
  try {
    if (disk.target(path) !== null) return;
    disk.makeFolder(path);
    // Its name must last, or the rows go with it.
    disk.syncFolder(dirname(path));
  } catch (error) {
    throw refusalOf(error, path);
  }
}

/** As {@link appendLines}, for one line. */
export function appendLine(
  disk: Disk,
  path: string,
  headerLine: string,
  line: string,
  at: Date,
): Appended {
  return appendLines(disk, path, headerLine, [line], at);
}

/**
 * Adds whole lines to a log, all of them or none: one write at the file's end, then fsync (and of
 * the folder when the file is new). Only when it returns are the lines recorded. The caller holds
 * the season's lock and has validated the lines.
 *
 * A last line without its newline was cut by a crash: it is moved to `NAME.csv.torn-STAMP` first,
 * and reaches the disk there before it leaves the log.
 *
 * @param headerLine begins the file when there is none; without its newline
 * @param lines rows as CSV text, without newlines: one row is one line, as a merge by lines and
 *   the search for a torn line both need
 * @param at the time stamped on a torn file
 * @throws WriteRefused when the disk is full, read-only or faulty, permission or folder is missing;
 *   the log is then as it was
 */
export function appendLines(
  disk: Disk,
  path: string,
  headerLine: string,
  lines: readonly string[],
  at: Date,
): Appended {
  const done = appendOne(disk, path, headerLine, lines, at);
  note(path, lines);
  return done;
}

/** Keeps what was written, for the message if its answer cannot be told. A row begins with its entry. */
function note(path: string, lines: readonly string[]): void {
  for (const line of lines) noteWritten(`${basename(path)} ${line.slice(0, line.indexOf(','))}`);
}

function appendOne(
  disk: Disk,
  path: string,
  headerLine: string,
  lines: readonly string[],
  at: Date,
): Appended {
  for (const line of [headerLine, ...lines]) {
    if (/[\r\n]/.test(line)) throw new RangeError('a row is one line: it holds a line break');
  }
  const existed = disk.facts(path) !== null;
  let handle: number;
  try {
    handle = disk.open(path, existed ? 'a' : 'ax');
  } catch (error) {
    throw refusalOf(error, path);
  }
  let torn: string | null = null;
  let size = 0;
  try {
    if (existed) {
      torn = setAside(disk, path, handle, at);
      size = disk.size(handle);
    }
    const text = `${(size === 0 ? [headerLine, ...lines] : lines).join('\n')}\n`;
    writeWhole(disk, handle, Buffer.from(text, 'utf8'), size, path);
    // The name of a new file must last too, or the row goes with it.
    if (!existed) disk.syncFolder(dirname(path));
  } catch (error) {
    disk.close(handle);
    if (!existed) removeQuietly(disk, path);
    throw refusalOf(error, path);
  }
  disk.close(handle);
  return { created: size === 0, torn, before: size };
}

/** Whole lines for one log. */
export type LogLines = {
  readonly path: string;
  readonly headerLine: string;
  readonly lines: readonly string[];
};

/**
 * As {@link appendLines}, for several logs: if one of them refuses, those before it are cut back, so
 * that all is written or nothing. A crash between two logs leaves the first: what is repeated then
 * is told as entered twice.
 */
export function appendLogs(disk: Disk, logs: readonly LogLines[], at: Date): Appended[] {
  const done: Appended[] = [];
  for (const { path, headerLine, lines } of logs) {
    try {
      done.push(appendOne(disk, path, headerLine, lines, at));
    } catch (error) {
      done.forEach(({ created, before }, index) => {
        const { path: written } = logs[index]!;
        if (created) removeQuietly(disk, written);
        else cutTo(disk, written, before);
      });
      throw error;
    }
  }
  for (const { path, lines } of logs) note(path, lines);
  return done;
}

/** One write and fsync; on any failure the file is cut back to `size` before the refusal is thrown. */
function writeWhole(
  disk: Disk,
  handle: number,
  bytes: Uint8Array,
  size: number,
  path: string,
): void {
  try {
    const taken = disk.write(handle, bytes);
    if (taken !== bytes.length) {
      throw new WriteRefused(
        `${path}: not written: the disk took ${taken} of ${bytes.length} bytes; it is most likely full`,
        'free some space, then repeat the command; nothing was recorded',
      );
    }
    disk.sync(handle);
  } catch (error) {
    const refusal = refusalOf(error, path);
    try {
      cutTo(disk, path, size);
    } catch (second) {
      if (!(refusal instanceof WriteRefused) || codeOf(second) === '') throw second;
      throw new WriteRefused(
        refusal.message,
        `part of a line may be left at the file's end (${codeOf(second)}); the next command sets it aside. ${refusal.hint}`,
        { cause: second },
      );
    }
    throw refusal;
  }
}

/**
 * Moves a torn last line to a file of its own: there and on the disk first, cut from the log after.
 * A crash between leaves both, which loses nothing.
 */
function setAside(disk: Disk, path: string, appending: number, at: Date): string | null {
  const size = disk.size(appending);
  if (size === 0) return null;
  const reading = disk.open(path, 'r');
  try {
    const last = new Uint8Array(1);
    if (disk.readAt(reading, last, size - 1) === 1 && last[0] === 0x0a) return null;
  } finally {
    disk.close(reading);
  }
  const bytes = disk.read(path);
  const { end, insideQuotes } = tailOf(bytes);
  if (insideQuotes) {
    throw new WriteRefused(
      `${path}: not written: its last line is cut off inside a quoted cell of several lines`,
      'open the file in a text editor, mend or move the last row, and end the file with a newline',
    );
  }
  const aside = keepTorn(disk, path, bytes.subarray(end), at);
  cutTo(disk, path, end);
  return aside;
}

/** Cuts a file by a handle of its own: on Windows an appending one may not. */
function cutTo(disk: Disk, path: string, size: number): void {
  const handle = disk.open(path, 'r+');
  try {
    disk.truncate(handle, size);
    disk.sync(handle);
  } finally {
    disk.close(handle);
  }
}

function keepTorn(disk: Disk, path: string, torn: Uint8Array, at: Date): string {
  const first = `${path}.torn-${tornStamp(at)}`;
  for (let turn = 1; ; turn += 1) {
    const name = turn === 1 ? first : `${first}-${turn}`;
    if (disk.facts(name) !== null) {
      // Left by a crash between keeping and cutting: the very same bytes need no second copy.
      if (Buffer.compare(disk.read(name), torn) === 0) return name;
      continue;
    }
    const handle = disk.open(name, 'ax');
    try {
      writeWhole(disk, handle, torn, 0, name);
      disk.syncFolder(dirname(name));
    } catch (error) {
      disk.close(handle);
      removeQuietly(disk, name);
      throw error;
    }
    disk.close(handle);
    return name;
  }
}

/** Takes back a file begun in vain; if even that fails, an empty file is left, which reads as none. */
function removeQuietly(disk: Disk, path: string): void {
  try {
    disk.unlink(path);
  } catch {
    // The refusal under way tells more.
  }
}
