import { COMING_DAYS, tasksOf } from '../facts/tasks/tasks.ts';
import { alarmsAt } from '../judge/alarms/alarms.ts';
import { headline, isPressing, todayMarkdown, todayText } from '../tables/today.ts';
import { linesForTerminal } from '../text/escape.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';

const MOST_DAYS = 400;

export const command: CommandModule = {
  examples: ['today', 'today --full', 'today --days 14 --md', 'today --quiet'],
  define(command) {
    command
      .option('--days <number>', 'days of what is coming, after today', String(COMING_DAYS))
      .option('--md', 'a Markdown list with boxes to tick')
      .option(
        '--quiet',
        'nothing at all without an alarm or work that is due and not of every day: for cron',
      );
  },
  async run(context, _words, options) {
    const days = Number(options.days);
    if (!Number.isInteger(days) || days < 0 || days > MOST_DAYS)
      throw wrongWords(
        `--days: expected a whole number from 0 to ${MOST_DAYS}, found ${JSON.stringify(options.days)}`,
      );
    const { season, now, notices } = await openSeason(context);
    const tasks = tasksOf(season, now, days + 1);
    const alarms = alarmsAt(season, now);
    if (options.quiet === true && alarms.length === 0 && !tasks.some(isPressing))
      return { stdout: '', stderr: notices };
    if (context.json)
      return {
        stdout: jsonText('today', {
          date: now.day,
          headline: headline(alarms, tasks),
          alarms,
          tasks: tasks.map(({ daily, settle, ...task }) => ({ ...task, daily, settle })),
        }),
        stderr: notices,
      };
    const view = { day: now.day, place: season.values.place.name, days, alarms, tasks };
    if (options.md === true)
      return { stdout: linesForTerminal(todayMarkdown(view)), stderr: notices };
    // Made inert before it is painted: colours are escapes too.
    const inert = JSON.parse(JSON.stringify(view), (_key, value: unknown) =>
      typeof value === 'string' ? linesForTerminal(value) : value,
    ) as typeof view;
    const { width, full, paint } = context;
    return { stdout: todayText(inert, { width, full, paint }), stderr: notices };
  },
};
