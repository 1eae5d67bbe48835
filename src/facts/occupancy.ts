import { hatchesInPlace } from '../season/hens.ts';
import type { EggSet, Hatcher, Now, Season } from '../season/model.ts';
import { addDays, type Day, earlier, later } from '../text/day.ts';
import { groupedBy } from '../text/lists.ts';
import type { Place } from '../text/source.ts';
import type { ComingCount, Expected } from './expected.ts';
import { emptiedOn, milestonesOfPlanned, milestonesOfShare, openPlan } from './hatch-time.ts';
import { overlaps, type Span } from './spans.ts';
import { total } from './tally.ts';

export type SpanState = 'planned' | 'actual';

/** Eggs of one set in one tray. */
export type TraySpan = Span & {
  readonly setter: string;
  readonly tray: number;
  readonly set: string;
  readonly speciesName: string;
  readonly eggs: number;
  readonly state: SpanState;
  readonly at: Place;
};

/** A set in a hatcher: eggs or chicks until `emptyOn`, then cleaning. */
export type HatcherSpan = Span & {
  readonly hatcher: string;
  readonly set: string;
  readonly speciesName: string;
  readonly emptyOn: Day;
  /** The day it hatches: a set is of one day and one species. */
  readonly hatch: Day;
  /** Live eggs moved, or the mean of those expected to be, and the variance of that. */
  readonly eggs: number;
  readonly variance: number;
  /** Eggs of which those are: never more than these are moved. */
  readonly most: number;
  readonly state: SpanState;
  readonly at: Place;
};

export type Occupancy = {
  readonly trays: readonly TraySpan[];
  readonly hatchers: readonly HatcherSpan[];
};

/** A set bound for a hatcher, which may be any. */
type Bound = Omit<HatcherSpan, 'hatcher' | 'to'> & { readonly hatcher: string | null };

/** A count that nothing can change any more. */
const sure = (eggs: number): ComingCount => ({ mean: eggs, variance: 0 });

/**
 * Who is in which tray and hatcher, and until when. What is recorded counts as it was; what is due
 * and not recorded holds its place until today; the rest is as planned.
 * @param expected tells how many eggs will be moved alive; without it every egg may live
 */
export function occupancyOf(season: Season, now: Now, expected: Expected | null = null): Occupancy {
  const trays: TraySpan[] = [];
  const bound: Bound[] = [];
  for (const set of season.sets.values()) {
    const parts: Bound[] = [];
    for (const share of set.shares) {
      const dates = milestonesOfShare(share, season);
      const stays = hatchesInPlace(season, share);
      const transfer = share.transferredOn ?? later(dates.transfer, now.day);
      const emptyOn = emptiedOn(share) ?? later(dates.lastOpening, now.day);
      const gone = share.transferredOn === null && share.finishedOn !== null;
      // Nothing left alive: the tray was empty after the last look.
      const emptied = share.stage === 'in-setter' && share.live <= 0;
      const lastLook = share.candlings.at(-1)?.on.day ?? share.on.day;
      const leaves = emptied ? lastLook : stays || gone ? emptyOn : transfer;
      for (const one of share.trays) {
        if (one.tray === null) continue;
        trays.push({
          setter: one.setter,
          tray: one.tray,
          set: set.name,
          speciesName: set.speciesName,
          from: share.on.day,
          to: leaves,
          eggs: one.eggs,
          state: 'actual',
          at: one.row.at,
        });
      }
      if (stays || gone || emptied) continue;
      const hatcher = share.hatcher ?? boundFor(set, season);
      const { moved } = share.tally;
      const eggs =
        moved === null
          ? (expected?.liveEggs(set.name, share.pen.name) ?? sure(share.live))
          : sure(moved);
      parts.push({
        set: set.name,
        speciesName: set.speciesName,
        hatcher,
        from: transfer,
        emptyOn,
        hatch: dates.hatch,
        eggs: eggs.mean,
        variance: eggs.variance,
        most: moved ?? share.live,
        state: share.transferredOn === null ? 'planned' : 'actual',
        at: share.transfers[0]?.at ?? share.at,
      });
    }
    for (const same of groupedBy(parts, ({ hatcher }) => hatcher).values())
      bound.push({
        ...same[0]!,
        from: same.map((part) => part.from).reduce(earlier),
        emptyOn: same.map((part) => part.emptyOn).reduce(later),
        eggs: total(same, (part) => part.eggs),
        variance: total(same, (part) => part.variance),
        most: total(same, (part) => part.most),
      });
  }
  for (const one of openPlan(season)) {
    const stays = hatchesInPlace(season, one);
    const dates = milestonesOfPlanned(one, season);
    const eggs = total(one.shares, (share) => share.eggs);
    one.trays.forEach((tray, index) => {
      const each = Math.floor(eggs / one.trays.length);
      trays.push({
        setter: one.setter,
        tray,
        set: one.name,
        speciesName: one.speciesName,
        from: one.on,
        to: stays ? dates.lastOpening : dates.transfer,
        eggs: each + (index < eggs % one.trays.length ? 1 : 0),
        state: 'planned',
        at: one.at,
      });
    });
    if (stays) continue;
    const live = one.shares.map(
      (share) => expected?.liveEggs(one.name, share.pen.name) ?? sure(share.eggs),
    );
    bound.push({
      set: one.name,
      speciesName: one.speciesName,
      hatcher: one.hatcher,
      from: dates.transfer,
      emptyOn: dates.lastOpening,
      hatch: dates.hatch,
      eggs: total(live, (one) => one.mean),
      variance: total(live, (one) => one.variance),
      most: eggs,
      state: 'planned',
      at: one.at,
    });
  }
  bound.sort(byDayAndSet);
  return { trays: joined(trays), hatchers: assign(bound, season) };
}

const byDayAndSet = (a: Pick<Bound, 'from' | 'set'>, b: Pick<Bound, 'from' | 'set'>): number =>
  a.from === b.from ? (a.set < b.set ? -1 : 1) : a.from < b.from ? -1 : 1;

/** The shares of one set in one tray lie there as one. */
function joined(spans: readonly TraySpan[]): TraySpan[] {
  const trays = groupedBy(spans, ({ setter, tray, set }) => JSON.stringify([setter, tray, set]));
  return [...trays.values()].map((same) => ({
    ...same[0]!,
    from: same.map((span) => span.from).reduce(earlier),
    to: same.map((span) => span.to).reduce(later),
    eggs: total(same, (span) => span.eggs),
  }));
}

/** Where the shares not yet moved will go: with the others of the set, as planned, or the only one. */
function boundFor(set: EggSet, season: Season): string | null {
  const moved = set.shares.find((share) => share.hatcher !== null && share.stage !== 'finished');
  if (moved) return moved.hatcher;
  if (set.plan?.hatcher) return set.plan.hatcher;
  return season.hatchers.size === 1 ? [...season.hatchers.keys()][0]! : null;
}

/** Gives each set that names no hatcher the first one that holds its kind and is free. */
function assign(bound: readonly Bound[], season: Season): HatcherSpan[] {
  const spans: HatcherSpan[] = [];
  const span = (one: Bound, hatcher: Hatcher): HatcherSpan => ({
    ...one,
    hatcher: hatcher.name,
    to: addDays(one.emptyOn, hatcher.clean_days),
  });
  const waiting: Bound[] = [];
  for (const one of bound) {
    const hatcher = one.hatcher === null ? undefined : season.hatchers.get(one.hatcher);
    if (hatcher) spans.push(span(one, hatcher));
    else waiting.push(one);
  }
  for (const one of waiting) {
    const able = [...season.hatchers.values()].filter((hatcher) =>
      Object.hasOwn(hatcher.holds, one.speciesName),
    );
    const candidates = able.length > 0 ? able : [...season.hatchers.values()];
    const free = candidates.find((hatcher) => {
      const wanted = span(one, hatcher);
      return !spans.some((other) => other.hatcher === hatcher.name && overlaps(other, wanted));
    });
    spans.push(span(one, free ?? candidates[0]!));
  }
  return spans.sort(byDayAndSet);
}
