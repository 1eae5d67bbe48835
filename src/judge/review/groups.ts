import type { Season } from '../../season/model.ts';
import type { Day } from '../../text/day.ts';
import { groupedBy } from '../../text/lists.ts';
import { once } from '../../text/once.ts';
import { type CountedShare, type CountOfSet, shareOverSets } from '../model/counted.ts';
import { type RateName, rateNames } from '../rate-names.ts';
import { wilson } from '../statistics/proportion.ts';
import { effectiveCounts } from '../statistics/sampled.ts';
import type { Opened, OutcomePart, ShareOutcome } from './outcome.ts';
import { isoWeek } from './week.ts';

/** What a season is cut by. */
export const cuts = [
  'season',
  'line',
  'pen',
  'set',
  'tray',
  'week',
  'storage age',
  'hatcher',
] as const;
export type Cut = (typeof cuts)[number];

export type Counts = {
  laid: number | null;
  kept: number | null;
  set: number;
  clear: number;
  quit: number;
  cracked: number;
  rotten: number;
  moved: number;
  hatched: number;
  weak: number;
  dead: number;
  pipped: number;
  unpipped: number;
  unaccounted: number;
  shares: number;
  finished: number;
  left_out: number;
};

/** A share whose interval allows for the scatter of its sets, with Wilson's of the raw counts beside. */
export type GroupShare = CountedShare & { wilson: [low: number, high: number] | null };

/** The share of some outcomes, pooled by set: a sample that was scaled up counts as what it is worth. */
export function shareOf(outcomes: readonly ShareOutcome[], name: RateName, by: Cut): GroupShare {
  const known = outcomes.filter((one) => one.rates[name] !== null);
  const sets = [...groupedBy(known, (one) => one.set).values()];
  const parts = sets.map((own) => pool(own.map((one) => one.rates[name])));
  return withRaw(shareOverSets(name, parts.map(effectiveCounts), by !== 'set'), pool(parts));
}

/** The share of the raw counts, with the interval of what they are worth and Wilson's of their own. */
function withRaw(share: CountedShare, { x, n }: CountOfSet): GroupShare {
  return n > 0
    ? { ...share, x, n, estimate: x / n, wilson: wilson(x, n) }
    : { ...share, wilson: null };
}

export type GroupRates = {
  by: Cut;
  key: string;
  counts: Counts;
  rates: Partial<Record<RateName, GroupShare>>;
  /** Kinds of birds in it. */
  kinds: string[];
  /** Clears, quits and unhatched eggs taken out, and how many were opened. */
  opened: { clear: Opened; quit: Opened; unhatched: Opened };
};

/** Classes of storage age, days, by the mean age of a share's eggs. */
const AGE_CLASSES = [
  { to: 3, key: '0-3' },
  { to: 7, key: '4-7' },
  { to: 10, key: '8-10' },
  { to: 14, key: '11-14' },
  { to: Number.POSITIVE_INFINITY, key: '15+' },
] as const;

export function ageClass(mean: number): string {
  return AGE_CLASSES.find((c) => Math.round(mean) <= c.to)!.key;
}

/** How a tray is named: by its number alone where there is one setter. */
export function trayName(season: Season, tray: { setter: string; tray: number }): string {
  return season.setters.size > 1 ? `${tray.setter} ${tray.tray}` : String(tray.tray);
}

/** The key of an outcome in a cut; null where it is not known. */
function keyOf(season: Season, cut: Cut, one: ShareOutcome): string | null {
  switch (cut) {
    case 'season':
      return String(season.values.season);
    case 'line':
      return one.line;
    case 'pen':
      return one.pen;
    case 'set':
      return one.set;
    case 'tray':
      if (one.trays.length === 0) return null;
      return one.trays.map((t) => trayName(season, t)).join('+');
    case 'week':
      return one.week;
    case 'storage age':
      return one.age === null ? null : ageClass(one.age.mean);
    case 'hatcher':
      return one.hatcher;
  }
}

/** Sum of the parts that are known. */
export function pool(parts: readonly (OutcomePart | null)[]): OutcomePart {
  let x = 0;
  let n = 0;
  let sampled = 0;
  for (const part of parts) {
    if (part === null) continue;
    x += part.x;
    n += part.n;
    sampled += part.sampled ?? 0;
  }
  return { x, n, ...(sampled > 0 ? { sampled } : {}) };
}

const addOpened = (list: readonly Opened[]): Opened => ({
  of: list.reduce((s, o) => s + o.of, 0),
  opened: list.reduce((s, o) => s + o.opened, 0),
});

/** Counts and rates of some shares taken together: pooled, never an average of percentages. */
export function ratesOf(
  by: Cut,
  key: string,
  outcomes: readonly ShareOutcome[],
  eggs: readonly CountOfSet[] | null,
): GroupRates {
  const sum = (of: (o: ShareOutcome) => number): number => outcomes.reduce((s, o) => s + of(o), 0);
  // Most groups are shown by `--full` alone, and their intervals are most of a review's work.
  const rates = once(() => {
    const made: GroupRates['rates'] = {};
    for (const name of rateNames) {
      if (name !== 'settable') made[name] = shareOf(outcomes, name, by);
      else if (eggs) made.settable = withRaw(shareOverSets(name, eggs), pool(eggs));
    }
    return made;
  });
  return {
    by,
    key,
    counts: {
      laid: eggs && pool(eggs).n,
      kept: eggs && pool(eggs).x,
      set: sum((o) => o.share.eggs),
      clear: sum((o) => o.clears),
      quit: sum((o) => o.share.tally.quit),
      cracked: sum((o) => o.share.tally.cracked),
      rotten: sum((o) => o.share.tally.rotten),
      moved: sum((o) => o.share.tally.moved ?? 0),
      hatched: sum((o) => o.share.tally.hatched ?? 0),
      weak: sum((o) => o.share.tally.weak),
      dead: sum((o) => o.share.tally.dead),
      pipped: sum((o) => o.share.tally.pipped),
      unpipped: sum((o) => o.share.tally.unpipped),
      unaccounted: sum((o) => o.unaccounted),
      shares: outcomes.length,
      finished: sum((o) => (o.finished ? 1 : 0)),
      left_out: sum((o) => (o.contradiction === null ? 0 : 1)),
    },
    get rates() {
      return rates();
    },
    kinds: [...new Set(outcomes.map((o) => o.speciesName))],
    opened: {
      clear: addOpened(outcomes.map((o) => o.opened.clear)),
      quit: addOpened(outcomes.map((o) => o.opened.quit)),
      unhatched: addOpened(outcomes.map((o) => o.opened.unhatched)),
    },
  };
}

/** Eggs kept of those laid, of the rows that say both, by a key: one count a pen and week. */
export function eggsBy(
  season: Season,
  key: (pen: string, laid: Day) => string | null,
): Map<string, CountOfSet[]> {
  const out = new Map<string, Map<string, { x: number; n: number }>>();
  for (const { on, values } of season.rows.eggs) {
    if (values.laid === null) continue;
    const at = key(values.pen, on.day);
    if (at === null) continue;
    const weeks = out.get(at) ?? new Map<string, { x: number; n: number }>();
    out.set(at, weeks);
    const week = `${values.pen} ${isoWeek(on.day)}`;
    const { x, n } = weeks.get(week) ?? { x: 0, n: 0 };
    weeks.set(week, { x: x + Math.min(values.kept, values.laid), n: n + values.laid });
  }
  return new Map([...out].map(([at, weeks]) => [at, [...weeks.values()]]));
}

/** The shares of each group of a cut; what has no key is in none. */
export function membersOf<T extends ShareOutcome>(
  season: Season,
  outcomes: readonly T[],
  cut: Cut,
): Map<string, T[]> {
  const all = groupedBy(outcomes, (one) => keyOf(season, cut, one));
  return new Map([...all].flatMap(([key, own]) => (key === null ? [] : [[key, own]])));
}

/** The season cut one way, groups in the order of their keys (sets in the order they were set). */
export function groupsOf(
  season: Season,
  outcomes: readonly ShareOutcome[],
  cut: Cut,
): GroupRates[] {
  const members = membersOf(season, outcomes, cut);
  const eggs = eggsBy(season, (pen, laid) => {
    switch (cut) {
      case 'season':
        return String(season.values.season);
      case 'line':
        return season.pens.get(pen)?.line.name ?? null;
      case 'pen':
        return pen;
      case 'week':
        return isoWeek(laid);
      case 'set':
      case 'tray':
      case 'storage age':
      case 'hatcher':
        return null;
    }
  });
  if (cut === 'season' && members.size === 0) members.set(String(season.values.season), []);
  // A pen or week whose eggs were gathered but not set yet still has a settable share.
  if (cut === 'pen' || cut === 'line' || cut === 'week')
    for (const key of eggs.keys()) if (!members.has(key)) members.set(key, []);
  const order =
    cut === 'set'
      ? [...members.keys()]
      : [...members.keys()].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  return order.map((key) => ratesOf(cut, key, members.get(key)!, eggs.get(key) ?? null));
}
