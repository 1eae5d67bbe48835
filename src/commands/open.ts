import { basename, resolve } from 'node:path';
import { balanceFaults } from '../facts/checks/balance.ts';
import { orderFaults } from '../facts/checks/order.ts';
import { instantOf, localMinute } from '../facts/local-time.ts';
import { realDisk } from '../io/disk.ts';
import {
  type FolderRead,
  findSeasonBelow,
  findSeasonFolder,
  readSeasonFolder,
  SEASON_FILE,
} from '../io/season-folder.ts';
import type { Now, Season } from '../season/model.ts';
import { parseOn } from '../text/day.ts';
import { isNotice, stopsReading } from '../text/fault.ts';
import { type Context, exitCodes, Stop, unexpected } from './command.ts';
import { counted, faultLines } from './say.ts';

/** A season that can be worked with, and the moment it is looked at. */
export type OpenedSeason = {
  readonly folder: string;
  readonly read: FolderRead;
  readonly season: Season;
  readonly now: Now;
  /** What is worth knowing about the files, for stderr. */
  readonly notices: string;
};

/**
 * The season folder of this run.
 *
 * @throws Stop (exit 3) if there is none
 */
export function seasonFolder(context: Context): string {
  if (context.seasonOption !== undefined) {
    const folder = resolve(context.cwd, context.seasonOption);
    const found = basename(folder) === SEASON_FILE ? resolve(folder, '..') : folder;
    if (findSeasonFolder(found) === found) return found;
    throw new Stop(
      exitCodes.unreadable,
      `${context.seasonOption}: there is no ${SEASON_FILE} in this folder`,
      `to begin one: traybook new ${context.seasonOption}`,
    );
  }
  const found = findSeasonFolder(context.cwd) ?? findSeasonBelow(context.cwd);
  if (found !== null) return found;
  throw new Stop(
    exitCodes.unreadable,
    `no ${SEASON_FILE} in this folder, above it or below it`,
    'to begin a season: traybook new FOLDER; or point to one: --season FOLDER',
  );
}

/** The moment of this run in a zone: `--now`, else the clock. */
export function nowIn(zone: string, context: Context): Now {
  const instant =
    context.nowOption === undefined ? context.instant : readNow(context.nowOption, zone);
  const local = localMinute(instant, zone);
  const on = parseOn(local)!;
  return { instant, day: on.day, time: on.time! };
}

function readNow(text: string, zone: string): number {
  const on = parseOn(text);
  if (on !== null) return instantOf(`${on.day}T${on.time ?? '12:00'}`, zone);
  if (/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:\d{2})$/.test(text)) {
    const instant = Date.parse(text);
    if (!Number.isNaN(instant)) return instant;
  }
  throw unexpected(
    '--now or TRAYBOOK_NOW',
    'a day, a minute or an instant',
    text,
    'for example 2027-03-06T07:00',
  );
}

/**
 * Reads the season of this run.
 *
 * @throws Stop (exit 3) with every fault if figures must not be drawn from the folder
 */
export async function openSeason(context: Context): Promise<OpenedSeason> {
  const read = await readAtMoment(context);
  if (read.season === null) throw cannotRead(read);
  const now = nowIn(read.season.zone, context);
  return {
    folder: read.folder,
    read,
    season: read.season,
    now,
    notices:
      laterText(read, now) +
      faultLines(read.faults.filter((one) => isNotice(one.code))) +
      impossibleText(read.season),
  };
}

/** The folder of this run as it could be read at its moment. */
export function readAtMoment(context: Context): Promise<FolderRead> {
  const moment = (zone: string): Now => nowIn(zone, context);
  return readSeasonFolder(seasonFolder(context), realDisk, [], moment);
}

/** One line on the rows that the season leaves out, or none. */
export function laterText({ later }: FolderRead, now: Now): string {
  if (later.length === 0) return '';
  const rows = `${counted(later.length, 'row')} dated after ${now.day} ${now.time}`;
  return `${rows} ${later.length === 1 ? 'is' : 'are'} left out\n`;
}

/** Faults of this kind told in full by a command that is not `check`. */
const MOST_TOLD = 3;

/** Counts that cannot be, forced in or come by an edit: whoever reads a figure is to know of them. */
function impossibleText(season: Season): string {
  const faults = [...season.sets.values()]
    .flatMap((set) => set.shares)
    .flatMap((share) => [...balanceFaults(share), ...orderFaults(share)])
    .filter((one) => one.severity === 'error');
  const more = faults.length - MOST_TOLD;
  const rest = more > 0 ? `and ${more} more: traybook check\n` : '';
  return faultLines(faults.slice(0, MOST_TOLD)) + rest;
}

/** The refusal of a folder that cannot be read as it stands. */
export function cannotRead(read: FolderRead): Stop {
  const stopping = read.faults.filter(stopsReading);
  const lines = faultLines(stopping).trimEnd();
  return new Stop(
    exitCodes.unreadable,
    lines,
    'nothing was computed; `traybook check` lists everything',
  );
}
