import { realpathSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { type Disk, realDisk, removeIfThere, removeQuietly } from './disk.ts';
import { privateFolder } from './private-folder.ts';
import { codeOf, refusalOf, WriteRefused } from './refusal.ts';
import { noteWritten } from './written.ts';

export type ReplaceOptions = {
  /** The text that the new one was made from: if the file holds another by now, nothing is written. */
  readonly expectedText: string;
  /** The season folder, for a file that lies in a folder of it; else the file's own. */
  readonly season?: string;
  readonly disk?: Disk;
};

/**
 * Replaces a file whole: readers see the old text or the new, never a part, and a crash leaves one
 * of them. The caller holds the season's lock; an editor does not, so the file is compared with what
 * was read before anything is written and again just before the rename. What the rename takes away
 * is kept as `.traybook/NAME.before` until the next write, and looked at once more: if an editor
 * saved in that very moment, its text is put back and the write refused.
 *
 * The new text is made as `.traybook/NAME.new`: of a killed writer that is all that is left, and the
 * next write goes over it.
 *
 * @throws WriteRefused when the file changed or went since it was read, or cannot be written
 */
export function replaceFile(
  path: string,
  newText: string,
  { expectedText, season, disk = realDisk }: ReplaceOptions,
): void {
  compare(disk, path, expectedText);
  let made: string | null = null;
  try {
    // A link stays a link: what it leads to is replaced.
    const real = realpathSync(path);
    const folder = privateFolder(season ?? dirname(real), disk);
    made = join(folder, `${basename(real)}.new`);
    const kept = join(folder, `${basename(real)}.before`);
    writeNew(disk, made, newText, disk.mode(real));
    keep(disk, real, kept);
    compare(disk, path, expectedText);
    disk.rename(made, real);
    made = null;
    const taken = disk.read(kept);
    if (!taken.equals(Buffer.from(expectedText, 'utf8'))) {
      // Saved in place between the comparison and the rename: the editor's text comes first.
      disk.rename(kept, real);
      throw changed(path);
    }
    try {
      disk.syncFolder(dirname(real));
    } catch (error) {
      // What is refused has changed nothing: the old text goes back.
      disk.rename(kept, real);
      throw error;
    }
  } catch (error) {
    if (made !== null) removeQuietly(disk, made);
    throw refusalOf(error, path);
  }
  noteWritten(basename(path));
}

/** Writes a file whole, over what a killed writer may have left, with the mode of the one it is for. */
function writeNew(disk: Disk, path: string, text: string, mode: number): void {
  removeIfThere(disk, path);
  const handle = disk.open(path, 'wx');
  try {
    const bytes = Buffer.from(text, 'utf8');
    const taken = disk.write(handle, bytes);
    if (taken !== bytes.length) throw Object.assign(new Error('short write'), { code: 'ENOSPC' });
    disk.setMode(handle, mode);
    disk.sync(handle);
  } finally {
    disk.close(handle);
  }
}

/** Gives a file a second name, under which it stays when the first is taken away. */
function keep(disk: Disk, path: string, kept: string): void {
  removeIfThere(disk, kept);
  try {
    disk.link(path, kept);
  } catch (error) {
    if (!NO_LINKS.has(codeOf(error))) throw error;
    // A file system without hard links, as on cards: a copy does, though it sees no later change.
    writeNew(disk, kept, disk.read(path).toString('utf8'), disk.mode(path));
  }
}

const NO_LINKS = new Set(['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK', 'EXDEV']);

function changed(path: string): WriteRefused {
  return new WriteRefused(
    `${path}: not written: it changed on disk since it was read`,
    'save and close it in the editor, then repeat the command: it starts from what is there now',
  );
}

function compare(disk: Disk, path: string, expectedText: string): void {
  let found: Buffer;
  try {
    found = disk.read(path);
  } catch (error) {
    if (codeOf(error) !== 'ENOENT') throw refusalOf(error, path);
    throw new WriteRefused(
      `${path}: not written: it was removed or renamed since it was read`,
      'put it back, then repeat the command',
    );
  }
  if (!found.equals(Buffer.from(expectedText, 'utf8'))) throw changed(path);
}
