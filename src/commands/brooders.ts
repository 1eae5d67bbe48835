import { brooderReport } from '../flock/brooder-report.ts';
import {
  chicksToCome,
  type ExpectedChicks,
  expectedHatches,
} from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { broodersScreen } from '../tables/brooders.ts';
import { type CommandModule, wholeNumber } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { type OpenedSeason, openSeason } from './open.ts';
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
    const opened = await openSeason(context);
    const { season, now } = opened;
    const { expected, notices } = await chicksAhead(opened);
    const report = brooderReport(season, now, weeks, expected);
    return answerOf(
      context,
      { ...opened, notices: opened.notices + notices },
      {
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
      },
    );
  },
};

/** Chicks to come by the farm's rates; earlier seasons are read only where some are. */
async function chicksAhead({
  folder,
  season,
  now,
}: OpenedSeason): Promise<{ expected: readonly ExpectedChicks[]; notices: string }> {
  if (!chicksToCome(season)) return { expected: [], notices: '' };
  const { seasons, notices } = await earlierSeasons(folder, season);
  return { expected: expectedHatches(season, now, farmRates(season, seasons, now.day)), notices };
}
