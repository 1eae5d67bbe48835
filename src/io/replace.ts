import { dirname } from 'node:path';
import { type Disk, realDisk } from './disk.ts';
import { codeOf, refusalOf, WriteRefused } from './refusal.ts';

export type ReplaceOptions = {
  /** The text that the new one was made from: if the file holds another by now, nothing is written. */
  readonly expectedText: string;
  readonly disk?: Disk;
};

/**
 * Replaces a file whole: readers see the old text or the new, never a part, and a crash leaves one
 * of them. The caller holds the season's lock; the comparison catches an editor, which does not.
 *
 * @throws WriteRefused when the file changed or went since it was read, or cannot be written
 */
export async function replaceFile(
  path: string,
  newText: string,
  { expectedText, disk = realDisk }: ReplaceOptions,
): Promise<void> {
  // Loaded here, as commands that only read or append never need it.
  const { default: writeFileAtomic } = await import('write-file-atomic');
  compare(disk, path, expectedText);
  try {
    writeFileAtomic.sync(path, newText, { encoding: 'utf8', fsync: true });
    disk.syncFolder(dirname(path));
  } catch (error) {
    throw refusalOf(error, path);
  }
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
  if (found.equals(Buffer.from(expectedText, 'utf8'))) return;
  throw new WriteRefused(
    `${path}: not written: it changed on disk since it was read`,
    'save and close it in the editor, then repeat the command: it starts from what is there now',
  );
}
