import { resolve } from 'node:path';
import {
  type CommandOutcome,
  type CommandRow,
  type Context,
  examplesOf,
  exitCodes,
  optionsOfAll,
  Stop,
} from './commands/command.ts';
import { commands, questions } from './commands/index.ts';
import { hostOffsets } from './io/host-offsets.ts';
import { isSurelyNoTerminal, writtenAtOnce } from './io/output.ts';
import { onTerminal, type Progresses, silent } from './io/progress.ts';
import { takeWritten } from './io/written.ts';
import { unpainted } from './tables/paint.ts';
import { linesForTerminal } from './text/escape.ts';
import { largest } from './text/lists.ts';
import { didYouMean } from './text/nearest.ts';
import { askFirst } from './text/zone.ts';

declare const TRAYBOOK_VERSION: string;

const GLOBAL_WITH_VALUE = new Set(['--season', '--now']);
const GLOBAL = new Set(['--json', '--plain', '--full']);

/** What a run gets from the process it runs in. */
export type Surroundings = Pick<Context, 'cwd' | 'env' | 'instant' | 'random'> & {
  readonly isTerminal: boolean;
  /** Columns of the terminal, if it is one. */
  readonly columns: number | undefined;
  /** Someone sits at the terminal and can answer. */
  readonly canAsk: boolean;
  readonly progress?: Progresses;
  readonly show?: Context['show'];
};

/**
 * Runs one command line. `argv` is Node's own: program, script, words.
 *
 * @returns true if all is written and nothing is left to wait for, so that the process may end at
 *   once: what Node's streams were given may still be under way
 */
export async function main(argv: readonly string[]): Promise<boolean> {
  askFirst(hostOffsets);
  const isTerminal = !isSurelyNoTerminal() && process.stdout.isTTY === true;
  const outcome = await answerTo(argv.slice(2), {
    cwd: process.cwd(),
    env: process.env,
    instant: Date.now(),
    random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)),
    isTerminal,
    columns: isTerminal ? process.stdout.columns : undefined,
    canAsk: isTerminal && process.stdin.isTTY === true,
    progress: onTerminal,
    show: isTerminal ? (text) => void process.stdout.write(text) : null,
  });
  if (outcome.stderr) process.stderr.write(outcome.stderr);
  process.exitCode = outcome.exit;
  if (isTerminal && (await isPaged(outcome.stdout))) return false;
  const isWritten = outcome.stdout === '' || print(outcome.stdout, isTerminal, outcome.written);
  return isWritten && outcome.stderr === '' && !isTerminal;
}

/** Shows page by page what is longer than the screen; false if it is not, or there is no pager. */
async function isPaged(text: string): Promise<boolean> {
  const { rows } = process.stdout;
  if (!rows || text.split('\n').length <= rows) return false;
  const { showPaged } = await import('./io/pager.ts');
  return showPaged(text, process.env);
}

/** Says that the answer is lost, and what was written before; sets the exit code. */
function undelivered(error: Error, written: readonly string[]): void {
  process.exitCode = written.length === 0 ? exitCodes.unwritten : exitCodes.undelivered;
  try {
    process.stderr.write(
      `the answer could not be written: ${error.message}\n${writtenText(written)}`,
    );
  } catch {
    // Nobody is left to tell; the exit code does.
  }
}

function writtenText(written: readonly string[]): string {
  return written.length === 0 ? '' : `  it is recorded, though: ${written.join(', ')}\n`;
}

/** Prints to standard output; true if nothing was left to Node's streams. */
function print(text: string, isTerminal: boolean, written: readonly string[]): boolean {
  let rest: string | Uint8Array | null;
  try {
    rest = isTerminal ? text : writtenAtOnce(text);
  } catch (error) {
    undelivered(error as Error, written);
    return false;
  }
  // A reader that closes the pipe early is not an error.
  if (rest === null) process.exit();
  if (rest.length === 0) return true;
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit();
    undelivered(error, written);
  });
  process.stdout.write(rest);
  return false;
}

/** The answer to a command line. */
type CommandAnswer = Required<CommandOutcome> & {
  /** What was put on the disk on the way, in a few words each. */
  readonly written: readonly string[];
};

/** What a command line is answered with: the text for both streams and the exit code. Never throws. */
export async function answerTo(
  words: readonly string[],
  around: Surroundings,
): Promise<CommandAnswer> {
  takeWritten();
  try {
    const { stdout = '', stderr = '', exit = exitCodes.done } = await outcomeOf(words, around);
    return { stdout, stderr, exit, written: takeWritten() };
  } catch (error) {
    const written = takeWritten();
    const text = failureText(error, around.env) + writtenText(written);
    return {
      stdout: '',
      stderr: linesForTerminal(shortLines(text)),
      exit: written.length === 0 ? exitCodeOf(error) : exitCodes.undelivered,
      written,
    };
  }
}

/** The most of one line of a message: words and files may be of any length. */
const LONGEST_LINE = 1000;

function shortLines(text: string): string {
  if (text.length <= LONGEST_LINE) return text;
  return text
    .split('\n')
    .map((line) =>
      // The end of a line says what is wrong with what stands before.
      line.length > LONGEST_LINE
        ? `${line.slice(0, LONGEST_LINE * 0.7)}…${line.slice(-LONGEST_LINE * 0.3)}`
        : line,
    )
    .join('\n');
}

function failureText(error: unknown, env: Surroundings['env']): string {
  if (error instanceof Stop)
    return `${error.message}\n${error.hint === null ? '' : `  hint: ${error.hint}\n`}`;
  if (isRefusal(error)) return `${error.message}\n  hint: ${error.hint}\n`;
  const stack = env.DEBUG && error instanceof Error ? `${error.stack}\n` : '';
  const message = error instanceof Error ? error.message : String(error);
  return `traybook ${TRAYBOOK_VERSION}: this is a fault of the program, not of your records: ${message}\n${stack || '  hint: DEBUG=1 shows where\n'}`;
}

/** A write that was refused, by its shape: its module belongs to the commands that write. */
function isRefusal(error: unknown): error is Error & { hint: string } {
  return error instanceof Error && error.name === 'WriteRefused';
}

function exitCodeOf(error: unknown): number {
  if (error instanceof Stop) return error.exit;
  if (isRefusal(error)) return exitCodes.unwritten;
  return 70;
}

/** The command's name among the words, and the words without it. */
function split(words: readonly string[]): { name: string | null; rest: string[] } {
  for (let index = 0; index < words.length; index += 1) {
    const word = words[index]!;
    if (GLOBAL_WITH_VALUE.has(word)) index += 1;
    else if (!word.startsWith('-')) return { name: word, rest: words.toSpliced(index, 1) };
  }
  return { name: null, rest: [...words] };
}

async function outcomeOf(words: readonly string[], around: Surroundings): Promise<CommandOutcome> {
  const { name, rest } = split(words);
  if (name === null) {
    const unknown = rest.find(
      (word, index) =>
        word.startsWith('-') &&
        !['--help', '-h', ...GLOBAL, ...GLOBAL_WITH_VALUE].includes(word) &&
        !GLOBAL_WITH_VALUE.has(rest[index - 1] ?? ''),
    );
    if (unknown !== undefined)
      throw new Stop(
        exitCodes.words,
        `unknown option ${JSON.stringify(unknown)}`,
        'traybook --help shows the commands',
      );
    if (rest.includes('--help') || rest.includes('-h')) return { stdout: await overview(around) };
    const { welcome } = await import('./commands/welcome.ts');
    const given = rest.lastIndexOf('--season');
    const folder = given < 0 ? set(around.env.TRAYBOOK_SEASON) : rest[given + 1];
    return { stdout: welcome(resolve(around.cwd, folder ?? '.')) ?? (await overview(around)) };
  }
  if (name === 'help') {
    const about = rest.find((word) => !word.startsWith('-'));
    if (about === undefined) return { stdout: await overview(around) };
    return runCommand(rowOf(about), ['--help'], words, around);
  }
  return runCommand(rowOf(name), rest, words, around);
}

/** A variable of the environment; one that is set to nothing is not set. */
function set(variable: string | undefined): string | undefined {
  return variable === '' ? undefined : variable;
}

function rowOf(name: string): CommandRow {
  const row = commands.find((one) => one.name === name);
  if (row !== undefined) return row;
  throw new Stop(
    exitCodes.words,
    `unknown command ${JSON.stringify(name)}`,
    didYouMean(
      name,
      commands.map((one) => one.name),
    ) ?? 'traybook --help shows the commands',
  );
}

/** Columns of the terminal; 80 in a pipe. */
function widthOn({ isTerminal, columns }: Pick<Surroundings, 'isTerminal' | 'columns'>): number {
  const usual = 80;
  return isTerminal ? Math.max(40, columns ?? usual) : usual;
}

async function overview(around: Surroundings): Promise<string> {
  const { hanging } = await import('./tables/wrap.ts');
  const width = widthOn(around);
  const names = largest(commands.map((one) => one.name.length));
  const rows = (pairs: readonly (readonly [string, string])[], room: number): string[] =>
    pairs.map(([name, text]) => hanging(`  ${name.padEnd(room)}  `, text, width));
  return [
    hanging(
      '',
      'traybook: the season book of a small breeder who hatches their own poultry',
      width,
    ),
    '',
    hanging(
      'usage: traybook ',
      '[--season DIR] [--now TIME] [--json] [--full] [--plain] COMMAND',
      width,
    ),
    ...Object.entries(questions).flatMap(([asks, heading]) => [
      '',
      heading,
      ...rows(
        commands.filter((one) => one.asks === asks).map(({ name, summary }) => [name, summary]),
        names,
      ),
    ]),
    '',
    'With every command',
    ...rows(
      [
        [
          '--season DIR',
          'the season folder; else TRAYBOOK_SEASON, else the nearest one at or above this folder, else the newest below it',
        ],
        [
          '--now TIME',
          'another moment than the clock shows, such as 2027-03-06T07:00; else TRAYBOOK_NOW',
        ],
        ['--json', 'for other programs'],
        ['--full', 'everything, however long'],
        ['--plain', 'plain ASCII, no colour'],
        ['--version', 'which traybook this is'],
      ],
      '--season DIR'.length,
    ),
    '',
    hanging('', 'traybook COMMAND --help shows the options of a command, with an example.', width),
    '',
  ].join('\n');
}

async function runCommand(
  row: CommandRow,
  rest: readonly string[],
  words: readonly string[],
  around: Surroundings,
): Promise<CommandOutcome> {
  const { command: module } = await row.load();
  const { Command, CommanderError } = await import('commander');
  let help = '';
  let said = '';
  const command = new Command(`traybook ${row.name}`);
  command
    .description(row.summary)
    .exitOverride()
    .showSuggestionAfterError(true)
    .configureOutput({
      writeOut: (text) => {
        help += text;
      },
      writeErr: (text) => {
        said += text;
      },
      getOutHelpWidth: () => widthOn(around),
      getErrHelpWidth: () => widthOn(around),
    })
    .configureHelp({
      minWidthToWrap: 20,
      optionDescription: ({ description, defaultValue: usual }) =>
        usual === undefined || Array.isArray(usual)
          ? description
          : `${description} (else ${usual})`,
    })
    .helpOption('-h, --help', 'show this help');
  module.define(command, rest);
  optionsOfAll(command);
  command.addHelpText(
    'after',
    ['', 'Example:', ...examplesOf(module, rest).map((one) => `  $ traybook ${one}`)].join('\n'),
  );
  try {
    command.parse(rest as string[], { from: 'user' });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    if (error.exitCode === 0) return { stdout: help };
    const [first = '', ...more] = said.trim().split('\n');
    throw new Stop(
      exitCodes.words,
      first.replace(/^error: /, ''),
      more
        .join(' ')
        .replace(/^\(|\)$/g, '')
        .replace('Did you', 'did you') || `traybook ${row.name} --help shows the options`,
    );
  }
  const options = command.opts() as Record<string, unknown>;
  if (options.json === true && module.withoutJson !== undefined)
    throw new Stop(exitCodes.words, `${row.name} has no --json`, module.withoutJson);
  return module.run(
    await contextOf(options, words, around),
    command.processedArgs as (string | undefined)[],
    options,
  );
}

/**
 * Whether colours are wished for: NO_COLOR set to anything forbids them (no-color.org), FORCE_COLOR
 * and CLICOLOR_FORCE ask for them even in a pipe (force-color.org, bixense.com/clicolors), a dumb
 * terminal has none. `--plain` wins over all.
 */
function hasColour(env: Surroundings['env'], isTerminal: boolean, ascii: boolean): boolean {
  const isSet = (name: string): boolean => !['', '0', 'false', undefined].includes(env[name]);
  if (ascii || (env.NO_COLOR ?? '') !== '') return false;
  if (isSet('FORCE_COLOR') || isSet('CLICOLOR_FORCE')) return true;
  return isTerminal && env.TERM !== 'dumb' && env.CLICOLOR !== '0' && env.FORCE_COLOR !== '0';
}

async function contextOf(
  options: Readonly<Record<string, unknown>>,
  words: readonly string[],
  { cwd, env, instant, random, isTerminal, columns, canAsk, show, progress }: Surroundings,
): Promise<Context> {
  const ascii = options.plain === true;
  const plain = ascii || !isTerminal;
  const colour = hasColour(env, isTerminal, ascii);
  return {
    cwd,
    seasonOption: (options.season as string | undefined) ?? set(env.TRAYBOOK_SEASON),
    nowOption: (options.now as string | undefined) ?? set(env.TRAYBOOK_NOW),
    json: options.json === true,
    plain,
    ascii,
    colour,
    paint: colour ? (await import('./commands/paint.ts')).paint : unpainted,
    fits: isTerminal,
    full: options.full === true,
    progress: progress ?? silent,
    width: widthOn({ isTerminal, columns }),
    canAsk,
    show: show ?? null,
    env,
    instant,
    random,
    words,
    commands,
  };
}
