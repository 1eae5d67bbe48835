import { COMING_DAYS, tasksOf } from '../facts/tasks/tasks.ts';
import { alarmsAt } from '../judge/alarms/alarms.ts';
import { headline, isPressing, todayMarkdown, todayText } from '../tables/today.ts';
import { type CommandModule, wholeNumber } from './command.ts';
import { keptForecast } from './kept-forecast.ts';
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
        'for cron: print only when there is an alarm, or work due beyond that of every day',
      );
  },
  async run(context, _words, options) {
    const days = wholeNumber(options.days, '--days', 0, MOST_DAYS);
    const opened = await openSeason(context);
    const { season, now, notices } = opened;
    const tasks = tasksOf(season, now, days + 1);
    const alarms = alarmsAt(season, now);
    if (options.quiet === true && alarms.length === 0 && !tasks.some(isPressing))
      return { stdout: '', stderr: notices };
    const forecast = keptForecast(opened);
    const view = { day: now.day, place: season.values.place.name, days, alarms, tasks, forecast };
    if (context.json)
      return {
        stdout: jsonText('today', {
          date: now.day,
          headline: headline(view),
          forecast,
          alarms,
          tasks: tasks.map(({ daily, settle, ...task }) => ({ ...task, daily, settle })),
        }),
        stderr: notices,
      };
    if (options.md === true) return { stdout: todayMarkdown(view), stderr: notices };
    const { width, ascii, full, paint } = context;
    return { stdout: todayText(view, { width, ascii, full, paint }), stderr: notices };
  },
};
