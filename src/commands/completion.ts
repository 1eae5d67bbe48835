import { openPlan } from '../facts/hatch-time.ts';
import { tasksOf } from '../facts/tasks/tasks.ts';
import { kindOf, type RecordName, recordNames } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import {
  type CompletionCandidate,
  completionScript,
  completions,
  type Shell,
  shells,
} from '../tables/completion.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, type Context, unexpected } from './command.ts';
import { describedProgram } from './describe.ts';
import { type OpenedSeason, openSeason } from './open.ts';
import { seasonNames } from './season-names.ts';

const DAYS_AHEAD = 7;
const LATEST_ENTRIES = 20;

export const command: CommandModule = {
  withoutJson: 'it writes a script for a shell',
  words: async () => ({ shell: shells }),
  define(command) {
    command
      .argument('<shell>', `${shells.join(', ')}; the scripts themselves ask with: words`)
      .argument('[typed...]', 'after words: what has been typed so far');
  },

  async run(context, [shell = '', ...typed]) {
    if ((shells as readonly string[]).includes(shell))
      return { stdout: completionScript(shell as Shell) };
    if (shell !== 'words')
      throw unexpected(
        'completion',
        `one of ${shells.join(', ')}`,
        shell,
        didYouMean(shell, shells),
      );
    // commander gives a variadic argument as one list.
    const words = typed.flat().map(String);
    const program = await describedProgram(context.commands, words.slice(0, -1));
    // The season is read only if names of it are asked for.
    let isAsked = false;
    let found = completions(program, words, () => {
      isAsked = true;
      return [];
    });
    if (isAsked) {
      const opened = await opening(context, words);
      if (opened !== null) found = completions(program, words, (of) => namesOf(of, opened, words));
    }
    return { stdout: found.map((line) => `${line}\n`).join('') };
  },

  examples: ['completion bash', 'completion fish > ~/.config/fish/completions/traybook.fish'],
};

/** Names of one kind in the season. */
function namesOf(
  of: string,
  { season, now }: OpenedSeason,
  words: readonly string[],
): readonly (string | CompletionCandidate)[] {
  switch (of) {
    case 'set':
      return words[0] === 'add' && words[1] === 'set'
        ? openPlan(season).map((one) => one.name)
        : [...season.sets.keys()];
    case 'group':
      return [...new Set(season.rows.group.map((row) => row.values.group))];
    case 'bird':
      return [...new Set(season.rows.bird.map((row) => row.values.bird))];
    case 'task':
      return tasksOf(season, now, DAYS_AHEAD).map((task) => task.id);
    case 'entry':
      return [
        { word: 'last', about: 'the row written down last' },
        ...recordNames
          .flatMap((record) => season.rows[record].map((row) => ({ record, row: row as Row })))
          .sort((a, b) => b.row.recordedAt - a.row.recordedAt)
          .slice(0, LATEST_ENTRIES)
          .map(({ record, row }) => ({
            word: row.entry,
            about: `${record} ${subjectOf(record, row)}of ${row.on.day}`,
          })),
      ];
    case 'pen': {
      const set = season.sets.get(words.find((word) => season.sets.has(word)) ?? '');
      return set === undefined || words[1] === 'set'
        ? seasonNames(of, season)
        : set.shares.map((share) => share.pen.name);
    }
    default:
      return seasonNames(of, season);
  }
}

/** The set, pen or group a row is about, with a space behind. */
function subjectOf(record: RecordName, { values }: Row): string {
  const { naming } = kindOf(record);
  const parts = [naming === null ? null : values[naming], naming === 'pen' ? null : values.pen];
  return parts.map((part) => (typeof part === 'string' ? `${part} ` : '')).join('');
}

async function opening(context: Context, words: readonly string[]): Promise<OpenedSeason | null> {
  const at = words.indexOf('--season');
  const folder = at >= 0 ? words[at + 1] : undefined;
  try {
    return await openSeason({ ...context, seasonOption: folder ?? context.seasonOption });
  } catch {
    // Whatever is wrong with the folder is no matter for a half-typed line.
    return null;
  }
}
