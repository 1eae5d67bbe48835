import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { refusalOf, WriteRefused } from './refusal.ts';
import { noteWritten } from './written.ts';

/** The file that marks a folder as an export, which a later export may replace. */
const MARK = 'datapackage.json';

/**
 * Writes a folder of text files whole: it is made beside its place under another name and moved in
 * at the end, so a failure leaves what was there. A folder with anything but an earlier export in
 * it is not touched.
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
  let making: string | null = null;
  try {
    mkdirSync(dirname(folder), { recursive: true });
    making = mkdtempSync(join(dirname(folder), `.${basename(folder)}-`));
    for (const [name, text] of files) writeFileSync(join(making, name), text, { flush: true });
    const old = `${making}-old`;
    if (stands) renameSync(folder, old);
    renameSync(making, folder);
    making = null;
    noteWritten(folder);
    rmSync(old, { recursive: true, force: true });
  } catch (error) {
    throw refusalOf(error, folder);
  } finally {
    if (making !== null) rmSync(making, { recursive: true, force: true });
  }
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    throw refusalOf(error, folder);
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
