import { tasksOf } from '../facts/tasks/tasks.ts';
import { calendarFile } from '../tables/ics.ts';
import { shortDay } from '../tables/numbers.ts';
import { addDays } from '../text/day.ts';
import { linesForTerminal } from '../text/escape.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { table } from './tables.ts';

/** As far ahead as a season reaches. */
const SEASON_DAYS = 400;

export const command: CommandModule = {
  words: async () => ({ as: ['ics', 'table'] }),
  examples: ['calendar > season.ics', 'calendar --as table'],
  define(command) {
    command.option('--as <form>', 'ics for a phone, table for a list', 'ics');
  },
  async run(context, _words, options) {
    if (options.as !== 'ics' && options.as !== 'table')
      throw wrongWords(
        `--as: expected ics or table, found ${JSON.stringify(options.as)}`,
        didYouMean(String(options.as), ['ics', 'table']),
      );
    const { season, now, notices } = await openSeason(context);
    const dates = tasksOf(season, now, SEASON_DAYS)
      .filter((task) => task.class !== 'routine')
      .sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
    if (context.json)
      return {
        stdout: jsonText('calendar', {
          dates: dates.map(({ id, kind, due, until, set, place, count, title }) => ({
            id,
            kind,
            due,
            until,
            set,
            place,
            count,
            title,
          })),
        }),
        stderr: notices,
      };
    if (options.as === 'table') {
      const rows = dates.map((one) => [
        shortDay(one.due),
        shortDay(one.until),
        // A set, group or pen stands first in the id of its task.
        one.id.split('/')[0]!,
        one.kind,
        one.count,
        one.place,
      ]);
      return {
        stdout: linesForTerminal(
          table(
            {
              columns: [
                { heading: 'from (day)' },
                { heading: 'to (day)' },
                { heading: 'of' },
                { heading: 'what' },
                { heading: 'eggs, birds', align: 'right' },
                { heading: 'where' },
              ],
              rows,
            },
            context,
          ),
        ),
        stderr: notices,
      };
    }
    const { name } = season.values.place;
    return {
      stdout: calendarFile({
        name: `${name} ${season.values.season}`,
        stamp: new Date(now.instant).toISOString(),
        events: dates.map((one) => ({
          uid: `${season.values.season}/${name}/${one.id}@traybook`,
          from: one.due,
          to: addDays(one.until, 1),
          title: one.title,
          text: one.why,
          place: one.place ?? undefined,
        })),
      }),
      stderr: notices,
    };
  },
};
