import { brooderSpansOf } from '../facts/birds/brooders.ts';
import { occupancyOf } from '../facts/occupancy.ts';
import type { Now, Season } from '../season/model.ts';
import { addDays, type Day, daysBetween, daysIn, earlier, later, weekdayOf } from '../text/day.ts';
import { largest, there } from '../text/lists.ts';
import { type AnyTable, type Column, tableOf } from './columns.ts';
import { counted, monthOf } from './numbers.ts';
import type { Screen } from './terminal.ts';
import { heads } from './words.ts';
import { padded, widthOf } from './wrap.ts';

/** Eggs or birds of one set (or group) in one place on the days `[from, to)`. */
export type StayShown = {
  readonly set: string;
  readonly from: Day;
  readonly to: Day;
  readonly eggs: number | null;
  readonly state: 'planned' | 'actual' | 'cleaning';
};

export type PlaceShown = {
  readonly kind: 'setter' | 'hatcher' | 'brooder';
  readonly name: string;
  readonly tray: number | null;
  readonly spans: readonly StayShown[];
};

/** Who is where on the days `[from, to)`. */
export type OccupancyShown = {
  readonly from: Day;
  readonly to: Day;
  readonly places: readonly PlaceShown[];
};

export type Drawing = {
  /** The day marked as now, or null. */
  readonly today: Day | null;
  /** Places across; 80 unless the terminal says otherwise. */
  readonly width: number;
  /** Only ASCII, for a serial console or an old printer. */
  readonly ascii: boolean;
};

/** Every tray, hatcher and brooder with what is in it on some of the days `[from, to)`. */
export function placesOf(season: Season, now: Now, from: Day, to: Day): PlaceShown[] {
  const { trays, hatchers } = occupancyOf(season, now);
  const stays = brooderSpansOf(season, now);
  const shown = (span: { readonly from: Day; readonly to: Day }): boolean =>
    span.from < to && from < span.to;
  return [
    ...[...season.setters.values()].flatMap((setter) =>
      Array.from({ length: setter.trays }, (_, index): PlaceShown => {
        const tray = index + 1;
        return {
          kind: 'setter',
          name: setter.name,
          tray: setter.broody ? null : tray,
          spans: trays
            .filter((span) => span.setter === setter.name && span.tray === tray && shown(span))
            .map(({ set, from, to, eggs, state }) => ({ set, from, to, eggs, state })),
        };
      }),
    ),
    ...[...season.hatchers.values()].map(
      (hatcher): PlaceShown => ({
        kind: 'hatcher',
        name: hatcher.name,
        tray: null,
        spans: hatchers
          .filter((span) => span.hatcher === hatcher.name && shown(span))
          .flatMap(({ set, from, to, emptyOn, eggs, state }): StayShown[] =>
            there([
              { set, from, to: emptyOn, eggs, state },
              to > emptyOn && { set, from: emptyOn, to, eggs: null, state: 'cleaning' as const },
            ]),
          ),
      }),
    ),
    ...[...season.brooders.values()].map(
      (brooder): PlaceShown => ({
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
      }),
    ),
  ];
}

/** What a picture of stays draws: places that are used, each stay with its name once. */
export function stayRows(places: readonly PlaceShown[]) {
  return places.flatMap((place) => {
    const stays = place.spans
      .filter((one) => one.state !== 'cleaning')
      .map((one) => ({
        // A stay that goes on as expected is named once.
        label: place.spans.some((other) => other.set === one.set && other.to === one.from)
          ? ''
          : one.set,
        from: one.from,
        to: one.to,
        planned: one.state === 'planned',
      }));
    return stays.length === 0 ? [] : [{ label: labelOf(place), stays }];
  });
}

/** The first day anything is anywhere and the day after the last, today among them. */
export function wholeSpan(season: Season, now: Now): { from: Day; to: Day } {
  const { trays, hatchers } = occupancyOf(season, now);
  const spans = [...trays, ...hatchers, ...brooderSpansOf(season, now)];
  return {
    from: spans.map((span) => span.from).reduce(earlier, now.day),
    to: spans.map((span) => span.to).reduce(later, addDays(now.day, 1)),
  };
}

type StayRow = StayShown & { readonly place: PlaceShown };

const stayColumns: readonly Column<StayRow>[] = [
  { ...heads.place, of: ({ place }) => labelOf(place) },
  { key: 'set', heading: 'set or group', kind: 'name', doc: 'set, or group of birds' },
  heads.from,
  heads.to,
  {
    ...heads.eggsOrBirds,
    heading: 'eggs or birds put in',
    doc: 'eggs set, or moved in alive, or birds on the first day; what was taken out since is among them',
  },
  { ...heads.state, of: (row) => stateWords[row.state] },
];

const stateWords = { planned: 'planned', actual: 'as recorded', cleaning: 'to clean' } as const;

/** Every stay as a row: place, set or group, days, eggs or birds. */
export function stayTable(places: readonly PlaceShown[]): AnyTable {
  return tableOf(
    stayColumns,
    places.flatMap((place) => place.spans.map((span) => ({ ...span, place }))),
  );
}

/** Who is where today, in a sentence a kind of place. */
function occupancyAnswer(places: readonly PlaceShown[], today: Day): string {
  const holds = ({ spans }: PlaceShown): StayShown[] =>
    spans.filter((one) => one.from <= today && today < one.to && one.state !== 'cleaning');
  const used = (kind: PlaceShown['kind']): string | null => {
    const all = places.filter((place) => place.kind === kind);
    if (all.length === 0) return null;
    const full = all.filter((place) => holds(place).length > 0);
    const one = { setter: 'tray', hatcher: 'hatcher', brooder: 'brooder' }[kind];
    const names = [...new Set(full.flatMap(holds).map(({ set }) => set))];
    const who = names.length === 0 ? '' : ` (${names.join(', ')})`;
    return `${full.length} of ${counted(all.length, one)} in use${who}`;
  };
  const kinds = there((['setter', 'hatcher', 'brooder'] as const).map(used));
  return kinds.length === 0
    ? 'No setters, hatchers or brooders in season.yaml, so nothing is in use.'
    : `${kinds.join('; ')}.`;
}

/** Who is in which tray, hatcher and brooder, and when, as a screen. */
export function occupancyScreen(
  occupancy: OccupancyShown,
  conflicts: readonly string[],
  today: Day,
  title: string,
): Screen {
  return {
    title,
    answer: [occupancyAnswer(occupancy.places, today)],
    exceptions: conflicts.map((text) => ({ meaning: 'act', text })),
    parts: [
      occupancy.places.length > 0 && {
        heading: null,
        picture: ({ width, ascii }) => occupancyChart(occupancy, { today, width, ascii }),
      },
      { heading: 'Stays', table: stayTable(occupancy.places), show: 'full' },
    ],
  };
}

type Ink = Record<StayShown['state'] | 'none', string>;

// Blocks of code page 437, which the oldest consoles have; the shades differ without any colour.
const BLOCKS: Ink = { actual: '█', planned: '░', cleaning: '~', none: '·' };
const ASCII: Ink = { actual: '=', planned: '-', cleaning: '~', none: '.' };

const LONGEST_LABEL = 16;
const WEEK = 7;

/**
 * A chart of places by days: one row a place, one column a day, each span beginning with its name.
 * A place that holds two spans on one day gets a second row. A season too long for the width is
 * cut into bands of whole weeks, one below the other. Ends with a line feed.
 */
export function occupancyChart(occupancy: OccupancyShown, drawing: Drawing): string {
  const ink = drawing.ascii ? ASCII : BLOCKS;
  const labels = occupancy.places.map(labelOf);
  const labelWidth = Math.min(LONGEST_LABEL, largest([5, ...labels.map(widthOf)]));
  const across = Math.max(WEEK, drawing.width - labelWidth - 2);
  const days = daysBetween(occupancy.from, occupancy.to);
  const bandDays = days <= across ? days : Math.floor(across / WEEK) * WEEK;
  const bands: string[] = [];
  for (let from = occupancy.from; from < occupancy.to; from = addDays(from, bandDays)) {
    const to = earlier(occupancy.to, addDays(from, bandDays));
    bands.push(band(occupancy.places, labels, labelWidth, from, to, drawing.today, ink));
  }
  return `${bands.join('\n')}\n${legend(occupancy.places, ink)}`;
}

function labelOf(place: PlaceShown): string {
  return place.tray === null ? place.name : `${place.name} ${place.tray}`;
}

/** A name cut to its width; a tray keeps its number, which tells the rows apart. */
function shortened(label: string, width: number): string {
  if (widthOf(label) <= width) return padded(label, width);
  const number = / \d+$/.exec(label)?.[0] ?? '';
  let head = label.slice(0, label.length - number.length);
  while (widthOf(head) + 1 + number.length > width) head = [...head].slice(0, -1).join('');
  return padded(`${head}~${number}`, width);
}

function band(
  places: readonly PlaceShown[],
  labels: readonly string[],
  labelWidth: number,
  from: Day,
  to: Day,
  today: Day | null,
  ink: Ink,
): string {
  const line = (label: string, cells: string) => `${padded(label, labelWidth)}  ${cells}`.trimEnd();
  const rows = places.flatMap((place, index) =>
    lanes(place.spans.filter((span) => span.from < to && span.to > from)).map((lane, laneIndex) =>
      line(
        laneIndex === 0 ? shortened(labels[index] ?? '', labelWidth) : '',
        cellsOf(lane, from, to, ink, laneIndex > 0),
      ),
    ),
  );
  return there([
    line('', monthsOf(from, to)),
    line('', mondaysOf(from, to)),
    today !== null &&
      today >= from &&
      today < to &&
      line('today', `${' '.repeat(daysBetween(from, today))}v`),
    ...rows,
    '',
  ]).join('\n');
}

/** The year and the first month, and each month over its first day, as far as there is room. */
function monthsOf(from: Day, to: Day): string {
  const starts = daysIn(from, to).filter((day) => day === from || day.endsWith('-01'));
  const names = starts.map((day, index) => {
    const room = daysBetween(day, starts[index + 1] ?? to);
    const year = index === 0 ? ` ${day.slice(0, 4)}` : '';
    const fits = [monthOf(day) + year, monthOf(day)].find((name) => name.length < room);
    return (fits ?? '').padEnd(room);
  });
  return names.join('').trimEnd();
}

/** The day of the month over every Monday. */
function mondaysOf(from: Day, to: Day): string {
  let line = '';
  for (const day of daysIn(from, to))
    if (weekdayOf(day) === 'mon')
      line = line.padEnd(daysBetween(from, day)) + String(Number(day.slice(8, 10)));
  return line.slice(0, daysBetween(from, to));
}

/** Spans that share a day go to rows of their own, earliest first; one empty row where there are none. */
export function lanes<S extends { readonly from: Day; readonly to: Day }>(
  spans: readonly S[],
): S[][] {
  const rows: S[][] = [];
  for (const span of [...spans].sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0))) {
    const free = rows.find((row) => row.every((other) => other.to <= span.from));
    if (free) free.push(span);
    else rows.push([span]);
  }
  return rows.length > 0 ? rows : [[]];
}

function cellsOf(
  lane: readonly StayShown[],
  from: Day,
  to: Day,
  ink: Ink,
  second: boolean,
): string {
  const length = daysBetween(from, to);
  const cells = Array.from({ length }, () => (second ? ' ' : ink.none));
  for (const span of lane) {
    const begin = daysBetween(from, later(span.from, from));
    const end = daysBetween(from, earlier(span.to, to));
    for (let at = begin; at < end; at++) cells[at] = ink[span.state];
    if (span.state === 'cleaning') continue;
    // A stay that goes on as expected is named once.
    if (lane.some((other) => other.set === span.set && other.to === span.from && other.to > from))
      continue;
    // The name is written into the bar; part of a name could be another set's.
    const name = [...span.set];
    if (name.length > end - begin) continue;
    // A wide character would push the days out of line.
    if (widthOf(span.set) !== name.length) continue;
    for (const [at, letter] of name.entries()) cells[begin + at] = letter;
  }
  return cells.join('');
}

function legend(places: readonly PlaceShown[], ink: Ink): string {
  const states = new Set(places.flatMap((place) => place.spans.map((span) => span.state)));
  const words = [
    `${ink.none} free`,
    ...(states.has('actual') ? [`${ink.actual} in it`] : []),
    ...(states.has('planned') ? [`${ink.planned} planned`] : []),
    ...(states.has('cleaning') ? [`${ink.cleaning} to clean`] : []),
  ];
  return `${words.join('   ')}\none column a day; the numbers stand over Mondays\n`;
}
