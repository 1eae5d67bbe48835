import type { CommandRow } from '../../src/commands/command.ts';
import { commands } from '../../src/commands/index.ts';
import { recordNames } from '../../src/records/index.ts';

/** Commands that write into the season folder, or make files elsewhere. */
const WRITING = new Set(['new', 'add', 'amend', 'void', 'import', 'export']);
/** Commands that look at no season. */
const ALONE = new Set(['guide', 'completion', 'schema']);

/** What the command lines below are about. */
export type About = { readonly set: string; readonly line: string };

const words: Readonly<Record<string, (about: About) => readonly string[][]>> = {
  list: () =>
    recordNames.flatMap((name) => [
      ['list', name],
      ['list', name, '--history'],
    ]),
  history: ({ set }) => [['history', set]],
  calendar: () => [['calendar'], ['calendar', '--as', 'table']],
  summary: () => [['summary'], ['summary', '--md'], ['summary', '--html']],
  today: () => [['today'], ['today', '--days', '60', '--md']],
  occupancy: () => [['occupancy', '--all']],
  sheet: () => ['day', 'candling', 'hatch', 'trays', 'brooder'].map((kind) => ['sheet', kind]),
  'eggs-for': ({ line }) => [['eggs-for', '12', '--want', 'chicks', '--of', line]],
  review: () => [
    ['review', '--by', 'all'],
    ['review', '--md'],
  ],
  breeders: ({ line }) => [
    ['breeders'],
    ['breeders', '--mate', '--line', line],
    ['breeders', '--rotate', '3', '--line', line],
  ],
};

/** One that is not in the table is run bare, so that a new command is tried from its first day. */
const linesOf = ({ name }: CommandRow, about: About): readonly string[][] =>
  words[name]?.(about) ?? [[name]];

/** Every command line of every command that reads a season and is not meant to write anything. */
export function readingLines(about: About): readonly string[][] {
  return commands
    .filter(({ name }) => !WRITING.has(name) && !ALONE.has(name))
    .flatMap((row) => linesOf(row, about));
}
