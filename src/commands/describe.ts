import { Command } from 'commander';
import { isRecordName, kindOf, recordNames } from '../records/index.ts';
import type { CompletionCommand, CompletionFlag, Slot } from '../tables/completion.ts';
import type { CommandRow } from './command.ts';

/** Options every command takes. */
const everywhere: readonly CompletionFlag[] = [
  { flag: '--season', about: 'the season folder', value: { kind: 'folder' } },
  { flag: '--now', about: 'another moment than the clock shows', value: { kind: 'anything' } },
  { flag: '--json', about: 'for other programs', value: null },
  { flag: '--full', about: 'everything, however long', value: null },
  { flag: '--plain', about: 'plain ASCII, no colour', value: null },
  { flag: '--help', about: 'show the words of the command', value: null },
];

// What an argument or a flag of this name takes; the season knows the names.
const slots: Readonly<Record<string, Slot>> = {
  dir: { kind: 'folder' },
  from: { kind: 'folder' },
  file: { kind: 'file' },
  of: { kind: 'names', of: 'line' },
  record: {
    kind: 'words',
    words: recordNames.map((word) => ({ word, about: kindOf(word).summary })),
  },
};
const namesIn = new Set([
  'set',
  'pen',
  'line',
  'setter',
  'hatcher',
  'machine',
  'brooder',
  'group',
  'bird',
  'task',
  'entry',
]);

function slotOf(name: string, choices: readonly string[] | undefined): Slot {
  if (choices) return { kind: 'words', words: choices.map((word) => ({ word, about: '' })) };
  const known = slots[name];
  if (known) return known;
  return namesIn.has(name) ? { kind: 'names', of: name } : { kind: 'anything' };
}

/**
 * A command as completion and the manual page see it: its module is asked for its words.
 * @param commands every command, by name
 */
export async function described(
  row: CommandRow,
  words: readonly string[],
  commands: readonly string[],
): Promise<CompletionCommand> {
  const { command: module } = await row.load();
  const command = new Command(row.name);
  module.define(command, words);
  const record = row.name === 'add' ? words.find((word) => isRecordName(word)) : undefined;
  const columns = record && isRecordName(record) ? kindOf(record).columns : {};
  const own = (await module.words?.(commands)) ?? {};
  return {
    name: row.name,
    about: row.summary,
    arguments: command.registeredArguments.map((one) => slotOf(one.name(), own[one.name()])),
    flags: command.options.map((option) => {
      const column =
        columns[option.attributeName().replace(/[A-Z]/g, (l) => `_${l.toLowerCase()}`)];
      const choices = own[option.attributeName()] ?? column?.words ?? undefined;
      const name = column?.refers ?? option.attributeName();
      return {
        flag: option.long ?? option.short ?? '',
        about: option.description,
        value:
          option.required || option.optional
            ? slotOf(name === 'group-or-pen' ? 'group' : name, choices)
            : null,
      };
    }),
    under: [],
  };
}

/** The program as completion sees it, with the flags of the command in `typed` and of no other. */
export async function describedProgram(
  commands: readonly CommandRow[],
  typed: readonly string[],
): Promise<CompletionCommand> {
  const name = typed.find(
    (word, index) =>
      !word.startsWith('-') && !['--season', '--now'].includes(typed[index - 1] ?? ''),
  );
  const under = await Promise.all(
    commands.map(async (row) =>
      row.name === name
        ? described(
            row,
            typed.slice(typed.indexOf(row.name) + 1),
            commands.map((one) => one.name),
          )
        : { name: row.name, about: row.summary, arguments: [], flags: [], under: [] },
    ),
  );
  return { name: 'traybook', about: '', arguments: [], flags: everywhere, under };
}
