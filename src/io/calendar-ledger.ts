import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { realDisk } from './disk.ts';
import { privateFolder, privatePath } from './private-folder.ts';
import { refusalOf } from './refusal.ts';

/** What calendars were last given out of a season. */
export type KeptCalendars<Ledger> = {
  /** The ledger of each calendar, by its name. */
  readonly ledgers: Readonly<Record<string, Ledger>>;
};

const FILE = 'calendars.json';

/** A file that is gone, or no longer what the program wrote, is as good as none: it holds no record. */
export function keptCalendars<Ledger>(season: string): KeptCalendars<Ledger> {
  try {
    const value = JSON.parse(realDisk.text(privatePath(season, FILE))) as unknown;
    if (typeof value === 'object' && value !== null && 'ledgers' in value)
      return value as KeptCalendars<Ledger>;
  } catch {
    // Told above: there is none.
  }
  return { ledgers: {} };
}

/**
 * Keeps what was given out.
 *
 * @throws WriteRefused when the disk refuses
 */
export function keepCalendars<Ledger>(season: string, kept: KeptCalendars<Ledger>): void {
  const path = join(privateFolder(season), FILE);
  try {
    writeFileSync(`${path}.new`, `${JSON.stringify(kept)}\n`);
    realDisk.rename(`${path}.new`, path);
  } catch (error) {
    throw refusalOf(error, path);
  }
}
