import { summaryOf } from '../compute/summary/way.ts';
import { linesForTerminal } from '../text/escape.ts';
import { summaryMarkdown, summaryText } from '../view/summary.ts';
import type { CommandModule } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { table } from './tables.ts';

declare const TRAYBOOK_VERSION: string;

export const command: CommandModule = {
  examples: [
    'summary',
    'summary --pictures',
    'summary --md > season.md',
    'summary --html > season.html',
  ],
  define(command) {
    command
      .option('--pictures', 'with pictures of letters, for a terminal or a console')
      .option('--md', 'in Markdown')
      .option('--html', 'one page with pictures, complete in itself: opens offline, prints');
  },
  async run(context, _words, options) {
    const { season, now, notices } = openSeason(context);
    const summary = summaryOf(season);
    if (context.json)
      return {
        stdout: jsonText('summary', { season: String(season.values.season), ...summary }),
        stderr: notices,
      };
    if (options.html === true) {
      const [{ seasonPage }, { occupancyOf }] = await Promise.all([
        import('../view/html/season-page.ts'),
        import('../compute/schedule/occupancy.ts'),
      ]);
      const occupancy = occupancyOf(season, now);
      const version = TRAYBOOK_VERSION;
      return {
        stdout: seasonPage({ season, summary, occupancy, now, version }),
        stderr: notices,
      };
    }
    const head = {
      place: season.values.place.name,
      season: String(season.values.season),
      day: now.day,
    };
    const text =
      options.md === true
        ? summaryMarkdown(summary, head)
        : summaryText(summary, head, (one) => table(one, context), context.width);
    const pictures =
      options.pictures === true && options.md !== true
        ? `\n${(await import('../view/pictures.ts')).summaryPictures(summary, context)}`
        : '';
    return { stdout: linesForTerminal(text + pictures), stderr: notices };
  },
};
