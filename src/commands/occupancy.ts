import { brooderSpansOf } from '../facts/birds/brooders.ts';
import { occupancyOf, type SpanState } from '../facts/occupancy.ts';
import { occupancyScreen, type Place } from '../tables/occupancy.ts';
import { screenText } from '../tables/terminal.ts';
import { addDays, type Day, earlier, later } from '../text/day.ts';
import { expectedFound, quoted } from '../text/fault.ts';
import { readWhen, whenExpected } from '../text/when.ts';
import { type CommandModule, wrongWords } from './command.ts';
import { openSeason } from './open.ts';
import { jsonText } from './say.ts';
import { paperOf, titleOf } from './tables.ts';

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
    const { season, now, notices } = await openSeason(context);
    const occupancy = occupancyOf(season, now);
    const stays = brooderSpansOf(season, now);
    const spans = [...occupancy.trays, ...occupancy.hatchers, ...stays];
    const dayFrom = (name: string, usual: Day): Day => {
      if (options[name] === undefined) return usual;
      const on = readWhen(String(options[name]), now.day);
      if (on === null)
        throw wrongWords(expectedFound(`--${name}`, whenExpected, quoted(String(options[name]))));
      return on.day;
    };
    const first = spans.map((span) => span.from).reduce(earlier, now.day);
    const last = spans.map((span) => span.to).reduce(later, addDays(now.day, 1));
    const from = dayFrom('from', options.all === true ? first : addDays(now.day, -DAYS_BACK));
    const to = dayFrom('to', options.all === true ? last : addDays(from, DAYS_BACK + DAYS_AHEAD));
    if (to <= from) throw wrongWords(`--to: ${to} is not after ${from}`);
    const shown = (span: { from: Day; to: Day }): boolean => span.from < to && from < span.to;
    const places: Place[] = [];
    for (const setter of season.setters.values())
      for (let tray = 1; tray <= setter.trays; tray += 1)
        places.push({
          kind: 'setter',
          name: setter.name,
          tray,
          spans: occupancy.trays
            .filter((span) => span.setter === setter.name && span.tray === tray && shown(span))
            .map(({ set, from, to, eggs, state }) => ({ set, from, to, eggs, state })),
        });
    for (const hatcher of season.hatchers.values())
      places.push({
        kind: 'hatcher',
        name: hatcher.name,
        tray: null,
        spans: occupancy.hatchers
          .filter((span) => span.hatcher === hatcher.name && shown(span))
          .flatMap((span) => {
            const hatching = {
              set: span.set,
              from: span.from,
              to: span.emptyOn,
              eggs: span.eggs,
              state: span.state as SpanState | 'cleaning',
            };
            return span.to > span.emptyOn
              ? [
                  hatching,
                  {
                    set: span.set,
                    from: span.emptyOn,
                    to: span.to,
                    eggs: null,
                    state: 'cleaning' as const,
                  },
                ]
              : [hatching];
          }),
      });
    for (const brooder of season.brooders.values())
      places.push({
        kind: 'brooder',
        name: brooder.name,
        tray: null,
        spans: stays
          .filter((stay) => stay.brooder === brooder.name && shown(stay))
          .map(({ group, from, to, birds, state }) => ({
            set: group,
            from,
            to,
            eggs: birds,
            state,
          })),
      });
    if (context.json)
      return {
        stdout: jsonText('occupancy', { from, to, places: places.map(wholeSpans) }),
        stderr: notices,
      };
    const screen = occupancyScreen({ from, to, places }, now.day, titleOf(season, now));
    return { stdout: screenText(screen, paperOf(context, season)), stderr: notices };
  },
};

/** A hatcher is taken until it is clean: for other programs that is one span, for the eye two. */
function wholeSpans(place: Place) {
  type Whole = Omit<Place['spans'][number], 'state'> & {
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
