/**
 * `traybook/api`: a season read by a script. Each document is what the command of that name prints
 * with `--json`, read the same way; its type comes from the same schema. Nothing here writes a record.
 */
import { resolve } from 'node:path';
import { answerTo } from './cli.ts';
import { exitCodes } from './commands/command.ts';
import { hostOffsets } from './io/host-offsets.ts';
import { askFirst } from './text/zone.ts';

/** The documents that can be read: commands that draw figures from a season and change nothing. */
export const documentNames = [
  'today',
  'check',
  'occupancy',
  'calendar',
  'flock',
  'brooders',
  'costs',
  'breeders',
  'summary',
  'review',
  'diagnose',
  'plan',
  'forecast',
  'rates',
  'eggs-for',
  'list',
  'history',
] as const;

export type DocumentName = (typeof documentNames)[number];

/** Options of those commands that put something on the disk. */
const WRITES = /^--(?:write|accept)(?:=|$)/;

export type SeasonOptions = {
  /** The moment the book is read at, such as `2027-04-24T07:00` in the season's zone; else now. */
  readonly now?: string;
};

/** A season that cannot be read, or words that a command does not take. */
export class SeasonError extends Error {
  override readonly name = 'SeasonError';
  /** What the command would have ended with: 2 wrong words, 3 a folder that cannot be read. */
  readonly exit: number;

  constructor(message: string, exit: number) {
    super(message);
    this.exit = exit;
  }
}

/** A season at one moment. */
export class Season {
  readonly folder: string;
  readonly now: string | undefined;

  constructor(folder: string, now: string | undefined) {
    this.folder = folder;
    this.now = now;
  }

  /**
   * Reads one document: `read('today')`, `read('review')`, `read('list', 'hatch')`,
   * `read('eggs-for', '40', '--want', 'pullets')`.
   *
   * @param name a command that reads
   * @param words what would follow it on the command line
   * @returns the document that the command prints with `--json`
   * @throws SeasonError if the folder cannot be read or the words cannot be meant so
   */
  async read(name: DocumentName, ...words: readonly string[]): Promise<unknown> {
    if (!documentNames.includes(name) || words.some((word) => WRITES.test(word)))
      throw new SeasonError(
        `${[name, ...words].join(' ')}: nothing is written here`,
        exitCodes.words,
      );
    const moment = this.now === undefined ? [] : ['--now', this.now];
    const { stdout, stderr, exit } = await answerTo(
      ['--season', this.folder, ...moment, '--json', name, ...words],
      {
        cwd: process.cwd(),
        env: {},
        instant: Date.now(),
        random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)),
        isTerminal: false,
        columns: undefined,
        canAsk: false,
      },
    );
    // `check` and a plan that is not met end with 1, and have a document all the same.
    if (!stdout.startsWith('{')) throw new SeasonError(stderr.trimEnd(), exit);
    return JSON.parse(stdout);
  }
}

/**
 * Opens a season folder.
 *
 * @param folder the folder that holds `season.yaml`
 * @throws SeasonError if the folder cannot be read as it stands: the message tells every fault
 */
export async function openSeason(folder: string, { now }: SeasonOptions = {}): Promise<Season> {
  askFirst(hostOffsets);
  const season = new Season(resolve(folder), now);
  await season.read('today');
  return season;
}
