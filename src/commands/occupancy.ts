import { reasonsAgainst } from '../facts/feasible/feasible.ts';
import type { SpanState } from '../facts/occupancy.ts';
import { holdsDay } from '../facts/spans.ts';
import { occupancyScreen, type PlaceShown, placesOf, wholeSpan } from '../tables/occupancy.ts';
import { addDays, type Day } from '../text/day.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { type CommandModule, unexpected, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { answerOf } from './tables.ts';

/** What a screen shows unless told otherwise: a week back and eight ahead. */
const DAYS_BACK = 7;
const DAYS_AHEAD = 56;

export const command: CommandModule = {
  examples: ['occupancy', 'occupancy --from 2027-03-01 --to 2027-06-01', 'occupancy --all'],
  define(command) {
    command
      .option('--from <day>', 'first day shown; else a week ago')
      .option('--to <day>', 'day after the last one shown; else eight weeks ahead')
      .option('--all', 'the whole season');
  },
  async run(context, _words, options) {
    const opened = await openSeason(context);
    const { season, now } = opened;
    const whole = wholeSpan(season, now);
    const dayFrom = (name: string, usual: Day): Day => {
      if (options[name] === undefined) return usual;
      const on = readWhen(String(options[name]), now.day);
      if (on === null) throw unexpected(`--${name}`, whenExpected, options[name]);
      return on.day;
    };
    const from = dayFrom('from', options.all === true ? whole.from : addDays(now.day, -DAYS_BACK));
    const to = dayFrom(
      'to',
      options.all === true ? whole.to : addDays(from, DAYS_BACK + DAYS_AHEAD),
    );
    if (to <= from) throw wrongWords(`--to: ${to} is not after ${from}`);
    const places = placesOf(season, now, from, to);
    const conflicts = reasonsAgainst(season, now, null).filter(
      (one) => one.place !== null && holdsDay({ from, to }, one.day),
    );
    return answerOf(context, opened, {
      name: 'occupancy',
      json: () => ({
        from,
        to,
        places: places.map(wholeSpans),
        conflicts: conflicts.map(({ code, set, place, day, message }) => ({
          code,
          set,
          place,
          day,
          message,
        })),
      }),
      screen: (title) =>
        occupancyScreen(
          { from, to, places },
          conflicts.map((one) => one.message),
          now.day,
          title,
        ),
    });
  },
};

/** A hatcher is taken until it is clean: for other programs that is one span, for the eye two. */
function wholeSpans(place: PlaceShown) {
  type Whole = Omit<PlaceShown['spans'][number], 'state'> & {
    state: SpanState;
    cleaning_from: Day | null;
  };
  const spans: Whole[] = [];
  for (const { state, ...span } of place.spans) {
    const before = spans.at(-1);
    if (state !== 'cleaning') spans.push({ ...span, state, cleaning_from: null });
    else if (before !== undefined)
      spans[spans.length - 1] = { ...before, to: span.to, cleaning_from: span.from };
  }
  return { ...place, spans };
}
