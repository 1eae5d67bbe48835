import { tasksOf } from '../facts/tasks/tasks.ts';
import { todayMarkdown, todayText } from '../tables/today.ts';
import { linesForTerminal } from '../text/escape.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';

const USUAL_DAYS = 7;
const MOST_DAYS = 400;

export const command: CommandModule = {
  examples: ['today', 'today --days 14 --md', 'today --quiet'],
  define(command) {
    command
      .option('--days <number>', `days to look ahead, today being the first`, String(USUAL_DAYS))
      .option('--md', 'a Markdown list with boxes to tick')
      .option('--quiet', 'nothing at all if nothing is due: for cron');
  },
  async run(context, _words, options) {
    const days = Number(options.days);
    if (!Number.isInteger(days) || days < 1 || days > MOST_DAYS)
      throw wrongWords(
        `--days: expected a whole number from 1 to ${MOST_DAYS}, found ${JSON.stringify(options.days)}`,
      );
    const { season, now, notices } = await openSeason(context);
    const tasks = tasksOf(season, now, days);
    if (options.quiet === true && !tasks.some((task) => task.state !== 'coming'))
      return { stdout: '', stderr: notices };
    if (context.json) {
      return {
        stdout: jsonText('today', {
          date: now.day,
          tasks: tasks.map(({ daily, settle, ...task }) => ({ ...task, daily, settle })),
        }),
        stderr: notices,
      };
    }
    const day = {
      day: now.day,
      place: season.values.place.name,
      season: String(season.values.season),
      days,
      tasks,
    };
    const text =
      options.md === true
        ? todayMarkdown(day)
        : todayText(day, { width: context.width, colour: context.colour });
    return { stdout: linesForTerminal(text), stderr: notices };
  },
};
