import type { BirdKind } from '../../season/brooding.ts';
import { hensOf } from '../../season/hens.ts';
import type { Line, Pen, Season, Share } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { addDays, type Day, earlier, later, type On } from '../../text/day.ts';
import {
  expectedFound,
  type Fault,
  type FaultCode,
  type FaultExtras,
  fault,
  quoted,
} from '../../text/fault.ts';
import { groupedBy } from '../../text/lists.ts';
import { didYouMean } from '../../text/nearest.ts';
import type { Place } from '../../text/source.ts';
import { total } from '../tally.ts';

type RowIn<N extends keyof Season['rows']> = Season['rows'][N][number];

/** Chicks of one share in a group. */
export type GroupPart = {
  readonly set: string;
  readonly pen: Pen;
  readonly chicks: number;
  readonly on: On;
  readonly brooder: string;
  readonly mark: string | null;
  /** Day of the share's first opening with chicks: age 0. */
  readonly hatched: Day;
  /**
   * Age 0 of its youngest, whom the heat follows: the day before the last of its chicks was found, for
   * those of two days on end are of one age to the heat.
   */
  readonly youngest: Day;
  readonly at: Place;
};

/** Living birds of a group by sex, as far as the last sexing and what left since can say. */
export type Sexes = {
  readonly on: Day;
  readonly pullets: number;
  readonly cockerels: number;
  readonly unsure: number;
  /** Birds lost or gone unsexed since: any of the above may be among them. */
  readonly unknownGone: number;
};

/** How the group stood from the start of a day on. */
export type GroupStanding = {
  readonly day: Day;
  readonly living: number;
  /** Birds by place; the sum is `living`. */
  readonly places: ReadonlyMap<string, number>;
};

/** Chicks brooded together. Always: placed = living + lost + left. Counts of birds. */
export type Group = {
  readonly name: string;
  readonly parts: readonly GroupPart[];
  /** The line most of its chicks are of. */
  readonly line: Line;
  readonly lines: readonly Line[];
  /** Day of age 0 of the youngest and oldest of its chicks. */
  readonly youngest: Day;
  readonly oldest: Day;
  readonly placed: number;
  readonly lost: number;
  readonly left: number;
  readonly living: number;
  readonly sexes: Sexes | null;
  /** Changes in order of day; the last is how it stands now. */
  readonly standings: readonly GroupStanding[];
  readonly losses: readonly RowIn<'loss'>[];
  readonly leavings: readonly RowIn<'leaving'>[];
  readonly moves: readonly RowIn<'move'>[];
  readonly sexings: readonly RowIn<'sexing'>[];
  readonly at: Place;
};

export type Flock = {
  readonly groups: ReadonlyMap<string, Group>;
  readonly faults: readonly Fault[];
};

/** The name of the place outside every brooder and run that season.yaml names. */
export const OUTSIDE = 'out';

/** A line as brooding and growing tell kinds apart, with its own figures laid over. */
export function kindOfLine(season: Season, line: Line): BirdKind {
  const values = season.values.lines[line.name];
  return {
    species: line.likeSpecies,
    name: line.speciesName,
    class: line.class ?? undefined,
    override: { ...season.values.kinds[line.speciesName], ...values?.override },
    point_of_lay_days: values?.point_of_lay_days,
  };
}

/** Where birds can be: brooders, with a hen, runs, and simply out. */
export function placesOf(season: Season): string[] {
  return [
    ...season.brooders.keys(),
    ...hensOf(season),
    ...Object.keys(season.values.runs),
    OUTSIDE,
  ];
}

/**
 * Folds groups, moves, losses, sexings and leavings into the flock as it stands. A row that cannot
 * be so (chicks not hatched, more birds than live, a place not known) is told and left out of the
 * sums whole, so that the balance of every group always holds.
 */
export function flockOf(season: Season): Flock {
  const known = folded.get(season);
  if (known) return known;
  const flock = fold(season);
  folded.set(season, flock);
  return flock;
}

/** A season does not change once built, so its flock is folded once. */
const folded = new WeakMap<Season, Flock>();

function fold(season: Season): Flock {
  const faults: Fault[] = [];
  const parts: { part: GroupPart; group: string }[] = [];
  const grouped = new Map<string, number>();
  for (const row of [...season.rows.group].sort((a, b) => byDay(a.on.day, b.on.day))) {
    const part = partOf(row, season, grouped);
    if (part === null) continue;
    if ('code' in part) faults.push(part);
    else parts.push({ part, group: row.values.group });
  }
  const kinds = ['loss', 'move', 'sexing', 'leaving'] as const;
  const events = kinds.flatMap((kind) =>
    season.rows[kind].map((row) => ({ kind, day: row.on.day, row }) as GroupEvent),
  );
  const written = groupedBy(events, ({ row }) => row.values.group);
  const groups = new Map<string, Group>();
  for (const [name, own] of groupedBy(parts, ({ group }) => group))
    groups.set(
      name,
      foldGroup(
        name,
        own.map(({ part }) => part),
        written.get(name) ?? [],
        season,
        faults,
      ),
    );
  for (const { row } of events)
    if (!groups.has(row.values.group))
      faults.push(
        fault(
          'order-of-events',
          row.at,
          `group: no chicks of ${quoted(row.values.group)} could be counted in`,
          { hint: 'mend the rows of groups.csv first' },
        ),
      );
  return { groups, faults };
}

const byDay = (a: Day, b: Day): number => (a < b ? -1 : a > b ? 1 : 0);

function shareOfRow(values: RowIn<'group'>['values'], season: Season): Share | null {
  const shares = season.sets.get(values.set)?.shares ?? [];
  if (values.pen === null) return shares.length === 1 ? shares[0]! : null;
  return shares.find((share) => share.pen.name === values.pen) ?? null;
}

/** The chicks of a row; or what is wrong with it. Null if that is told where sets are folded. */
function partOf(
  { on, at, values }: RowIn<'group'>,
  season: Season,
  grouped: Map<string, number>,
): GroupPart | Fault | null {
  const share = shareOfRow(values, season);
  if (share === null) return null;
  const { set, pen } = share;
  const openings = share.openings.filter((one) => one.values.hatched > 0);
  const [first] = openings;
  if (first === undefined || first.on.day > on.day)
    return fault(
      'order-of-events',
      at,
      first === undefined
        ? `set: no chicks of ${set} have been taken off yet`
        : `on: ${on.day} is before the first chicks of ${set} were taken off, ${first.on.day}`,
      {
        set,
        pen: pen.name,
        hint: `write the hatch first: traybook add hatch ${set} --hatched N`,
      },
    );
  const key = `${set} ${pen.name}`;
  const before = grouped.get(key) ?? 0;
  const after = before + values.chicks;
  const hatched = total(
    openings.filter((one) => one.on.day <= on.day),
    (one) => one.values.hatched,
  );
  if (after > hatched) {
    const most = `at most ${hatched - before} (${hatched} of ${set} taken off by then, ${before} in groups already)`;
    return fault('out-of-balance', at, expectedFound('chicks', most, String(values.chicks)), {
      set,
      pen: pen.name,
    });
  }
  grouped.set(key, after);
  return {
    set,
    pen,
    chicks: values.chicks,
    on,
    brooder: values.brooder ?? OUTSIDE,
    mark: values.mark === '' ? null : values.mark,
    hatched: first.on.day,
    youngest: later(first.on.day, addDays(openingOf(openings, on.day, after - 1), -1)),
    at,
  };
}

/** The opening that a chick came of, counted from 0: they go into groups as they are taken off. */
function openingOf(openings: Share['openings'], until: Day, chick: number): Day {
  let sound = 0;
  const by = openings.filter((one) => one.on.day <= until);
  const own = by.find(({ values }) => {
    sound += values.hatched - values.weak;
    return sound > chick;
  });
  return (own ?? by.at(-1)!).on.day;
}

type EventOf<K extends 'loss' | 'move' | 'sexing' | 'leaving'> = {
  readonly kind: K;
  readonly day: Day;
  readonly row: RowIn<K>;
};
/** What was written of a group after its chicks were placed. */
type GroupEvent = EventOf<'loss'> | EventOf<'move'> | EventOf<'sexing'> | EventOf<'leaving'>;
type PlacedPart = { readonly kind: 'placed'; readonly day: Day; readonly part: GroupPart };

/** On one day chicks come in first; deaths are found, birds moved, sexed, and then go. */
const ranks = { placed: 0, loss: 1, move: 2, sexing: 3, leaving: 4 } as const;

function eventsOf(
  parts: readonly GroupPart[],
  written: readonly GroupEvent[],
): (GroupEvent | PlacedPart)[] {
  const placed = parts.map((part): PlacedPart => ({ kind: 'placed', day: part.on.day, part }));
  const days = groupedBy<GroupEvent | PlacedPart, Day>([...placed, ...written], ({ day }) => day);
  return [...days.keys()].sort().flatMap((day) => sortedDay(days.get(day)!));
}

/** By the minute where every row of the day has one, else by kind; then as recorded. */
function sortedDay(events: readonly (GroupEvent | PlacedPart)[]): (GroupEvent | PlacedPart)[] {
  const timed = events.every((event) => event.kind === 'placed' || event.row.on.time !== null);
  return [...events].sort((a, b) => {
    if (a.kind === 'placed' || b.kind === 'placed') return ranks[a.kind] - ranks[b.kind];
    if (timed && a.row.on.time !== b.row.on.time) return a.row.on.time! < b.row.on.time! ? -1 : 1;
    return (timed ? 0 : ranks[a.kind] - ranks[b.kind]) || a.row.recordedAt - b.row.recordedAt;
  });
}

function foldGroup(
  name: string,
  parts: readonly GroupPart[],
  written: readonly GroupEvent[],
  season: Season,
  faults: Fault[],
): Group {
  let living = 0;
  let lost = 0;
  let left = 0;
  let sexes = null as Sexes | null;
  const places = new Map<string, number>();
  const standings: GroupStanding[] = [];
  const losses: RowIn<'loss'>[] = [];
  const leavings: RowIn<'leaving'>[] = [];
  const moves: RowIn<'move'>[] = [];
  const sexings: RowIn<'sexing'>[] = [];
  const known = placesOf(season);
  const tell = (at: Place, message: string, extras: FaultExtras = {}, code?: FaultCode): void => {
    faults.push(fault(code ?? 'out-of-balance', at, message, extras));
  };
  /** Before its first chicks a group has nothing to go out of balance. */
  const early = (): FaultCode | undefined =>
    standings.length === 0 ? 'order-of-events' : undefined;
  const tooMany = ({ at, on, values }: RowIn<'loss' | 'move' | 'leaving'>): boolean => {
    if (values.birds <= living) return false;
    const isEarly = living === 0 && standings.length === 0;
    const most = `at most ${living}, the birds of ${name} alive by the book`;
    tell(
      at,
      isEarly
        ? `on: ${on.day} is before the first chicks of ${name} were placed, ${parts[0]!.on.day}`
        : expectedFound('birds', most, String(values.birds)),
      { hint: `see where they went: traybook flock ${name}` },
      isEarly ? early() : undefined,
    );
    return true;
  };
  for (const event of eventsOf(parts, written)) {
    switch (event.kind) {
      case 'placed': {
        living += event.part.chicks;
        places.set(event.part.brooder, (places.get(event.part.brooder) ?? 0) + event.part.chicks);
        break;
      }
      case 'loss': {
        if (tooMany(event.row)) continue;
        const { birds } = event.row.values;
        living -= birds;
        lost += birds;
        take(places, birds, null);
        if (sexes) sexes = { ...sexes, unknownGone: sexes.unknownGone + birds };
        losses.push(event.row);
        break;
      }
      case 'move': {
        const { to, birds } = event.row.values;
        if (!known.includes(to)) {
          const expected = expectedFound('to', `a brooder, a run, or ${OUTSIDE}`, quoted(to));
          const hint = didYouMean(to, known) ?? `known: ${known.join(', ')}`;
          tell(event.row.at, expected, { hint }, 'unknown-name');
          continue;
        }
        if (tooMany(event.row)) continue;
        const elsewhere = living - (places.get(to) ?? 0);
        if (birds > elsewhere) {
          const most = `at most ${elsewhere}, the birds of ${name} not in ${to} already`;
          tell(event.row.at, expectedFound('birds', most, String(birds)));
          continue;
        }
        take(places, birds, to);
        places.set(to, (places.get(to) ?? 0) + birds);
        moves.push(event.row);
        break;
      }
      case 'sexing': {
        const { pullets, cockerels, unsure } = event.row.values;
        const counted = pullets + cockerels + unsure;
        const made = `pullets, cockerels and unsure make ${counted}`;
        if (counted > living) {
          const message = `${made}; ${plural(living, 'bird')} of ${name} alive by the book`;
          tell(event.row.at, message, {}, early());
          continue;
        }
        if (counted < living)
          tell(
            event.row.at,
            `${made}; ${living - counted} living birds of ${name} are not accounted for`,
            { severity: 'warning', hint: 'count again, or write the loss' },
          );
        // What was not counted is of no known sex.
        const rest = unsure + living - counted;
        sexes = { on: event.day, pullets, cockerels, unsure: rest, unknownGone: 0 };
        sexings.push(event.row);
        break;
      }
      case 'leaving': {
        if (tooMany(event.row)) continue;
        const { birds, sex } = event.row.values;
        const after: Sexes | null = sexes === null ? null : withoutSex(sexes, sex, birds);
        if (sexes !== null && after === null) {
          const able: number = (sex === 'female' ? sexes.pullets : sexes.cockerels) + sexes.unsure;
          const most = `at most ${able} ${sex}s of ${name} by the sexing of ${sexes.on}`;
          tell(event.row.at, expectedFound('birds', most, String(birds)), {
            hint: 'sex the group again: traybook add sexing',
          });
          continue;
        }
        living -= birds;
        left += birds;
        take(places, birds, null);
        sexes = after;
        leavings.push(event.row);
        break;
      }
    }
    for (const [place, birds] of places) if (birds === 0) places.delete(place);
    const last = standings.at(-1);
    const standing = { day: event.day, living, places: new Map(places) };
    if (last?.day === event.day) standings[standings.length - 1] = standing;
    else standings.push(standing);
  }
  const byLine = new Map<Line, number>();
  for (const part of parts)
    byLine.set(part.pen.line, (byLine.get(part.pen.line) ?? 0) + part.chicks);
  const lines = [...byLine.keys()].sort((a, b) => byLine.get(b)! - byLine.get(a)!);
  return {
    name,
    parts,
    line: lines[0]!,
    lines,
    youngest: parts.map((part) => part.youngest).reduce(later),
    oldest: parts.map((part) => part.hatched).reduce(earlier),
    placed: parts.reduce((sum, part) => sum + part.chicks, 0),
    lost,
    left,
    living,
    sexes,
    standings,
    losses,
    leavings,
    moves,
    sexings,
    at: parts[0]!.at,
  };
}

/**
 * Takes birds from where the group is: for a move from every place but the one they go to, in the
 * order they came there; for losses and leavings, whose place is not written, where most are.
 */
function take(places: Map<string, number>, birds: number, to: string | null): void {
  let wanted = birds;
  const order = [...places.keys()].filter((place) => place !== to);
  if (to === null) order.sort((a, b) => places.get(b)! - places.get(a)!);
  for (const place of order) {
    const here = places.get(place)!;
    const some = Math.min(here, wanted);
    places.set(place, here - some);
    wanted -= some;
  }
}

/** The sexes after birds of a sex left, the unsure giving what the sure cannot; null if too many. */
function withoutSex(sexes: Sexes, sex: 'female' | 'male' | 'unknown', birds: number): Sexes | null {
  if (sex === 'unknown') return { ...sexes, unknownGone: sexes.unknownGone + birds };
  const key = sex === 'female' ? 'pullets' : 'cockerels';
  const sure = Math.min(sexes[key], birds);
  const fromUnsure = birds - sure;
  if (fromUnsure > sexes.unsure) return null;
  return { ...sexes, [key]: sexes[key] - sure, unsure: sexes.unsure - fromUnsure };
}

/** How a group stood on a day; null before its first chicks. */
export function standingOn(group: Group, day: Day): GroupStanding | null {
  let found: GroupStanding | null = null;
  for (const standing of group.standings) if (standing.day <= day) found = standing;
  return found;
}

/** Birds of a group in a place on a day. */
export function birdsIn(group: Group, place: string, day: Day): number {
  return standingOn(group, day)?.places.get(place) ?? 0;
}
