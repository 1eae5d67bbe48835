import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Disk, realDisk, removeQuietly } from './disk.ts';
import { codeOf, refusalOf, WriteRefused } from './refusal.ts';

/**
 * The one folder of a season that is the program's own: ledgers, maps of imports, kept texts. It
 * holds nothing that the keeper wrote and that stands nowhere else, so git leaves it out.
 */
export const PRIVATE_FOLDER = '.traybook';

/** Tells git to leave out the folder and all that is in it. */
const IGNORE_ALL = '*\n';

/**
 * Makes the private folder of a season, with a `.gitignore` of its own, where there is none yet.
 *
 * @param season path of the season folder
 * @returns the path of the private folder
 * @throws WriteRefused when the disk refuses
 */
export function privateFolder(season: string, disk: Disk = realDisk): string {
  const folder = join(season, PRIVATE_FOLDER);
  const ignore = join(folder, '.gitignore');
  try {
    if (disk.facts(ignore) !== null) return folder;
    disk.makeFolder(folder);
    const handle = disk.open(ignore, 'wx');
    try {
      disk.write(handle, new TextEncoder().encode(IGNORE_ALL));
    } finally {
      disk.close(handle);
    }
  } catch (error) {
    // Another command made it a moment ago.
    if (codeOf(error) !== 'EEXIST') throw refusalOf(error, folder);
  }
  return folder;
}

/** The text of a file in the private folder, or null where there is none. */
export function privateText(season: string, name: string): string | null {
  try {
    return realDisk.text(join(season, PRIVATE_FOLDER, name));
  } catch {
    return null;
  }
}

/** What a file of JSON there holds; one that is gone or damaged is as good as none: it holds no record. */
export function readPrivate(season: string, name: string): Readonly<Record<string, unknown>> {
  try {
    const value = JSON.parse(privateText(season, name) ?? '') as unknown;
    if (typeof value === 'object' && value !== null) return value as Record<string, unknown>;
  } catch {
    // Told above.
  }
  return {};
}

/**
 * Keeps a text in the private folder. It is made beside the old one, by each process in a file of its
 * own, and renamed: a crash, or two at once, leave one of the texts whole.
 *
 * @returns false when the disk refuses: what is kept there is a help, and a command answers without it
 */
export function keepPrivately(season: string, name: string, text: string): boolean {
  const path = join(season, PRIVATE_FOLDER, name);
  const made = `${path}.${process.pid}.new`;
  try {
    privateFolder(season);
    writeFileSync(made, text);
    realDisk.rename(made, path);
    return true;
  } catch (error) {
    removeQuietly(realDisk, made);
    if (!(refusalOf(error, path) instanceof WriteRefused)) throw error;
    return false;
  }
}
