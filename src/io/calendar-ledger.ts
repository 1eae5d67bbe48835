import { keepPrivately, privateText } from './private-folder.ts';

/** What calendars were last given out of a season. */
export type KeptCalendars<Ledger> = {
  /** The ledger of each calendar, by its name. */
  readonly ledgers: Readonly<Record<string, Ledger>>;
};

const FILE = 'calendars.json';

/** A file that is gone, or no longer what the program wrote, is as good as none: it holds no record. */
export function keptCalendars<Ledger>(season: string): KeptCalendars<Ledger> {
  try {
    const value = JSON.parse(privateText(season, FILE) ?? '') as unknown;
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
  keepPrivately(season, FILE, `${JSON.stringify(kept)}\n`);
}
