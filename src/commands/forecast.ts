import { farmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import { Forecast } from '../planner/forecast.ts';
import { USUAL_DRAWS } from '../planner/outlook.ts';
import { type Promised, promisedChicks } from '../planner/promise.ts';
import { seasonForecast } from '../planner/season-forecast.ts';
import type { Season } from '../season/model.ts';
import { forecastJson, forecastScreen } from '../tables/forecast.ts';
import { later, parseDay } from '../text/day.ts';
import { type CommandModule, unexpected, wholeNumber, wrongWords } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { keepForecast } from './kept-forecast.ts';
import { eachSuppose, supposedSeason } from './suppose.ts';
import { answerOf } from './tables.ts';

const DRAWS = { usual: USUAL_DRAWS, least: 100, most: 200_000 };
const MOST_SEED = 2 ** 31 - 1;

export const command: CommandModule = {
  examples: [
    'forecast',
    'forecast --promise 0.9 --by 2027-05-15',
    'forecast --suppose pens.north.hens=14',
    'forecast --json',
  ],
  define(command) {
    command
      .option(
        '--promise <chance>',
        'how many chicks of each line can still be promised, such as 0.9',
      )
      .option('--by <date>', 'the day they are promised for; else the last goal or order')
      .option(
        '--suppose <path=value>',
        'forecast a changed season, beside the season as it is',
        eachSuppose,
        [],
      )
      .option('--draws <number>', 'simulated seasons', String(DRAWS.usual))
      .option('--seed <number>', 'the same seed gives the same answer', '1');
  },
  async run(context, _words, options) {
    if (options.by !== undefined && options.promise === undefined)
      throw wrongWords('--by is the day of a promise', 'traybook forecast --promise 0.9 --by DAY');
    const opened = await openSeasons(context);
    const { season, earlier, now } = opened;
    const draws = wholeNumber(options.draws, '--draws', DRAWS.least, DRAWS.most);
    const seed = wholeNumber(options.seed, '--seed', 0, MOST_SEED);
    const changes = options.suppose as string[];
    const supposed = supposedSeason(opened, changes);
    const worldsOf = (one: Season) =>
      new Worlds(one, now.day, farmRates(one, earlier, now.day), draws, seed);
    const worlds = worldsOf(season);
    const progress = context.progress('forecasting goals and orders');
    const forecast = seasonForecast(new Forecast(worlds), now, progress.tell);
    if (draws >= USUAL_DRAWS) keepForecast(context, opened, forecast);
    const other =
      supposed === null
        ? null
        : {
            words: changes.join(', '),
            ...seasonForecast(new Forecast(worldsOf(supposed)), now, progress.tell),
          };
    const promise = options.promise === undefined ? null : promisedOf(worlds, options);
    progress.end();
    const run = { draws, seed };
    return answerOf(context, opened, {
      name: 'forecast',
      json: () => forecastJson(forecast, run, promise, other),
      screen: (title) =>
        forecastScreen(forecast, {
          ...run,
          promise,
          other,
          title,
          line: [...season.lines.keys()][0] ?? 'LINE',
          year: season.values.season,
        }),
    });
  },
};

/** What can be promised with the chance and by the day asked; without a day, by the last of goals and orders. */
function promisedOf(worlds: Worlds, options: Readonly<Record<string, unknown>>): Promised[] {
  const chance = Number(options.promise);
  if (!(chance > 0 && chance < 1))
    throw unexpected('--promise', 'a chance above 0 and below 1', options.promise);
  if (options.by !== undefined) {
    const day = parseDay(String(options.by));
    if (day === null) throw unexpected('--by', 'a day such as 2027-05-15', options.by);
    return promisedChicks(worlds, chance, day);
  }
  const { goals, orders } = worlds.season.values;
  const last = [...goals, ...orders].map(({ by }) => by);
  if (last.length === 0) throw wrongWords('--promise: for which day?', 'give it: --by 2027-05-15');
  return promisedChicks(worlds, chance, last.reduce(later));
}
