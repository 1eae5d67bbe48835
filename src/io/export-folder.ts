import { existsSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { realDisk } from './disk.ts';
import { refusalOfNew, WriteRefused } from './refusal.ts';
import { noteWritten } from './written.ts';

/** The file that marks a folder as an export, which a later export may replace. */
const MARK = 'datapackage.json';

/**
 * Writes a folder of text files whole: it is made beside its place as `.NAME.new` and moved in at the
 * end, so a failure leaves what was there; what a killed writer left is gone over by the next. A
 * folder with anything but an earlier export in it is not touched.
 *
 * @throws WriteRefused if the folder holds something else, or cannot be written
 */
export function writeExport(folder: string, files: ReadonlyMap<string, string>): void {
  const stands = existsSync(folder);
  if (stands) {
    const names = namesIn(folder);
    if (names.length > 0 && !isExport(folder, names))
      throw new WriteRefused(
        `${folder}: not written: the folder is not empty and holds no earlier export`,
        'give the name of a new folder',
      );
  }
  const making = join(dirname(folder), `.${basename(folder)}.new`);
  const old = join(dirname(folder), `.${basename(folder)}.old`);
  /** The highest folder made on the way. */
  let made = making;
  try {
    rmSync(making, { recursive: true, force: true });
    rmSync(old, { recursive: true, force: true });
    made = realDisk.makeFolder(making) ?? making;
    for (const [name, text] of files) writeFileSync(join(making, name), text, { flush: true });
    if (stands) renameSync(folder, old);
    try {
      renameSync(making, folder);
    } catch (error) {
      if (stands) renameSync(old, folder);
      throw error;
    }
  } catch (error) {
    removeQuietly(made);
    throw refusalOfNew(error, folder);
  }
  noteWritten(folder);
  removeQuietly(old);
}

/** What is left over is gone over by the next export. */
function removeQuietly(path: string): void {
  try {
    rmSync(path, { recursive: true, force: true });
  } catch {
    // The refusal under way, or the export that stands, tells more.
  }
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    throw refusalOfNew(error, folder);
  }
}

/** True if every file is one that an export writes: tables, their lines of JSON, the descriptor. */
function isExport(folder: string, names: readonly string[]): boolean {
  if (
    !names.includes(MARK) ||
    !names.every((name) => /\.(csv|ndjson)$|^datapackage\.json$/.test(name))
  )
    return false;
  try {
    return /"name":\s*"traybook-/.test(readFileSync(join(folder, MARK), 'utf8'));
  } catch {
    return false;
  }
}
