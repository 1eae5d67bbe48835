import chalk from 'chalk';
import { showPaged } from '../io/pager.ts';
import { kindOf, recordNames } from '../records/index.ts';
import { headerOf } from '../records/record.ts';
import { manualPage } from '../tables/man.ts';
import { manualText } from '../tables/manual.ts';
import { didYouMean } from '../text/nearest.ts';
import {
  type CommandModule,
  type Context,
  examplesOf,
  type Outcome,
  wrongWords,
} from './command.ts';
import { described, describedProgram } from './describe.ts';
import { topics } from './guide/topics.ts';
import { commands } from './index.ts';

declare const TRAYBOOK_VERSION: string;

export const command: CommandModule = {
  define(command) {
    command
      .argument('[topic]', 'a topic, a command, or records')
      .option('--man', 'the manual page for man, in roff');
  },

  async run(context, [topic], options) {
    if (options.man === true) return { stdout: await manPage() };
    if (topic === undefined) return shown(contents(), context);
    return shown(await pageOf(topic), context);
  },

  examples: ['guide', 'guide first-week', 'guide add'],
};

async function pageOf(name: string): Promise<string> {
  if (name === 'records') return recordsPage();
  const topic = topics.find((one) => one.name === name);
  if (topic) return (await topic.load()).default;
  if (commands.some((one) => one.name === name)) {
    const page = (await import(`./${name}.md`)) as { default: string };
    return page.default;
  }
  const known = [...topics.map((one) => one.name), 'records', ...commands.map((one) => one.name)];
  throw wrongWords(
    `guide: there is no topic ${JSON.stringify(name)}`,
    didYouMean(name, known) ?? 'traybook guide lists them',
  );
}

/** On a terminal page by page, elsewhere as it is. */
function shown(markdown: string, context: Context): Outcome {
  const bold = context.colour ? (text: string) => chalk.bold(text) : null;
  const text = manualText(markdown, { width: Math.min(context.width, WIDEST), bold });
  if (!context.plain && showPaged(text, context.env)) return {};
  return { stdout: text };
}

// A line of more letters is hard to follow back.
const WIDEST = 88;

function contents(): string {
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

async function manPage(): Promise<string> {
  const all = await Promise.all(
    commands.map(async (row) => ({
      command: await described(row, []),
      examples: examplesOf((await row.load()).command, []),
    })),
  );
  return manualPage({
    version: TRAYBOOK_VERSION,
    program: await describedProgram(commands, []),
    commands: all,
  });
}
