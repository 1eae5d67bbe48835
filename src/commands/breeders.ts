import { join } from 'node:path';
import { stringify } from 'yaml';
import { type NextPens, nextPens, type PenWish } from '../breeders/next-pens.ts';
import { breedersReport } from '../breeders/report.ts';
import { rotation } from '../breeders/rotation.ts';
import { flockOf } from '../facts/birds/bird-list.ts';
import { birdFaults } from '../facts/checks/birds.ts';
import { withLock } from '../io/lock.ts';
import { WriteRefused } from '../io/refusal.ts';
import { replaceFile } from '../io/replace.ts';
import { readSeasonFolder, SEASON_FILE } from '../io/season-folder.ts';
import type { Season } from '../season/model.ts';
import {
  breedersScreen,
  nextPensScreen,
  rotationScreen,
  rotationTable,
} from '../tables/breeders.ts';
import { jsonRows } from '../tables/columns.ts';
import { linesForTerminal } from '../text/escape.ts';
import { quoted } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { setIn, YamlEditRefused, type YamlValue } from '../text/yaml-edit.ts';
import {
  type CommandModule,
  type CommandOutcome,
  type Context,
  exitCodes,
  type Options,
  Stop,
  unexpected,
  wrongWords,
} from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { cannotRead, type OpenedSeason, openSeason } from './open.ts';
import { faultLines } from './say.ts';
import { answerOf } from './tables.ts';

const FAULTS_THAT_STOP = ['own-ancestor', 'wrong-sex', 'unknown-bird'];

/** An option as it is typed: `malesPerPen` is `males-per-pen`. */
const kebab = (name: string) => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);

function count(options: Options, name: string): number | undefined {
  const text = options[name];
  if (text === undefined) return undefined;
  if (!/^[1-9]\d{0,3}$/.test(String(text)))
    throw unexpected(`--${kebab(name)}`, 'a whole number from 1', text);
  return Number(text);
}

function wishOf(options: Options, line: string): PenWish {
  const range = options.hensPerPen === undefined ? null : String(options.hensPerPen);
  const ends = range === null ? null : /^(\d{1,3})(?:-(\d{1,3}))?$/.exec(range);
  if (range !== null && (ends === null || Number(ends[1]) > Number(ends[2] ?? ends[1])))
    throw unexpected('--hens-per-pen', 'a number or a range such as 8-10', range);
  let deltaF: PenWish['deltaF'];
  if (options.maxDeltaF !== undefined) {
    deltaF = Number(options.maxDeltaF) / 100;
    if (!(deltaF > 0 && deltaF < 1))
      throw unexpected('--max-delta-f', 'percent a generation, such as 3', options.maxDeltaF);
  }
  if (options.leastKinship === true) deltaF = 'least';
  return {
    line,
    pens: count(options, 'pens'),
    malesInPen: count(options, 'malesPerPen'),
    hens: count(options, 'hens'),
    hensInPen:
      ends === null ? undefined : { least: Number(ends[1]), most: Number(ends[2] ?? ends[1]) },
    without: new Set(
      String(options.without ?? '')
        .split(',')
        .filter(Boolean),
    ),
    deltaF,
  };
}

function lineOf(
  season: Season,
  wanted: string | undefined,
  lines: readonly string[],
  none: { readonly message: string; readonly hint: string },
): string {
  if (wanted !== undefined) {
    if (season.lines.has(wanted)) return wanted;
    throw wrongWords(
      `--line: there is no line ${quoted(wanted)}`,
      didYouMean(wanted, [...season.lines.keys()]),
    );
  }
  if (lines.length === 1) return lines[0]!;
  if (lines.length === 0) throw wrongWords(none.message, none.hint);
  throw wrongWords('which line?', `--line ${lines.join(' or --line ')}`);
}

/** Names for the new pens: this season's of the line, then numbered. */
function penNames(season: Season, line: string, wanted: number): string[] {
  const now = [...season.pens.values()].filter((pen) => pen.line.name === line);
  const names = now.map(({ name }) => name).slice(0, wanted);
  for (let n = 1; names.length < wanted; n += 1) {
    const name = `${line}-${n}`;
    if (!names.includes(name) && !season.pens.has(name)) names.push(name);
  }
  return names;
}

type BreedersWanted = { [name: string]: { [key: string]: YamlValue } };

/** The text with `next_pens:` brought to `wanted`, all else as it was; a pen a line where it is new. */
function withNextPens(text: string, present: boolean, wanted: BreedersWanted): string {
  if (present) return setIn(text, ['next_pens'], wanted);
  const lines = Object.entries(wanted).map(
    ([name, pen]) =>
      `  ${name}: ${stringify(pen, { collectionStyle: 'flow', flowCollectionPadding: false, lineWidth: 0 })}`,
  );
  return `${text}${text.endsWith('\n') ? '' : '\n'}next_pens:\n${lines.join('')}`;
}

/** Puts the chosen pens under `next_pens:`, in place of those of the same line. */
async function write(folder: string, line: string, names: readonly string[], next: NextPens) {
  await withLock(folder, async () => {
    const read = await readSeasonFolder(folder);
    if (read.season === null) throw cannotRead(read);
    const source = read.sources.get(SEASON_FILE)!;
    const before = read.season.values.next_pens;
    const others = Object.entries(before).filter(([, pen]) => pen.line !== line);
    const wanted: BreedersWanted = Object.fromEntries([
      ...others.map(([name, pen]) => [name, JSON.parse(JSON.stringify(pen))]),
      ...next.plan.pens.map(({ males, hens }, index) => [
        names[index]!,
        { line, hens: hens.length, males: males.length, sires: males, dams: hens },
      ]),
    ]);
    let text: string;
    try {
      text = withNextPens(source.text, Object.keys(before).length > 0, wanted);
    } catch (error) {
      if (!(error instanceof YamlEditRefused)) throw error;
      throw new WriteRefused(
        `${SEASON_FILE}: not written: ${error.message}`,
        'write the pens in by hand, under next_pens:',
      );
    }
    await replaceFile(join(folder, SEASON_FILE), text, { expectedText: source.text });
  });
}

/** Moving males between the pens of a line over years. */
function rotate(context: Context, opened: OpenedSeason, options: Options): CommandOutcome {
  const { season, now } = opened;
  const years = count(options, 'rotate')!;
  if (years > 50) throw wrongWords('--rotate: expected at most 50 years');
  const pens = [...season.pens.values()].filter(({ males, hens }) => males > 0 && hens > 0);
  const lines = [...new Set(pens.map((pen) => pen.line.name))];
  const line = lineOf(season, options.line as string | undefined, lines, {
    message: 'no pen of season.yaml has hens and males',
    hint: 'write the pens under pens: in season.yaml',
  });
  const clans = pens.filter((pen) => pen.line.name === line);
  if (clans.length < 2)
    throw wrongWords(
      `${line} has ${clans.length} pen: rotation needs two, and three to be worth it`,
    );
  const each = (of: 'males' | 'hens'): number =>
    Math.max(1, Math.floor(clans.reduce((sum, pen) => sum + pen[of], 0) / clans.length));
  const plan = { clans: clans.length, males: each('males'), hens: each('hens'), years };
  const scheme = options.widening === true ? 'widening' : 'spiral';
  const first = Number.parseInt(String(season.values.season), 10) || Number(now.day.slice(0, 4));
  const table = rotationTable(
    clans.map(({ name }) => name),
    rotation({ ...plan, scheme }),
    rotation({ ...plan, scheme: 'none' }),
    first + 1,
  );
  return answerOf(context, opened, {
    name: 'rotation',
    json: () => ({ line, years: jsonRows(table) }),
    screen: (title) => rotationScreen(table, line, title),
  });
}

export const command: CommandModule = {
  examples: [
    'breeders',
    'breeders --mate --line dorking --pens 2 --hens 20',
    'breeders --mate --line dorking --males-per-pen 2 --max-delta-f 6',
    'breeders --mate --line dorking --without N4,S11 --write',
    'breeders --rotate 6 --line dorking',
  ],
  define(command) {
    command
      .option('--mate', 'choose birds and pens for next season')
      .option('--line <line>', 'of this line; needed where there are several')
      .option('--pens <number>', 'with --mate: number of pens; else as many as now')
      .option('--males-per-pen <number>', 'with --mate: males in each pen; else as many as now')
      .option('--hens <number>', 'with --mate: hens in all; else as many as now')
      .option('--hens-per-pen <range>', 'with --mate: such as 8-10; else spread evenly')
      .option('--max-delta-f <percent>', 'with --mate: no faster narrowing than this a generation')
      .option('--least-kinship', 'with --mate: the widest mating there is, whatever the index')
      .option('--without <birds>', 'with --mate: leave these birds out (names with commas)')
      .option('--write', 'with --mate: put the pens into season.yaml, for the next season')
      .option('--rotate <years>', 'a plan of moving males between the pens, without pedigrees')
      .option('--widening', 'with --rotate: one pen further each year, instead of always the next');
  },
  async run(context, _words, options) {
    const opened = await openSeason(context);
    const { season, folder } = opened;
    const before = await earlierSeasons(folder, season);
    let notices = opened.notices + before.notices;
    if (options.rotate !== undefined) return rotate(context, { ...opened, notices }, options);
    const flock = flockOf([...before.seasons, season]);
    // With an earlier season left out, a name may stand in that one.
    const faults = birdFaults(flock, before.notices === '');
    const stopping = faults.filter((one) => FAULTS_THAT_STOP.includes(one.code));
    if (stopping.length > 0)
      throw new Stop(
        exitCodes.unreadable,
        faultLines(stopping).trimEnd(),
        'nothing was computed: parents and pens must be right first',
      );
    notices += faultLines(faults);
    for (const { bird, what, before: was, now: is, at } of flock.changed)
      notices += `${at.file}:${at.line}: ${bird}: ${what} ${is}, and ${was} in an earlier season: ${is} was taken\n`;
    const report = breedersReport(flock);
    const { known: _known, ranked: _ranked, ...shown } = report;
    if (options.mate !== true)
      return answerOf(
        context,
        { ...opened, notices },
        {
          name: 'breeders',
          json: () => shown,
          screen: (title) => breedersScreen(report, title, context.full),
        },
      );
    const sexes = (line: string) =>
      new Set(report.birds.filter((bird) => bird.line === line && bird.here).map(({ sex }) => sex))
        .size;
    const line = lineOf(
      season,
      options.line as string | undefined,
      [...season.lines.keys()].filter((name) => sexes(name) === 2),
      {
        message: 'no line has both males and females here',
        hint: 'traybook add bird NAME --line LINE --sex female …',
      },
    );
    const wish = wishOf(options, line);
    for (const name of wish.without)
      if (!flock.birds.has(name))
        throw wrongWords(
          `--without: there is no bird ${quoted(name)}`,
          didYouMean(name, [...flock.birds.keys()]),
        );
    const next = await nextPens(flock, report, wish);
    if ('why' in next)
      return {
        stderr: `${notices}${linesForTerminal(`${line}: no pens can be made up: ${next.why}\n`)}`,
        exit: exitCodes.found,
      };
    const names = penNames(season, line, next.plan.pens.length);
    if (options.write === true) await write(folder, line, names, next);
    if (options.write === true) notices += `written under next_pens: in ${SEASON_FILE}\n`;
    const pens = next.plan.pens.map((pen, index) => ({ pen: names[index], ...pen }));
    return answerOf(
      context,
      { ...opened, notices },
      {
        name: 'breeders',
        json: () => ({ ...shown, mate: { line, ...next, plan: { ...next.plan, pens } } }),
        screen: (title) => nextPensScreen(next, line, names, title),
      },
    );
  },
};
