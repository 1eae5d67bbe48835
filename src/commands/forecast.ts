import { farmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import { Forecast } from '../planner/forecast.ts';
import { USUAL_DRAWS } from '../planner/outlook.ts';
import { seasonForecast } from '../planner/season-forecast.ts';
import { forecastJson, forecastScreen } from '../tables/forecast.ts';
import { screenText } from '../tables/terminal.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

const DRAWS = { usual: USUAL_DRAWS, least: 100, most: 200_000 };
const MOST_SEED = 2 ** 31 - 1;

function wholeOf(option: unknown, name: string, least: number, most: number): number {
  const value = Number(option);
  if (!Number.isSafeInteger(value) || value < least || value > most || String(option).trim() === '')
    throw wrongWords(
      expectedFound(name, `a whole number from ${least} to ${most}`, quoted(String(option))),
    );
  return value;
}

export const command: CommandModule = {
  examples: ['forecast', 'forecast --draws 50000', 'forecast --json'],
  define(command) {
    command
      .option('--draws <number>', 'possible seasons drawn', String(DRAWS.usual))
      .option('--seed <number>', 'the same seed gives the same answer', '1');
  },
  async run(context, _words, options) {
    const { folder, season, now, notices } = await openSeason(context);
    const draws = wholeOf(options.draws, '--draws', DRAWS.least, DRAWS.most);
    const seed = wholeOf(options.seed, '--seed', 0, MOST_SEED);
    const before = await earlierSeasons(folder, season);
    const rates = farmRates(season, before.seasons, now.day);
    const forecast = seasonForecast(
      new Forecast(new Worlds(season, now.day, rates, draws, seed)),
      now,
    );
    const stderr = `${notices}${before.notices}`;
    const run = { draws, seed };
    if (context.json) return { stdout: jsonText('forecast', forecastJson(forecast, run)), stderr };
    const screen = forecastScreen(forecast, {
      ...run,
      title: titleOf(season, now),
      line: [...season.lines.keys()][0] ?? 'LINE',
      year: now.day.slice(0, 4),
    });
    return { stdout: screenText(screen, paperOf(context, season)), stderr };
  },
};
