import { join } from 'node:path';
import { type Disk, realDisk } from './disk.ts';
import { refusalOf, WriteRefused } from './refusal.ts';

/**
 * Writes new files below a folder, making it if need be. A file that is there already is never
 * touched: then nothing is written.
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
  try {
    for (const name of files.keys())
      if (disk.facts(join(folder, name)) !== null)
        throw new WriteRefused(`${join(folder, name)} exists already`, 'give another folder');
    for (const [name, text] of files) {
      const path = join(folder, name);
      disk.makeFolder(join(path, '..'));
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
  } catch (error) {
    for (const path of made) {
      try {
        disk.unlink(path);
      } catch {
        // The first failure is the one to tell.
      }
    }
    throw refusalOf(error, folder);
  }
}
