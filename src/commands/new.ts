import { basename, dirname, join, relative, resolve } from 'node:path';
import gitattributes from '../../seeds/starter/gitattributes';
import gitignore from '../../seeds/starter/gitignore';
import { readExamples } from '../io/examples.ts';
import { makeFiles } from '../io/new-folder.ts';
import { LOG_FOLDER, readSeasonFolder, readText, SEASON_FILE } from '../io/season-folder.ts';
import { summaryOf } from '../judge/summary/way.ts';
import { kindOf, recordNames } from '../records/index.ts';
import { headerOf } from '../records/record.ts';
import { carriedSeason } from '../season/carry.ts';
import type { Season } from '../season/model.ts';
import type { SeasonValues } from '../season/schema.ts';
import { carriedWords } from '../tables/carried.ts';
import { hanging } from '../tables/wrap.ts';
import { parseOn } from '../text/day.ts';
import { YamlEditRefused } from '../text/yaml-edit.ts';
import {
  type CommandModule,
  type Context,
  exitCodes,
  Stop,
  unexpected,
  wrongWords,
} from './command.ts';
import { cannotRead, nowIn } from './open.ts';
import { jsonText } from './say.ts';
import { keepSchema, withModeline } from './season-schema.ts';
import { starterText, startFlags, startOf } from './starter.ts';

/** From this month on, a new season is next year's. */
const AUTUMN = 9;

export const command: CommandModule = {
  examples: [
    'new 2027 --place "Hollin Bank" --zone Europe/London',
    'new 2028 --from 2027',
    'new trial --example',
  ],
  define(command) {
    command
      .argument('<dir>', 'the folder to make')
      .option('--from <old>', 'carry lines, pens and machines over from this season folder')
      .option('--zone <zone>', 'time zone, such as Europe/London; else this machine’s')
      .option('--year <year>', 'the season; else this year, or next year from September');
    for (const { flag, about } of startFlags()) command.option(flag, about);
    command.option('--example', 'make two example seasons there, to try everything on');
    command.option('--no-plan', 'with --from: without a first plan');
  },
  async run(context, [dir], options) {
    const folder = resolve(context.cwd, dir!);
    if (options.example === true) return example(context, folder, options);
    refuseBoth(options);
    const zone =
      (options.zone as string | undefined) ?? Intl.DateTimeFormat().resolvedOptions().timeZone;
    const year = yearOf(options.year as string | undefined, context, zone);
    const from =
      options.from === undefined
        ? null
        : await carried(
            resolve(context.cwd, String(options.from)),
            folder,
            options.year === undefined ? null : year,
          );
    const text =
      from === null
        ? await begun(folder, year, zone, context, options as Readonly<Record<string, string>>)
        : from.text;
    const files = new Map([
      [SEASON_FILE, withModeline(text)],
      ['.gitattributes', gitattributes],
      ['.gitignore', gitignore],
    ]);
    // Every log begins with its header, so that two people's first rows merge without conflict.
    for (const name of recordNames) {
      const kind = kindOf(name);
      files.set(`${LOG_FOLDER}/${kind.file}`, `${headerOf(kind).join(',')}\n`);
    }
    makeFiles(folder, files);
    await keepSchema(folder, files.get(SEASON_FILE)!);
    const read = await readSeasonFolder(folder);
    if (read.season === null) throw cannotRead(read);
    const shown = relative(context.cwd, folder) || '.';
    const assumed =
      from === null
        ? []
        : carriedWords(
            from.values,
            read.season,
            from.previous,
            from.season === null ? [] : summaryOf(from.season).way,
          );
    if (from !== null && options.plan !== false) {
      const { firstPlan } = await import('./plan.ts');
      const { season } = read;
      const now = nowIn(season.zone, context);
      assumed.push(await firstPlan(context, { folder, read, season, now, notices: '' }));
    }
    if (context.json)
      return {
        stdout: jsonText('new', {
          folder: shown,
          season: String(read.season.values.season),
          assumed,
        }),
      };
    const next = (what: string): string => hanging('next: ', what, context.width);
    return {
      stdout: [
        `${shown}: season ${read.season.values.season} begun`,
        ...(from === null
          ? [next(`put your lines, pens, machines and goals into ${shown}/${SEASON_FILE}`)]
          : [
              'assumed:',
              ...assumed.map((line) => hanging('  - ', line, context.width)),
              next(`put right in ${shown}/${SEASON_FILE} what will be otherwise`),
            ]),
        `  cd ${quotedForShell(shown)} && git init    (git keeps the history)`,
        '  traybook check',
        ...(from === null ? ['  traybook plan --write    (the sets that meet your goals)'] : []),
        '  traybook today',
        '',
      ].join('\n'),
    };
  },
};

/** Two seasons to try everything on: a whole one, and one in its eighth week. */
async function example(
  context: Context,
  folder: string,
  options: Readonly<Record<string, unknown>>,
) {
  const other = ['from', 'zone', 'year', ...startFlags().map(({ name }) => name)].find(
    (name) => options[name] !== undefined,
  );
  if (other !== undefined)
    throw wrongWords(`--${other} does not go with --example`, 'give the folder alone');
  const examples = readExamples();
  if (examples === null)
    throw new Stop(
      exitCodes.unreadable,
      'the example seasons are not installed here',
      'install traybook anew',
    );
  const files = new Map(
    [...examples.files].map(([path, text]) => [
      path,
      basename(path) === SEASON_FILE ? withModeline(text) : text,
    ]),
  );
  makeFiles(folder, files);
  for (const [path, text] of files)
    if (basename(path) === SEASON_FILE) await keepSchema(join(folder, dirname(path)), text);
  const shown = relative(context.cwd, folder) || '.';
  if (context.json)
    return { stdout: jsonText('new', { folder: shown, examples: examples.moments }) };
  const lines = Object.entries(examples.moments).map(
    ([name, moment]) =>
      `  traybook --season ${quotedForShell(`${shown}/${name}`)} --now ${moment} today`,
  );
  return {
    stdout: `${shown}: two example seasons, invented; their time is past or to come, so say --now\n${lines.join('\n')}\n`,
  };
}

/** What is carried over is not asked again. */
function refuseBoth(options: Readonly<Record<string, unknown>>): void {
  if (options.from === undefined) return;
  const told = startFlags().find(({ name }) => options[name] !== undefined);
  if (told !== undefined)
    throw wrongWords(
      `${told.flag.split(' ')[0]} does not go with --from: it is carried over`,
      `change it afterwards in ${SEASON_FILE}`,
    );
}

function quotedForShell(text: string): string {
  return /^[\w./-]+$/.test(text) ? text : `'${text.replaceAll("'", `'\\''`)}'`;
}

function yearOf(text: string | undefined, context: Context, zone: string): number {
  if (text !== undefined) {
    if (!/^\d{4}$/.test(text)) throw unexpected('--year', 'a year such as 2027', text);
    return Number(text);
  }
  let day: string;
  try {
    day = nowIn(zone, context).day;
  } catch (error) {
    if (error instanceof RangeError || parseOn(context.nowOption ?? '') === null)
      throw unexpected('--zone', 'a time zone such as Europe/London', zone);
    throw error;
  }
  const year = Number(day.slice(0, 4));
  return Number(day.slice(5, 7)) >= AUTUMN ? year + 1 : year;
}

/** A season from nothing: told by flags, else asked at a terminal. */
async function begun(
  folder: string,
  year: number,
  zone: string,
  context: Context,
  options: Readonly<Record<string, string>>,
): Promise<string> {
  const start = await startOf(options, context.canAsk && !context.json, basename(folder), year);
  return starterText(start, year, zone);
}

async function carried(
  old: string,
  folder: string,
  year: number | null,
): Promise<{
  text: string;
  values: SeasonValues;
  season: Season | null;
  previous: string;
}> {
  const source = readText(resolve(old, SEASON_FILE), SEASON_FILE);
  if ('code' in source)
    throw new Stop(
      exitCodes.unreadable,
      `${old}: ${source.message}`,
      `--from wants a folder that holds a ${SEASON_FILE}`,
    );
  const read = await readSeasonFolder(old);
  if (read.file === null) throw cannotRead(read);
  const previous = relative(folder, old).replaceAll('\\', '/');
  try {
    return {
      text: carriedSeason(source, read.file.values, { year, previous }),
      values: read.file.values,
      season: read.season,
      previous,
    };
  } catch (error) {
    if (!(error instanceof YamlEditRefused)) throw error;
    throw new Stop(
      exitCodes.unreadable,
      `${old}: ${SEASON_FILE}: ${error.message}`,
      'begin the season without --from, and copy what you need by hand',
    );
  }
}
