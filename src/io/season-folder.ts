import { isUtf8 } from 'node:buffer';
import { dirname, join, resolve, sep } from 'node:path';
import { buildSeason } from '../facts/fold.ts';
import { type Effective, effectiveRows } from '../records/effective.ts';
import { EntryBook } from '../records/entry-book.ts';
import { kindOf, type RecordName, type Rows, recordNames } from '../records/index.ts';
import { type BrokenRow, LONG_LOG, readLog } from '../records/read.ts';
import type { Row } from '../records/record.ts';
import type { Now, Season, WeatherDay } from '../season/model.ts';
import { rowsUpTo } from '../season/moment.ts';
import type { SeasonFile, SeasonFileRead } from '../season/read-file.ts';
import { readPlainSeasonFile } from '../season/read-plain-file.ts';
import { farRows } from '../season/years.ts';
import { type Fault, fault, inOrder, stopsReading } from '../text/fault.ts';
import { addAll } from '../text/lists.ts';
import { once } from '../text/once.ts';
import { headOf, type Source } from '../text/source.ts';
import { type Disk, type FileFacts, realDisk } from './disk.ts';
import { earlierWeather } from './earlier-weather.ts';
import { codeOf } from './refusal.ts';
import { tornFiles } from './torn.ts';

export const SEASON_FILE = 'season.yaml';
export const LOG_FOLDER = 'log';

/** The nearest folder at or above `start` that holds a season file, or null. */
export function findSeasonFolder(start: string, disk: Disk = realDisk): string | null {
  let folder = resolve(start);
  for (;;) {
    if (holdsSeasonFile(folder, disk)) return folder;
    const above = dirname(folder);
    if (above === folder) return null;
    folder = above;
  }
}

/** How far below a folder its seasons are looked for, and in how many folders. */
const DEEPEST_BELOW = 2;
const MOST_BELOW = 500;
/** The year of a season, by the line that says it. */
const YEAR = /^season:.*?\b(\d{4})\b/m;

/** Of the seasons in folders below `start` the newest, by its year, then by its name; or null. */
export function findSeasonBelow(start: string, disk: Disk = realDisk): string | null {
  let found: { readonly folder: string; readonly year: number } | null = null;
  let looked = 0;
  const look = (folder: string, depth: number): void => {
    for (const name of namesIn(folder, disk)) {
      if (name.startsWith('.') || name === 'node_modules') continue;
      looked += 1;
      if (looked > MOST_BELOW) return;
      const path = join(folder, name);
      const source = readText(join(path, SEASON_FILE), SEASON_FILE, disk);
      if (!('code' in source)) {
        const year = Number(YEAR.exec(source.text)?.[1] ?? 0);
        if (found === null || year >= found.year) found = { folder: path, year };
      } else if (depth < DEEPEST_BELOW) look(path, depth + 1);
    }
  };
  look(resolve(start), 1);
  return (found as { readonly folder: string } | null)?.folder ?? null;
}

/** The folders in a folder; none where it cannot be looked into. */
function namesIn(folder: string, disk: Disk): string[] {
  try {
    return disk.list(folder).filter((name) => disk.target(join(folder, name))?.kind === 'folder');
  } catch (error) {
    if (codeOf(error) === '') throw error;
    return [];
  }
}

/** False as well for a path that cannot be one: too long, through a file, not to be entered. */
function holdsSeasonFile(folder: string, disk: Disk): boolean {
  try {
    return disk.facts(join(folder, SEASON_FILE)) !== null;
  } catch (error) {
    if (codeOf(error) === '') throw error;
    return false;
  }
}

/** Stands in a text for bytes that are no UTF-8, or, rarely, for itself. */
const NO_UTF8 = '\ufffd';

/** Largest log read, in bytes: a keeper's season is some hundred kilobytes. */
export const LARGEST_LOG = 512 * 1024 * 1024;

const CANNOT_READ: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EACCES: 'it may not be read: the permissions forbid it',
  EPERM: 'it may not be read: the permissions forbid it',
  EISDIR: 'it is a folder, not a file',
  ENOTDIR: 'there is a file where a folder of its path should be',
  ELOOP: 'it is a link that leads back to itself',
  EIO: 'the disk reported a fault while it was read',
};

/** What keeps a path from being read as a file, in words, or `null`: a pipe would never end. */
function notAFile(found: FileFacts | null, path: string, disk: Disk): string | null {
  if (found === null)
    return disk.facts(path) === null ? null : 'it is a link that leads to nothing';
  if (found.kind === 'folder') return CANNOT_READ.EISDIR!;
  return found.kind === 'other' ? 'it is a pipe or a device, not a file' : null;
}

/** Reads a text file; anything that stands in the way is a fault with the path as `shown`. */
export function readText(path: string, shown: string, disk: Disk = realDisk): Source | Fault {
  try {
    const facts = disk.target(path);
    const wrong = notAFile(facts, path, disk);
    if (wrong !== null)
      return fault(facts === null ? 'file-missing' : 'file-unreadable', headOf(shown), wrong);
    if (facts !== null && facts.size > LARGEST_LOG)
      return fault(
        'file-too-large',
        headOf(shown),
        `expected at most ${LARGEST_LOG} bytes, found ${facts.size}`,
      );
    // A byte order mark stays in the text, so that the reader can name it.
    if (facts === null || facts.size <= LONG_LOG) {
      const text = disk.text(path);
      if (!text.includes(NO_UTF8)) return { path: shown, text };
    }
    const bytes = disk.read(path);
    if (isUtf8(bytes)) return { path: shown, text: bytes.toString('utf8') };
    const utf16 = bytes[0] === 0xff || bytes[0] === 0xfe;
    return fault(
      'file-not-utf8',
      headOf(shown),
      `expected text in UTF-8, found ${utf16 ? 'UTF-16' : 'other bytes'}`,
      {
        hint: 'a spreadsheet saved it: save again as "CSV UTF-8"',
      },
    );
  } catch (error) {
    const code = codeOf(error);
    if (code === '') throw error;
    return fault(
      code === 'ENOENT' ? 'file-missing' : 'file-unreadable',
      headOf(shown),
      CANNOT_READ[code] ?? `it cannot be read (${code})`,
    );
  }
}

/** The bytes of a file from outside the folder, or what stands in the way, in words. */
export function readBytes(path: string, most: number, disk: Disk = realDisk): Uint8Array | string {
  try {
    const facts = disk.target(path);
    const wrong = notAFile(facts, path, disk);
    if (wrong !== null) return wrong;
    if (facts !== null && facts.size > most)
      return `expected at most ${most} bytes, found ${facts.size}`;
    return disk.read(path);
  } catch (error) {
    const code = codeOf(error);
    if (code === '') throw error;
    return CANNOT_READ[code] ?? `it cannot be read (${code})`;
  }
}

/** A season folder, read: the season if the files allow one, and every fault of the files. */
export type FolderRead = {
  readonly folder: string;
  readonly file: SeasonFile | null;
  /** Null when a fault forbids drawing figures from the folder. */
  readonly season: Season | null;
  readonly faults: readonly Fault[];
  /** Every version of every row of a record, by the entry of its first version. */
  readonly versions: (record: RecordName) => ReadonlyMap<string, readonly Row[]>;
  /** Rows that cannot be read and that no later row replaced, by entry. */
  readonly broken: ReadonlyMap<string, BrokenRow & { readonly record: RecordName }>;
  /** A row of every entry in use over all logs. */
  readonly entries: EntryBook;
  /** Rows dated after the moment the book is read at, which the season leaves out. */
  readonly later: readonly Row[];
  /** What was read, by path shown, for faults and rewrites. */
  readonly sources: ReadonlyMap<string, Source>;
};

/** Replaces or adds rows of one log while reading: how a row is tried before it is written. */
export type Trial = { readonly record: RecordName; readonly rows: readonly Row[] };

/** Reads a season file; what reads a file that is not plain is loaded only for such a one. */
async function readSeasonText(source: Source): Promise<SeasonFileRead> {
  const plain = readPlainSeasonFile(source);
  if (plain !== null) return { file: plain, faults: [] };
  const { readSeasonFile } = await import('../season/read-file.ts');
  return readSeasonFile(source);
}

/**
 * Reads a season folder whole. Reading never writes.
 * @param momentIn the moment the book is read at, in the season's zone: rows dated after it are left
 *   out of the season; null takes all
 */
export async function readSeasonFolder(
  folder: string,
  disk: Disk = realDisk,
  trials: readonly Trial[] = [],
  momentIn: ((zone: string) => Now) | null = null,
): Promise<FolderRead> {
  const faults: Fault[] = [];
  const sources = new Map<string, Source>();
  const seasonText = readText(join(folder, SEASON_FILE), SEASON_FILE, disk);
  let file: SeasonFile | null = null;
  if ('code' in seasonText) faults.push(seasonText);
  else {
    sources.set(SEASON_FILE, seasonText);
    const read = await readSeasonText(seasonText);
    addAll(faults, read.faults);
    file = read.file;
  }
  const rows: Partial<Record<RecordName, readonly Row[]>> = {};
  const versions = new Map<RecordName, Effective['versions']>();
  const entries = new EntryBook();
  const broken = new Map<string, BrokenRow & { record: RecordName }>();
  const logs = join(folder, LOG_FOLDER);
  const hasLogs = logFolderStands(logs, disk, faults);
  for (const name of recordNames) {
    const kind = kindOf(name);
    const shown = `${LOG_FOLDER}/${kind.file}`;
    let all: readonly Row[] = [];
    let unread: readonly BrokenRow[] = [];
    const source = hasLogs ? readLogText(`${logs}${sep}${kind.file}`, shown, disk) : null;
    if (source !== null && 'code' in source) faults.push(source);
    else if (source !== null && source.text !== '') {
      const whole = withoutTornLine(source, faults);
      // A log cut inside its header was begun in vain: it reads as none, and is begun again.
      if (whole.text !== '') {
        sources.set(shown, source);
        // Rows of a long log leave much behind; the collector waits less before it clears it away.
        if (whole.text.length > LONG_LOG)
          (await import('node:v8')).setFlagsFromString('--heap-growing-percent=30');
        const log = readLog(kind, whole);
        addAll(faults, log.faults);
        all = log.rows;
        unread = log.broken;
      }
    }
    const tried = trials.filter((one) => one.record === name).flatMap((one) => one.rows);
    if (tried.length > 0) all = [...all, ...tried];
    const amended = new Set(unread.length === 0 ? [] : all.map((row) => row.amends));
    for (const one of unread) {
      if (amended.has(one.entry)) continue;
      addAll(faults, one.faults);
      broken.set(one.entry, { ...one, record: name });
    }
    const effective = effectiveRows(
      all,
      entries,
      new Map(unread.map((one) => [one.entry, one.amends] as const)),
    );
    addAll(faults, effective.faults);
    if (file !== null) addAll(faults, farRows(kind, effective.rows, file.values));
    versions.set(name, effective.versions);
    rows[name] = effective.rows;
  }
  for (const torn of hasLogs ? tornFiles(disk, logs) : [])
    faults.push(
      fault(
        'torn-line',
        headOf(torn.path),
        `a line of ${torn.log} was cut short and set aside: ${JSON.stringify(torn.text)}`,
        {
          hint: `add the row again if it is missing, then delete ${torn.path}`,
        },
      ),
    );
  let season: Season | null = null;
  let later: readonly Row[] = [];
  if (file !== null && !faults.some(stopsReading)) {
    const now = momentIn?.(file.values.place.timezone) ?? null;
    const upTo =
      now === null
        ? { rows: rows as unknown as Rows, later }
        : rowsUpTo(rows as unknown as Rows, now);
    later = upTo.later;
    const built = buildSeason(file, upTo.rows);
    addAll(faults, built.faults);
    if (!built.faults.some(stopsReading))
      season = withWeather(
        built.season,
        await earlierWeather(folder, built.season, {
          text: (path) => readText(path, path, disk),
          seasonFile: readSeasonText,
        }),
      );
  }
  return {
    folder,
    file,
    season,
    faults: inOrder(faults),
    versions: (record) => versions.get(record)!(),
    broken,
    entries,
    later,
    sources,
  };
}

/** The season with the weather of earlier ones, worked out when somebody looks at it. */
function withWeather(season: Season, weather: () => readonly WeatherDay[]): Season {
  const known = once(weather);
  return {
    ...season,
    get earlierWeather() {
      return known();
    },
  };
}

/** True if there is a folder of logs; whatever else stands in its place is a fault. */
function logFolderStands(path: string, disk: Disk, faults: Fault[]): boolean {
  const told = (sentence: string): boolean => {
    faults.push(fault('file-unreadable', headOf(LOG_FOLDER), sentence));
    return false;
  };
  try {
    const found = disk.target(path);
    if (found === null)
      return disk.facts(path) === null ? false : told('it is a link that leads to nothing');
    return found.kind === 'folder' || told('it is a file, not the folder of the logs');
  } catch (error) {
    const code = codeOf(error);
    if (code === '') throw error;
    return told(CANNOT_READ[code] ?? `it cannot be read (${code})`);
  }
}

/** The text of a log, null if there is no such log. */
function readLogText(path: string, shown: string, disk: Disk): Source | Fault | null {
  const source = readText(path, shown, disk);
  const isNone = 'code' in source && source.code === 'file-missing' && disk.facts(path) === null;
  return isNone ? null : source;
}

/** A last line without its line feed was cut by a crash: it is told, and not believed. */
function withoutTornLine(source: Source, faults: Fault[]): Source {
  // Line ends of carriage returns alone: another fault, which the reader of the table tells.
  const isOldMac = !source.text.includes('\n') && /\r./.test(source.text);
  if (isOldMac || source.text.endsWith('\n')) return source;
  const cut = source.text.lastIndexOf('\n') + 1;
  const line = source.text.slice(0, cut).split('\n').length;
  faults.push(
    fault(
      'torn-line',
      { file: source.path, line, column: 1 },
      `the last line was cut short: ${JSON.stringify(source.text.slice(cut, cut + 200))}`,
      {
        hint: 'it is not counted; the next `add` sets it aside. If an editor left out the last line feed, add one',
      },
    ),
  );
  return { path: source.path, text: source.text.slice(0, cut) };
}
