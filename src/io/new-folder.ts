import { rmdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { type Disk, realDisk } from './disk.ts';
import { refusalOfNew, WriteRefused } from './refusal.ts';
import { noteWritten } from './written.ts';

/** Files that a keeper may have made before, in a folder under git: theirs stays, and ours is left out. */
const MAY_STAND = new Set(['.gitignore']);

/**
 * Writes new files below a folder, making it if need be. A file that is there already is never
 * touched: then nothing is written, but for a `.gitignore`, which is the keeper's own.
 *
 * @param files text by path below the folder
 * @throws WriteRefused when a file exists or the disk refuses; what was written is taken back
 */
export function makeFiles(
  folder: string,
  files: ReadonlyMap<string, string>,
  disk: Disk = realDisk,
): void {
  const made: string[] = [];
  const folders: string[] = [];
  try {
    const stands = [...files.keys()].filter((name) => disk.facts(join(folder, name)) !== null);
    for (const name of stands)
      if (!MAY_STAND.has(name))
        throw new WriteRefused(`${join(folder, name)} exists already`, 'give another folder');
    for (const [name, text] of files) {
      if (stands.includes(name)) continue;
      const path = join(folder, name);
      const highest = disk.makeFolder(dirname(path));
      if (highest !== null)
        for (let one = dirname(path); one.length >= highest.length; one = dirname(one))
          folders.push(one);
      const handle = disk.open(path, 'wx');
      made.push(path);
      try {
        const bytes = new TextEncoder().encode(text);
        let written = 0;
        while (written < bytes.length) written += disk.write(handle, bytes.subarray(written));
        disk.sync(handle);
      } finally {
        disk.close(handle);
      }
    }
    disk.syncFolder(folder);
    noteWritten(folder);
  } catch (error) {
    for (const path of made) quietly(() => disk.unlink(path));
    // The deepest first; none goes that holds something.
    for (const path of folders.sort((a, b) => b.length - a.length)) quietly(() => rmdirSync(path));
    throw refusalOfNew(error, folder);
  }
}

/** Takes back what was made: the failure that led here is the one to tell. */
function quietly(undo: () => void): void {
  try {
    undo();
  } catch {
    // Told above.
  }
}
