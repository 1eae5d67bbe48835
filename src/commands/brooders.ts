import { brooderReport } from '../flock/brooder-report.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { broodersScreen } from '../tables/brooders.ts';
import { type CommandModule, wholeNumber } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { answerOf } from './tables.ts';

const USUAL_WEEKS = 8;
const MOST_WEEKS = 52;

export const command: CommandModule = {
  examples: ['brooders', 'brooders --weeks 12', 'brooders --json'],
  define(command) {
    command.option('--weeks <number>', 'weeks to look ahead', String(USUAL_WEEKS));
  },
  async run(context, _words, options) {
    const weeks = wholeNumber(options.weeks, '--weeks', 1, MOST_WEEKS);
    const opened = await openSeasons(context);
    const { season, earlier, now } = opened;
    const report = brooderReport(season, now, weeks, farmRates(season, earlier, now.day));
    return answerOf(context, opened, {
      name: 'brooders',
      json: () => ({
        date: now.day,
        brooders: report.brooders,
        empty: report.empty,
        leaving: report.leaving,
        expected: report.expected.map(({ mean: _mean, shared: _shared, own: _own, ...one }) => ({
          ...one,
          line: one.line.name,
        })),
        weeks: report.weeks,
        waiting: report.waiting.map(({ at: _, ...one }) => one),
        nights_missing: report.nightsMissing,
      }),
      screen: (title, { units }) =>
        season.brooders.size === 0
          ? 'season.yaml names no brooders: add them under brooders:\n'
          : broodersScreen(report, title, weeks, units),
    });
  },
};
