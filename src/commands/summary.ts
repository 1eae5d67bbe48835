import { summaryOf } from '../compute/summary/way.ts';
import { linesForTerminal } from '../text/escape.ts';
import { summaryMarkdown, summaryText } from '../view/summary.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { table } from './tables.ts';

export const command: CommandModule = {
  examples: ['summary', 'summary --md > season.md'],
  define(command) {
    command.option('--md', 'in Markdown');
  },
  async run(context, _words, options) {
    const { season, now, notices } = openSeason(context);
    const summary = summaryOf(season);
    if (context.json)
      return {
        stdout: jsonText('summary', { season: String(season.values.season), ...summary }),
        stderr: notices,
      };
    const head = {
      place: season.values.place.name,
      season: String(season.values.season),
      day: now.day,
    };
    const text =
      options.md === true
        ? summaryMarkdown(summary, head)
        : summaryText(summary, head, (one) => table(one, context), context.width);
    return { stdout: linesForTerminal(text), stderr: notices };
  },
};
