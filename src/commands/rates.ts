import { farmRates } from '../judge/rates/rates.ts';
import { ratesJson, ratesOfLines, ratesScreen } from '../tables/rates.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected, wrongWords } from './command.ts';
import { openSeasons } from './earlier-seasons.ts';
import { answerOf } from './tables.ts';

export const command: CommandModule = {
  examples: ['rates', 'rates --of dorking --sources', 'rates --json'],
  define(command) {
    command
      .option('--of <line>', 'one line only')
      .option('--sources', 'with the source of every prior');
  },
  async run(context, _words, options) {
    const opened = await openSeasons(context);
    const { season, earlier, now } = opened;
    const names = [...season.lines.keys()];
    if (options.of !== undefined && !names.includes(String(options.of)))
      throw unexpected(
        '--of',
        'the name of a line',
        options.of,
        didYouMean(String(options.of), names) ?? `one of ${names.join(', ')}`,
      );
    const lines = ratesOfLines(season, farmRates(season, earlier, now.day)).filter(
      (one) => options.of === undefined || one.line.name === options.of,
    );
    if (lines.length === 0 && !context.json)
      throw wrongWords(
        options.of === undefined
          ? 'no line of season.yaml has a pen'
          : `no pen of season.yaml holds ${String(options.of)}`,
        'add one under pens:',
      );
    const previous = {
      named: season.values.previous.length,
      read: earlier.map((one) => `${one.values.place.name} ${one.values.season}`),
    };
    return answerOf(context, opened, {
      name: 'rates',
      json: () => ratesJson(lines),
      screen: (title) => ratesScreen(lines, previous, title, options.sources === true),
    });
  },
};
