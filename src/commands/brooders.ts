import { brooderReport } from '../flock/brooder-report.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { broodersScreen } from '../tables/brooders.ts';
import { screenText } from '../tables/terminal.ts';
import { type CommandModule, wholeNumber } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

const USUAL_WEEKS = 8;
const MOST_WEEKS = 52;

export const command: CommandModule = {
  examples: ['brooders', 'brooders --weeks 12', 'brooders --json'],
  define(command) {
    command.option('--weeks <number>', 'weeks to look ahead', String(USUAL_WEEKS));
  },
  async run(context, _words, options) {
    const weeks = wholeNumber(options.weeks, '--weeks', 1, MOST_WEEKS);
    const { season, folder, now, notices: own } = await openSeason(context);
    const before = await earlierSeasons(folder, season);
    const notices = own + before.notices;
    const report = brooderReport(season, now, weeks, farmRates(season, before.seasons, now.day));
    if (context.json)
      return {
        stdout: jsonText('brooders', {
          date: now.day,
          brooders: report.brooders,
          empty: report.empty,
          leaving: report.leaving,
          expected: report.expected.map(({ set, pen, line, hatch, eggs, median, high }) => ({
            set,
            pen,
            line: line.name,
            hatch,
            eggs,
            median,
            high,
          })),
          weeks: report.weeks,
          waiting: report.waiting.map(({ at: _, ...one }) => one),
          nights_missing: report.nightsMissing,
        }),
        stderr: notices,
      };
    if (season.brooders.size === 0)
      return {
        stdout: 'season.yaml names no brooders: add them under brooders:\n',
        stderr: notices,
      };
    const paper = paperOf(context, season);
    const screen = broodersScreen(report, titleOf(season, now), weeks, paper.units);
    return { stdout: screenText(screen, paper), stderr: notices };
  },
};
