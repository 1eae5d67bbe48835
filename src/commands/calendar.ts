import { milestonesOfSet } from '../facts/hatch-time.ts';
import { instantOf } from '../facts/local-time.ts';
import type { Task } from '../facts/tasks/task.ts';
import { tasksOf } from '../facts/tasks/tasks.ts';
import { keepPrivately, readPrivate } from '../io/private-folder.ts';
import type { Season } from '../season/model.ts';
import { type CalendarLedger, withLedger } from '../tables/calendar-ledger.ts';
import { datesJson, datesScreen } from '../tables/dates.ts';
import { type CalendarEvent, calendarFile, shortTitle } from '../tables/ics.ts';
import { addDays } from '../text/day.ts';
import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected } from './command.ts';
import { openSeason } from './open.ts';
import { answerOf } from './tables.ts';

/** As far ahead as a season reaches. */
const SEASON_DAYS = 400;

export const command: CommandModule = {
  words: async () => ({ as: ['ics', 'table'] }),
  examples: ['calendar > season.ics', 'calendar --as table', 'calendar --tasks', 'calendar --heat'],
  define(command) {
    command
      .option('--as <form>', 'ics for a phone, table for a list', 'ics')
      .option('--tasks', 'things to do (VTODO) in the place of events')
      .option('--heat', 'the second calendar: heat and feed')
      .option('--remind <kinds>', 'reminders: hours before, by kind, as transfer=14,hatch=12');
  },
  async run(context, _words, options) {
    if (options.as !== 'ics' && options.as !== 'table')
      throw unexpected(
        '--as',
        'ics or table',
        options.as,
        didYouMean(String(options.as), ['ics', 'table']),
      );
    const opened = await openSeason(context);
    const { folder, season, now, notices } = opened;
    const dates = tasksOf(season, now, SEASON_DAYS)
      .filter(
        (task) =>
          task.class !== 'routine' && HEAT_AND_FEED.has(task.kind) === (options.heat === true),
      )
      .sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
    if (context.json || options.as === 'table')
      return answerOf(context, opened, {
        name: 'calendar',
        json: () => datesJson(dates),
        screen: (title) => datesScreen(dates, title),
      });
    const calendar = options.heat === true ? 'heat' : 'work';
    const ledgers = (readPrivate(folder, LEDGERS).ledgers ?? {}) as Record<string, CalendarLedger>;
    // Never a name: names change. Two farms that share a phone need an `id:` each.
    const id = season.values.id ?? String(season.values.season);
    const reminders = readReminders(options.remind);
    const { events, ledger } = withLedger(
      ledgers[calendar] ?? {},
      dates.map((task) => eventOf(task, season, id, reminders)),
      now.day,
    );
    // A morning that is looked at again is not given to a phone.
    if (context.nowOption === undefined)
      keepPrivately(
        folder,
        LEDGERS,
        `${JSON.stringify({ ledgers: { ...ledgers, [calendar]: ledger } })}\n`,
      );
    const { name } = season.values.place;
    return {
      stdout: calendarFile({
        name: `${name} ${season.values.season}${calendar === 'heat' ? ', heat and feed' : ''}`,
        stamp: new Date(now.instant).toISOString(),
        events,
        asTasks: options.tasks === true,
      }),
      stderr: notices,
    };
  },
};

/** What each calendar last gave out, in the private folder. */
const LEDGERS = 'calendars.json';

/** Kinds of task that go into the second calendar. */
const HEAT_AND_FEED: ReadonlySet<string> = new Set(['heat', 'feed', 'shade']);

/** `hatch=12,transfer=14`: hours before the beginning at which the phone reminds, by kind. */
function readReminders(text: unknown): ReadonlyMap<string, number> {
  const out = new Map<string, number>();
  if (typeof text !== 'string') return out;
  for (const part of text.split(',')) {
    const [kind, hours] = part.split('=');
    const value = Number(hours);
    if (!kind || hours === undefined || hours === '' || !(value >= 0 && value <= MOST_HOURS))
      throw unexpected(
        '--remind',
        'KIND=HOURS, KIND=HOURS …',
        part,
        'for example: --remind transfer=14,hatch=12',
      );
    out.set(kind, value);
  }
  return out;
}

const MOST_HOURS = 14 * 24;

/** A hatch is shown as so many hours from its middle on; the days of its window stand in its text. */
const HATCH_HOURS = 2;

function eventOf(
  task: Task,
  season: Season,
  id: string,
  reminders: ReadonlyMap<string, number>,
): CalendarEvent {
  const set = task.kind === 'hatch' ? season.sets.get(task.set ?? '') : undefined;
  const at = set === undefined ? null : milestonesOfSet(set, season).hatchAt;
  const from = at === null ? null : instantOf(at, season.zone);
  return {
    uid: `${id}/${task.id}@traybook`,
    from: task.due,
    to: addDays(task.until, 1),
    hours: from === null ? undefined : { from, to: from + HATCH_HOURS * 3_600_000 },
    title: shortTitle(task),
    text: `${task.title}; ${task.why}`,
    place: task.place ?? undefined,
    remindHours: reminders.get(task.kind),
  };
}
