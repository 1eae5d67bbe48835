import { holdingFigures } from '../../season/brooding.ts';
import { isHers } from '../../season/hens.ts';
import type { EggSet, Now, Season, Share } from '../../season/model.ts';
import { compareOn, type Day, dayOfNumber, numberOfDay, type On } from '../../text/day.ts';
import { groupedBy } from '../../text/lists.ts';
import type { Place } from '../../text/source.ts';
import { elapsedHours } from '../local-time.ts';
import { total } from '../tally.ts';

/** Chicks of a set that were taken off and are in no group yet. */
export type Waiting = {
  readonly set: string;
  readonly pens: readonly string[];
  readonly chicks: number;
  /** When the first of those still waiting was found out of the shell. */
  readonly since: On;
  /** Hours waited, least and most: a row without a minute may be any hour of its day. */
  readonly low: number;
  readonly high: number;
  readonly actHours: number;
  readonly verdict: 'fine' | 'warn' | 'act' | 'past-limit';
  /** What is taken for granted where the book does not say, each in a few words. */
  readonly assumes: readonly string[];
  readonly at: Place;
};

/** Hours that waiting chicks are told of in a book that does not say where birds go: a week. */
const TOLD_HOURS = 7 * 24;

/** Hours after which chicks of a set must be under heat with feed and water. */
export function actHoursOf(set: Pick<EggSet, 'species'>): number {
  return set.species.group === 'fowl'
    ? holdingFigures.act_hours.value
    : holdingFigures.quick_act_hours.value;
}

type GroupRow = Season['rows']['group'][number];
type Taken = { readonly on: On; readonly chicks: number };

/** Sound chicks taken off and those put into groups, share by share, in the order of time. */
function chicksByShare(season: Season): {
  set: EggSet;
  share: Share;
  out: Taken[];
  grouped: (Taken & { readonly at: Place })[];
}[] {
  const bySet = groupedBy(season.rows.group, (row) => row.values.set);
  return [...season.sets.values()].flatMap((set) =>
    set.shares.map((share) => ({
      set,
      share,
      out: share.openings
        .map((row) => ({ on: row.on, chicks: row.values.hatched - row.values.weak }))
        .filter((one) => one.chicks > 0),
      grouped: (bySet.get(set.name) ?? [])
        .filter(({ values: { pen } }) =>
          pen === null ? set.shares.length === 1 : pen === share.pen.name,
        )
        .flatMap((row) =>
          row.values.brooder === null
            ? goneOf(row, season)
            : [{ on: row.on, chicks: row.values.chicks, at: row.at }],
        ),
    })),
  );
}

/** Chicks of a group that has no brooder: they wait until they are sold, given or moved. */
function goneOf(row: GroupRow, { rows }: Season): (Taken & { readonly at: Place })[] {
  let left = row.values.chicks;
  return [...rows.leaving, ...rows.move, ...rows.loss]
    .filter(({ values }) => values.group === row.values.group)
    .map(({ on, at, values }) => {
      const chicks = Math.min(left, values.birds);
      left -= chicks;
      return { on, chicks, at };
    })
    .filter(({ chicks }) => chicks > 0)
    .sort((a, b) => compareOn(a.on, b.on));
}

const startOf = (on: On): string => `${on.day}T${on.time ?? '00:00'}`;
const endOf = (on: On): string =>
  on.time === null ? `${dayOfNumber(numberOfDay(on.day) + 1)}T00:00` : `${on.day}T${on.time}`;

/** Hours between two entries, least and most; never below zero. */
export function hoursBetween(from: On, to: On, zone: string): { low: number; high: number } {
  return {
    low: Math.max(0, elapsedHours(endOf(from), startOf(to), zone)),
    high: Math.max(0, elapsedHours(startOf(from), endOf(to), zone)),
  };
}

/**
 * Chicks waiting for feed and water, by set, from the first one out: openings drive the clock, not
 * the nominal day. Chicks go into groups in the order they were taken off. A season that keeps neither
 * brooders nor groups in the book is told for some days, for its chicks wait like any others.
 */
export function waitingChicks(season: Season, now: Now): Waiting[] {
  const keepsNoBirds = season.brooders.size === 0 && season.rows.group.length === 0;
  // Chicks that went another way: sold, given, the task dismissed.
  const settled = new Set(season.rows.tick.map((row) => row.values.task));
  // Chicks under their hen are warm, and eat when she does.
  return stillWaiting(season, (share) => !isHers(share)).flatMap(({ set, waits }): Waiting[] => {
    if (settled.has(`${set.name}/brood`)) return [];
    const since = waits
      .map((one) => one.since)
      .reduce((a, b) => (startOf(a) <= startOf(b) ? a : b));
    const { low, high } = hoursBetween(since, { day: now.day, time: now.time }, season.zone);
    if (keepsNoBirds && low > TOLD_HOURS) return [];
    const actHours = actHoursOf(set);
    return [
      {
        set: set.name,
        pens: waits.map((one) => one.share.pen.name),
        chicks: total(waits, (one) => one.chicks),
        since,
        low,
        high,
        actHours,
        verdict: verdictOf(high, actHours),
        assumes: [
          ...(since.time === null ? ['no hour is written: the whole day is counted'] : []),
          ...(season.brooders.size === 0 ? ['no brooders are written: taken to be unfed'] : []),
        ],
        at: waits[0]!.share.openings[0]!.at,
      },
    ];
  });
}

/** Chicks that hatched under a hen and are in no group yet: they wait for nothing but to be counted in. */
export function chicksWithHens(season: Season) {
  return stillWaiting(season, isHers).map(({ set, waits }) => ({
    set: set.name,
    hen: set.shares.find(isHers)!.trays[0]!.setter,
    pens: waits.map((one) => one.share.pen.name),
    chicks: total(waits, (one) => one.chicks),
    since: waits.map(({ since }) => since.day).sort()[0]!,
  }));
}

function verdictOf(hours: number, actHours: number): Waiting['verdict'] {
  const { warn_hours, limit_hours } = holdingFigures;
  if (hours >= limit_hours.value) return 'past-limit';
  if (hours >= actHours) return 'act';
  return hours >= Math.min(warn_hours.value, actHours / 2) ? 'warn' : 'fine';
}

/** Chicks that are in no group yet, by set, of the shares asked for; sets without any left out. */
function stillWaiting(season: Season, isAsked: (share: Share) => boolean) {
  const waits = chicksByShare(season)
    .filter(({ share }) => isAsked(share))
    .flatMap(({ set, share, out, grouped }) => {
      let placed = total(grouped, (one) => one.chicks);
      const left = out.map(({ on, chicks }) => {
        const covered = Math.min(placed, chicks);
        placed -= covered;
        return { on, chicks: chicks - covered };
      });
      const first = left.find((one) => one.chicks > 0);
      return first === undefined
        ? []
        : [{ set, share, since: first.on, chicks: total(left, (one) => one.chicks) }];
    });
  return [...groupedBy(waits, ({ set }) => set)].map(([set, own]) => ({ set, waits: own }));
}

/** How long the first chicks of a share waited until they were placed, least and most hours. */
export type Waited = {
  readonly set: string;
  readonly pen: string;
  readonly chicks: number;
  readonly placedOn: Day;
  readonly low: number;
  readonly high: number;
  readonly at: Place;
};

/** Every lot of chicks that was placed, with the wait of its longest-waiting chick. */
export function waitsOf(season: Season): Waited[] {
  return chicksByShare(season).flatMap(({ set, share, out, grouped }) => {
    let gone = 0;
    return grouped.flatMap((one): Waited[] => {
      // The first opening whose chicks were not all placed before this.
      let through = 0;
      const from = out.find((opening) => {
        through += opening.chicks;
        return through > gone;
      });
      gone += one.chicks;
      if (from === undefined || startOf(from.on) > endOf(one.on)) return [];
      return [
        {
          set: set.name,
          pen: share.pen.name,
          chicks: one.chicks,
          placedOn: one.on.day,
          at: one.at,
          ...hoursBetween(from.on, one.on, season.zone),
        },
      ];
    });
  });
}
