import type { Command } from 'commander';
import type { Progresses } from '../io/progress.ts';
import type { Paint } from '../tables/paint.ts';
import { expectedFound, quoted } from '../text/fault.ts';

/** What surrounds one run of the program. */
export type Context = {
  readonly cwd: string;
  /** `--season`, else `TRAYBOOK_SEASON`, or undefined. */
  readonly seasonOption: string | undefined;
  /** `--now`, else `TRAYBOOK_NOW`, or undefined. */
  readonly nowOption: string | undefined;
  readonly json: boolean;
  /** Nothing but plain text: asked for, or not on a terminal. */
  readonly plain: boolean;
  /** Only ASCII: asked for by `--plain`. */
  readonly ascii: boolean;
  readonly colour: boolean;
  /** Letters for colour and weight; each leaves the text as it is where there is none. */
  readonly paint: Paint;
  /** A terminal: tables are made to fit its width. */
  readonly fits: boolean;
  /** Everything, however long: `--full`. */
  readonly full: boolean;
  /** Columns of the terminal, or 80. */
  readonly width: number;
  /** Says on the terminal how far a work is that takes over a second; silent in a pipe. */
  readonly progress: Progresses;
  /** Someone sits at a terminal and can answer. */
  readonly canAsk: boolean;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Milliseconds since 1970. */
  readonly instant: number;
  /** Random bytes, for entries. */
  readonly random: (bytes: number) => Uint8Array;
  /** Shows a part of the answer before the rest is known; null where nobody watches it come. */
  readonly show: ((text: string) => void) | null;
  /** The words of the command line after the program's name. */
  readonly words: readonly string[];
  /** Every command, for those that tell of the others. */
  readonly commands: readonly CommandRow[];
};

/** A command in the list of all: loaded only when it is the one that runs. */
export type CommandRow = {
  readonly name: string;
  /** Which of the keeper's questions it answers. */
  readonly asks: 'before' | 'daily' | 'during' | 'after' | 'book';
  readonly summary: string;
  readonly load: () => Promise<{ readonly command: CommandModule }>;
};

/** What a run leaves: text for both streams, and the exit code. */
export type CommandOutcome = {
  readonly stdout?: string;
  readonly stderr?: string;
  readonly exit?: number;
};

export type Options = Readonly<Record<string, unknown>>;

/** One command: its words, and what it does. */
export type CommandModule = {
  /** Adds arguments and options; `words` are those after the command's name. */
  define(command: Command, words: readonly string[]): void;
  run(
    context: Context,
    words: readonly (string | undefined)[],
    options: Options,
  ): Promise<CommandOutcome>;
  /** The words an argument or an option may be, by its name, for completion. */
  readonly words?: (
    commands: readonly string[],
  ) => Promise<Readonly<Record<string, readonly string[]>>>;
  /** What to do instead, where `--json` has no meaning: the command is then refused with it. */
  readonly withoutJson?: string;
  /** Command lines shown at the end of `--help`, without the program's name. */
  readonly examples: readonly string[] | ((words: readonly string[]) => readonly string[]);
};

/** Adds the options that every command takes. */
export function optionsOfAll(command: Command): void {
  command
    .option('--season <dir>', 'the season folder')
    .option('--now <time>', 'another moment than the clock shows')
    .option('--json', 'for other programs')
    .option('--full', 'everything, however long')
    .option('--plain', 'plain ASCII, no colour');
}

/** Ends a command: caught in cli.ts, which prints it and sets the exit code. */
export class Stop extends Error {
  constructor(
    readonly exit: number,
    message: string,
    readonly hint: string | null = null,
  ) {
    super(message);
  }
}

export const exitCodes = {
  done: 0,
  found: 1,
  words: 2,
  unreadable: 3,
  unwritten: 4,
  /** Written, but the answer could not be delivered. */
  undelivered: 5,
} as const;

/** A command line that cannot be meant so. */
export function wrongWords(message: string, hint: string | null = null): Stop {
  return new Stop(exitCodes.words, message, hint);
}

/** @throws Stop where two options are given of which one can be answered */
export function onlyOne(
  options: Readonly<Record<string, unknown>>,
  ...names: readonly string[]
): void {
  const given = names.filter((name) => options[name] === true);
  if (given.length > 1)
    throw wrongWords(`${given.map((name) => `--${name}`).join(' and ')} at once`, 'choose one');
}

/** The same for a flag or argument that is not what it must be, with what was found in quotes. */
export function unexpected(
  what: string,
  expected: string,
  found: unknown,
  hint: string | null = null,
): Stop {
  return wrongWords(expectedFound(what, expected, quoted(String(found))), hint);
}

/**
 * A whole number of the command line.
 *
 * @throws Stop (exit 2) for anything else
 */
export function wholeNumber(text: unknown, what: string, least: number, most: number): number {
  const value = Number(text);
  if (!Number.isSafeInteger(value) || value < least || value > most || String(text).trim() === '')
    throw unexpected(what, `a whole number from ${least} to ${most}`, text);
  return value;
}

/** The examples of a command's help, for the words it was asked about. */
export function examplesOf(command: CommandModule, words: readonly string[]): readonly string[] {
  return typeof command.examples === 'function' ? command.examples(words) : command.examples;
}
