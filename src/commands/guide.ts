import { kindOf, recordNames } from '../records/index.ts';
import { headerOf } from '../records/record.ts';
import { speciesNames } from '../season/species.ts';
import { manualPage } from '../tables/man.ts';
import { manualText } from '../tables/manual.ts';
import { finished } from '../tables/wrap.ts';
import { there } from '../text/lists.ts';
import { didYouMean } from '../text/nearest.ts';
import {
  type CommandModule,
  type CommandOutcome,
  type CommandRow,
  type Context,
  examplesOf,
  unexpected,
  wrongWords,
} from './command.ts';
import { described, describedProgram } from './describe.ts';
import {
  allTopics,
  chicken,
  type GuideWish,
  type KindAsked,
  shippedKind,
  type Topic,
} from './guide/topics.ts';

declare const TRAYBOOK_VERSION: string;

export const command: CommandModule = {
  withoutJson: 'the guide is text to read',
  words: async (commands) => ({
    topic: [...(await allTopics()).map((one) => one.name), 'records', ...commands],
    kind: speciesNames(),
  }),

  define(command) {
    command
      .argument('[topic]', 'a topic, a command, or records')
      .argument('[kind]', 'a kind of bird, for figures, embryo and air-cell')
      .option('--sources', 'the source of each line')
      .option('--svg', 'the air cell as a picture, in millimetres')
      .option('--man', 'the manual page for man, in roff');
  },

  async run(context, [topic, kind], options) {
    if (options.man === true) return { stdout: await manPage(context.commands) };
    const asked = kind === undefined ? undefined : await kindAsked(kind, context);
    if (options.svg === true) return { stdout: await picture(topic, asked) };
    if (topic === undefined) return shown(contents(await allTopics(), context.commands), context);
    return shown(
      await pageOf(topic, { kind: asked, sources: options.sources === true }, context.commands),
      context,
    );
  },

  examples: ['guide', 'guide first-week', 'guide figures duck', 'guide embryo goose --sources'],
};

/** A kind of the reference tables, or one of the season's own where there is a season. */
async function kindAsked(word: string, context: Context): Promise<KindAsked> {
  const shipped = shippedKind(word);
  if (shipped !== null) return shipped;
  const { findSeasonFolder } = await import('../io/season-folder.ts');
  if (context.seasonOption !== undefined || findSeasonFolder(context.cwd) !== null) {
    const { openSeason } = await import('./open.ts');
    const { kindOfLine } = await import('../facts/birds/groups.ts');
    const { season } = await openSeason(context);
    const line = [...season.lines.values()].find((one) => one.speciesName === word);
    if (line !== undefined) return { word, bird: kindOfLine(season, line), species: line.species };
  }
  throw unexpected(
    'guide',
    'a kind of bird',
    word,
    didYouMean(word, speciesNames()) ??
      `kinds: ${speciesNames().join(', ')}, or one of your own season that a line is of`,
  );
}

async function picture(topic: string | undefined, kind = chicken()): Promise<string> {
  if (topic !== 'air-cell')
    throw wrongWords('--svg: only the air cell is drawn', 'traybook guide air-cell duck --svg');
  const { airCellSvg } = await import('../tables/air-cell.ts');
  return airCellSvg(kind.species);
}

async function pageOf(
  name: string,
  wish: GuideWish,
  commands: readonly CommandRow[],
): Promise<string> {
  if (name === 'records') return recordsPage();
  const topics = await allTopics();
  const topic = topics.find((one) => one.name === name);
  if (wish.kind !== undefined && topic?.ofKind !== true)
    throw wrongWords(
      `guide: ${JSON.stringify(name)} is not told by kind`,
      'traybook guide figures duck',
    );
  const isCommand = commands.some((one) => one.name === name);
  const page = isCommand ? ((await import(`./${name}.md`)) as { default: string }).default : null;
  if (topic) return there([await topic.load(wish), page]).join('\n');
  if (page !== null) return page;
  const known = [...topics.map((one) => one.name), 'records', ...commands.map((one) => one.name)];
  throw wrongWords(
    `guide: there is no topic ${JSON.stringify(name)}`,
    didYouMean(name, known) ?? 'traybook guide lists them',
  );
}

/** The page as text, no wider than is good to read. */
function shown(markdown: string, context: Context): CommandOutcome {
  const bold = context.colour ? context.paint.bold : null;
  const text = manualText(markdown, { width: Math.min(context.width, WIDEST), bold });
  return { stdout: finished(text, context) };
}

// A line of more letters is hard to follow back.
const WIDEST = 88;

function contents(topics: readonly Topic[], commands: readonly CommandRow[]): string {
  return [
    '# The guide',
    '',
    '`traybook guide TOPIC` shows one of these:',
    '',
    '| topic | what it says |',
    '| --- | --- |',
    ...topics.map((one) => `| ${one.name} | ${one.about} |`),
    '| records | every kind of record and its columns |',
    '',
    'and `traybook guide COMMAND` the page of a command:',
    '',
    commands.map((one) => one.name).join(', '),
    '',
  ].join('\n');
}

/** Made from the records themselves, so it cannot be out of date. */
function recordsPage(): string {
  return [
    '# Records',
    '',
    'Each kind of record is one file in `log/`. Every row begins with `entry`, `recorded` and `on`, and ends with `by`, `note`, `amends` and `state`. Each column of its own is a flag of `add`.',
    '',
    ...recordNames.flatMap((name) => {
      const kind = kindOf(name);
      return [
        `## ${name}: log/${kind.file}`,
        '',
        `${kind.summary[0]?.toUpperCase()}${kind.summary.slice(1)}.`,
        '',
        '| column | what it holds |',
        '| --- | --- |',
        ...Object.entries(kind.columns).map(
          ([column, { about, unit, words, required }]) =>
            `| ${column} | ${about}${unit ? ` (${unit})` : ''}${words ? `: ${words.join(', ')}` : ''}${required ? '' : '; may be empty'} |`,
        ),
        '',
        `    traybook add ${kind.example}`,
        '',
      ];
    }),
    `The header of ${kindOf('candling').file}, for one: \`${headerOf(kindOf('candling')).join(',')}\`.`,
    '',
  ].join('\n');
}

async function manPage(commands: readonly CommandRow[]): Promise<string> {
  const all = await Promise.all(
    commands.map(async (row) => ({
      command: await described(
        row,
        [],
        commands.map((one) => one.name),
      ),
      examples: examplesOf((await row.load()).command, []),
    })),
  );
  return manualPage({
    version: TRAYBOOK_VERSION,
    program: await describedProgram(commands, []),
    commands: all,
  });
}
