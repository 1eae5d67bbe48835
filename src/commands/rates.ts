import { farmRates } from '../judge/rates/rates.ts';
import { ratesJson, ratesOfLines, ratesScreen } from '../tables/rates.ts';
import { screenText } from '../tables/terminal.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected, wrongWords } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

export const command: CommandModule = {
  examples: ['rates', 'rates --of dorking --sources', 'rates --json'],
  define(command) {
    command
      .option('--of <line>', 'one line only')
      .option('--sources', 'with the source of every prior');
  },
  async run(context, _words, options) {
    const { folder, season, now, notices } = await openSeason(context);
    const names = [...season.lines.keys()];
    if (options.of !== undefined && !names.includes(String(options.of)))
      throw unexpected(
        '--of',
        'the name of a line',
        options.of,
        didYouMean(String(options.of), names) ?? `one of ${names.join(', ')}`,
      );
    const before = await earlierSeasons(folder, season);
    const stderr = `${notices}${before.notices}`;
    const lines = ratesOfLines(season, farmRates(season, before.seasons, now.day)).filter(
      (one) => options.of === undefined || one.line.name === options.of,
    );
    if (context.json) return { stdout: jsonText('rates', ratesJson(lines)), stderr };
    if (lines.length === 0)
      throw wrongWords(
        options.of === undefined
          ? 'no line of season.yaml has a pen'
          : `no pen of season.yaml holds ${String(options.of)}`,
        'add one under pens:',
      );
    const screen = ratesScreen(
      lines,
      {
        named: season.values.previous.length,
        read: before.seasons.map((one) => `${one.values.place.name} ${one.values.season}`),
      },
      titleOf(season, now),
      options.sources === true,
    );
    return { stdout: screenText(screen, paperOf(context, season)), stderr };
  },
};
