import type { CompletionCommand, CompletionFlag } from './completion.ts';

export type ManualPage = {
  readonly version: string;
  readonly program: CompletionCommand;
  /** Each command with all its flags, and an example or more. */
  readonly commands: readonly {
    readonly command: CompletionCommand;
    readonly examples: readonly string[];
  }[];
};

/** Text for roff: its own signs are written out, so that nothing in it acts. */
function roff(text: string): string {
  return text
    .replaceAll('\\', '\\e')
    .replaceAll('-', '\\-')
    .replace(/^([.'])/gm, '\\&$1')
    .replace(/[^\x20-\x7e\n]/gu, (sign) => `\\[u${hex(sign)}]`);
}

const hex = (sign: string): string =>
  (sign.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0');

function flags(all: readonly CompletionFlag[]): string[] {
  return all.flatMap(({ flag, about, value }) => [
    '.TP',
    `.B ${roff(value === null ? flag : `${flag} VALUE`)}`,
    roff(about === '' ? '-' : about),
  ]);
}

/** The manual page of section 1, in the `man` macros that every Unix has. */
export function manualPage({ version, program, commands }: ManualPage): string {
  return [
    `.TH TRAYBOOK 1 "" "traybook ${version}"`,
    '.SH NAME',
    'traybook \\- the season book of a small breeder who hatches their own poultry',
    '.SH SYNOPSIS',
    '.B traybook',
    '[\\fB\\-\\-season\\fR DIR] [\\fB\\-\\-now\\fR TIME] [\\fB\\-\\-json\\fR] [\\fB\\-\\-plain\\fR] COMMAND ...',
    '.SH DESCRIPTION',
    roff(
      'One season file and a handful of logs, all plain text, in a folder of yours. traybook plans the season, says every morning what is due, takes a record in seconds, and tells what the counts mean. Nothing leaves the machine.',
    ),
    '.SH OPTIONS',
    ...flags(program.flags),
    '.SH COMMANDS',
    ...commands.flatMap(({ command, examples }) => [
      `.SS ${roff(`traybook ${command.name}`)}`,
      roff(`${command.about}.`),
      ...flags(command.flags),
      ...examples.flatMap((example) => ['.IP', `.EX`, roff(`traybook ${example}`), '.EE']),
    ]),
    '.SH EXIT STATUS',
    ...(
      [
        ['0', 'done'],
        ['1', 'it ran and found faults, or the plan cannot be met'],
        ['2', 'wrong words on the command line'],
        ['3', 'the season folder cannot be read as it stands'],
        ['4', 'could not write: locked, full or read-only'],
      ] as const
    ).flatMap(([code, about]) => ['.TP', `.B ${code}`, roff(about)]),
    '.SH ENVIRONMENT',
    ...(
      [
        ['NO_COLOR', 'if set to anything, no colour'],
        ['PAGER', 'what shows the guide on a terminal; less if not set'],
        ['TRAYBOOK_BY', 'who writes records; else the user of the machine'],
      ] as const
    ).flatMap(([name, about]) => ['.TP', `.B ${name}`, roff(about)]),
    '.SH FILES',
    '.TP',
    '.I season.yaml',
    'what is intended: stock, machines, goals, the plan',
    '.TP',
    '.I log/*.csv',
    'what happened: one file for each kind of record, rows only ever added',
    '.SH SEE ALSO',
    roff('The whole manual, offline: traybook guide'),
    '',
  ].join('\n');
}
