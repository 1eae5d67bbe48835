import { holdingFigures } from '../../season/brooding.ts';
import { isHers } from '../../season/hens.ts';
import type { EggSet, Now, Season, Share } from '../../season/model.ts';
import { compareOn, type Day, dayOfNumber, numberOfDay, type On } from '../../text/day.ts';
import type { Place } from '../../text/source.ts';
import { elapsedHours } from '../local-time.ts';

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

type Grouped = ReadonlyMap<string, readonly Season['rows']['group'][number][]>;

/** The rows that put chicks of a set into groups, by set. */
function groupedBySet(season: Season): Grouped {
  const out = new Map<string, Season['rows']['group'][number][]>();
  for (const row of season.rows.group) {
    const same = out.get(row.values.set);
    if (same) same.push(row);
    else out.set(row.values.set, [row]);
  }
  return out;
}

/** Sound chicks taken off and those put into groups, in the order of time. */
function chicksOf(
  share: Share,
  season: Season,
  bySet: Grouped,
): { out: Taken[]; grouped: (Taken & { readonly at: Place })[] } {
  const out = share.openings
    .map((row) => ({ on: row.on, chicks: row.values.hatched - row.values.weak }))
    .filter((one) => one.chicks > 0);
  const single = season.sets.get(share.set)?.shares.length === 1;
  const grouped = (bySet.get(share.set) ?? [])
    .filter((row) => row.values.pen === share.pen.name || (row.values.pen === null && single))
    .flatMap((row) =>
      row.values.brooder === null
        ? goneOf(row, season)
        : [{ on: row.on, chicks: row.values.chicks, at: row.at }],
    );
  return { out, grouped };
}

/** Chicks of a group that has no brooder: they wait until they are sold, given or moved. */
function goneOf(
  row: Season['rows']['group'][number],
  season: Season,
): (Taken & { readonly at: Place })[] {
  const out: (Taken & { readonly at: Place })[] = [];
  let left = row.values.chicks;
  for (const one of [...season.rows.leaving, ...season.rows.move, ...season.rows.loss]) {
    if (one.values.group !== row.values.group || left === 0) continue;
    const chicks = Math.min(left, one.values.birds);
    left -= chicks;
    out.push({ on: one.on, chicks, at: one.at });
  }
  return out.sort((a, b) => compareOn(a.on, b.on));
}

type Taken = { readonly on: On; readonly chicks: number };

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
  const out: Waiting[] = [];
  // Chicks that went another way: sold, given, the task dismissed.
  const settled = new Set(season.rows.tick.map((row) => row.values.task));
  const bySet = groupedBySet(season);
  for (const set of season.sets.values()) {
    if (settled.has(`${set.name}/brood`)) continue;
    const waits = set.shares
      // Chicks under their hen are warm, and eat when she does.
      .filter((share) => !isHers(share))
      .map((share) => ({ share, ...stillWaiting(share, season, bySet) }))
      .filter((one) => one.chicks > 0);
    if (waits.length === 0) continue;
    const since = waits
      .map((one) => one.since!)
      .reduce((a, b) => (startOf(a) <= startOf(b) ? a : b));
    const { low, high } = hoursBetween(since, { day: now.day, time: now.time }, season.zone);
    if (keepsNoBirds && low > TOLD_HOURS) continue;
    const actHours = actHoursOf(set);
    out.push({
      set: set.name,
      pens: waits.map((one) => one.share.pen.name),
      chicks: waits.reduce((sum, one) => sum + one.chicks, 0),
      since,
      low,
      high,
      actHours,
      verdict: verdictOf(high, actHours),
      at: waits[0]!.share.openings[0]!.at,
    });
  }
  return out;
}

/** Chicks that hatched under a hen and are in no group yet: they wait for nothing but to be counted in. */
export function chicksWithHens(season: Season) {
  const bySet = groupedBySet(season);
  return [...season.sets.values()].flatMap((set) => {
    const hers = set.shares.filter(isHers);
    const [share] = hers;
    if (share === undefined) return [];
    const waits = hers.map((one) => ({ one, ...stillWaiting(one, season, bySet) }));
    const out = waits.filter(({ chicks }) => chicks > 0);
    if (out.length === 0) return [];
    return [
      {
        set: set.name,
        hen: share.trays[0]!.setter,
        pens: out.map(({ one }) => one.pen.name),
        chicks: out.reduce((sum, { chicks }) => sum + chicks, 0),
        since: out.map(({ since }) => since!.day).sort()[0]!,
      },
    ];
  });
}

function verdictOf(hours: number, actHours: number): Waiting['verdict'] {
  const { warn_hours, limit_hours } = holdingFigures;
  if (hours >= limit_hours.value) return 'past-limit';
  if (hours >= actHours) return 'act';
  return hours >= Math.min(warn_hours.value, actHours / 2) ? 'warn' : 'fine';
}

function stillWaiting(
  share: Share,
  season: Season,
  bySet: Grouped,
): { chicks: number; since: On | null } {
  const { out, grouped } = chicksOf(share, season, bySet);
  let placed = grouped.reduce((sum, one) => sum + one.chicks, 0);
  let chicks = 0;
  let since: On | null = null;
  for (const one of out) {
    const covered = Math.min(placed, one.chicks);
    placed -= covered;
    if (covered < one.chicks) {
      chicks += one.chicks - covered;
      since ??= one.on;
    }
  }
  return { chicks, since };
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
  const waits: Waited[] = [];
  const bySet = groupedBySet(season);
  for (const set of season.sets.values())
    for (const share of set.shares) {
      const { out, grouped } = chicksOf(share, season, bySet);
      let gone = 0;
      for (const one of grouped) {
        // The first opening whose chicks were not all placed before this.
        let through = 0;
        const from = out.find((opening) => {
          through += opening.chicks;
          return through > gone;
        });
        gone += one.chicks;
        if (from === undefined || startOf(from.on) > endOf(one.on)) continue;
        waits.push({
          set: set.name,
          pen: share.pen.name,
          chicks: one.chicks,
          placedOn: one.on.day,
          at: one.at,
          ...hoursBetween(from.on, one.on, season.zone),
        });
      }
    }
  return waits;
}
