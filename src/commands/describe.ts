import { Command, type Option } from 'commander';
import { isRecordName, kindOf, recordNames } from '../records/index.ts';
import type { CompletionCommand, CompletionFlag, Slot } from '../tables/completion.ts';
import { type CommandRow, optionsOfAll } from './command.ts';
import { MANY_BIRDS } from './entries.ts';

const records = recordNames.map((word) => ({ word, about: kindOf(word).summary }));

// What an argument or a flag of this name takes, of any command or of one; the season knows the names.
const slots: Readonly<Record<string, Slot>> = {
  dir: { kind: 'folder' },
  season: { kind: 'folder' },
  from: { kind: 'folder' },
  file: { kind: 'file' },
  of: { kind: 'names', of: 'line' },
  record: { kind: 'words', words: records },
  'add from': { kind: 'names', of: 'set' },
  'add record': {
    kind: 'words',
    words: [...records, { word: MANY_BIRDS, about: 'the birds of a hatch, a row for each band' }],
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

function slotOf(command: string, name: string, choices: readonly string[] | undefined): Slot {
  if (choices) return { kind: 'words', words: choices.map((word) => ({ word, about: '' })) };
  const known = slots[`${command} ${name}`] ?? slots[name];
  if (known) return known;
  return namesIn.has(name) ? { kind: 'names', of: name } : { kind: 'anything' };
}

/** An option as completion sees it; `slot` is what it takes, if it takes anything. */
function flagOf(option: Option, slot: Slot): CompletionFlag {
  const takes = option.required || option.optional;
  return { flag: option.long ?? '', about: option.description, value: takes ? slot : null };
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
    arguments: command.registeredArguments.map((one) =>
      slotOf(row.name, one.name(), own[one.name()]),
    ),
    flags: command.options.map((option) => {
      const column =
        columns[option.attributeName().replace(/[A-Z]/g, (l) => `_${l.toLowerCase()}`)];
      const choices = own[option.attributeName()] ?? column?.words ?? undefined;
      const name = column?.refers ?? option.attributeName();
      return flagOf(option, slotOf(row.name, name === 'group-or-pen' ? 'group' : name, choices));
    }),
    under: [],
  };
}

/** The program as completion sees it, with the flags of the command in `typed` and of no other. */
export async function describedProgram(
  commands: readonly CommandRow[],
  typed: readonly string[],
): Promise<CompletionCommand> {
  const program = new Command('traybook');
  optionsOfAll(program);
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
  const flags = [
    ...program.options.map((one) => flagOf(one, slotOf('traybook', one.name(), undefined))),
    { flag: '--help', about: 'show the words of the command', value: null },
  ];
  return { name: 'traybook', about: '', arguments: [], flags, under };
}
