import { join } from 'node:path';
import type { Disk } from './disk.ts';
import { codeOf } from './refusal.ts';

/** A torn last line that was set aside, as it lies beside its log. */
export type TornFile = {
  /** `log/sets.csv.torn-20270306T183000Z` */
  readonly path: string;
  /** The log it was cut from: `log/sets.csv` */
  readonly log: string;
  /** When it was set aside, UTC: `20270306T183000Z` */
  readonly stamp: string;
  /** The torn line itself, broken characters replaced. */
  readonly text: string;
};

/** The most of a torn line that a report carries, in characters. */
const SHOWN = 200;
const SHOWN_BYTES = 4 * SHOWN;

const TORN = '.torn-';
const TORN_NAME = /^(.+\.csv)\.torn-(\d{8}T\d{6}Z)(?:-\d+)?$/;

/** The beginning of a torn line; empty if it cannot be read: that it is there is the news. */
function textOf(disk: Disk, path: string): string {
  try {
    if (disk.target(path)?.kind !== 'file') return '';
    return disk.read(path).subarray(0, SHOWN_BYTES).toString('utf8').slice(0, SHOWN);
  } catch (error) {
    if (codeOf(error) === '') throw error;
    return '';
  }
}

/** The time stamp of torn files: `20270306T183000Z`. */
export function tornStamp(at: Date): string {
  return `${at.toISOString().slice(0, 19).replace(/[-:]/g, '')}Z`;
}

/**
 * Lists the torn lines that were set aside and not looked at yet. A keeper settles one by taking
 * the row over, if it is right, and deleting the file.
 *
 * @param logFolder the season's `log` folder; one that is missing has none
 */
export function tornFiles(disk: Disk, logFolder: string): TornFile[] {
  if (disk.facts(logFolder) === null) return [];
  const found: TornFile[] = [];
  for (const name of disk.list(logFolder)) {
    // The pattern is made ready only for a folder that holds such a file.
    if (!name.includes(TORN)) continue;
    const match = TORN_NAME.exec(name);
    if (match === null) continue;
    found.push({
      path: join('log', name),
      log: join('log', match[1]!),
      stamp: match[2]!,
      text: textOf(disk, join(logFolder, name)),
    });
  }
  return found;
}
