/** What went into a share, what came out, what is left and what is missing: summed here and nowhere else. */
import type { Row } from '../records/record.ts';
import type { Share, Tally } from '../season/model.ts';
import type { Place } from '../text/source.ts';

type ShareRows = Pick<Share, 'eggs' | 'candlings' | 'transfers' | 'openings' | 'underHen'>;

/** The sums over the rows of a share. */
export function tallyOf({ eggs, candlings, transfers, openings, underHen }: ShareRows): Tally {
  const at = {
    candling: removedIn(candlings),
    transfer: removedIn(transfers),
  };
  const moved = transfers.length === 0 ? null : sum(transfers, 'moved');
  const hatched = openings.length === 0 ? null : sum(openings, 'hatched');
  const rest = {
    weak: sum(openings, 'weak'),
    dead: sum(openings, 'dead'),
    pipped: sum(openings, 'pipped'),
    unpipped: sum(openings, 'unpipped'),
  };
  const wentIn = moved ?? eggs - at.candling.all;
  // Under a hen nothing is moved: what the looks left is what hatches there.
  const hatching = moved ?? (underHen ? Math.max(0, wentIn) : null);
  // Chicks of a share that nobody moved came out of the setter.
  const inside = hatching ?? (hatched === null ? null : Math.max(0, wentIn));
  const emerged = (hatched ?? 0) + rest.dead;
  const cameOut = emerged + rest.pipped + rest.unpipped;
  const isFinal = openings.some((row) => row.values.final);
  // What is left is not missing yet; less than nothing is too many taken out, at any time.
  const tooMany = (left: number): number | null => (left < 0 ? left : null);
  return {
    ...rest,
    eggs,
    clear: at.candling.clear + at.transfer.clear,
    quit: at.candling.quit + at.transfer.quit,
    cracked: at.candling.cracked + at.transfer.cracked,
    rotten: at.candling.rotten + at.transfer.rotten,
    at,
    // What is still in doubt is what the latest look left in doubt.
    doubtful: candlings.at(-1)?.values.doubtful ?? 0,
    moved,
    wentIn,
    hatching,
    hatched,
    emerged,
    sound: (hatched ?? 0) - rest.weak,
    cameOut,
    left: isFinal ? 0 : Math.max(0, wentIn - cameOut),
    missingAtTransfer:
      moved === null ? tooMany(wentIn) : eggs - at.candling.all - at.transfer.all - moved,
    missingAtHatch: inside === null ? null : isFinal ? inside - cameOut : tooMany(inside - cameOut),
  };
}

function removedIn(
  rows: readonly Row<{ clear: number; quit: number; cracked: number; rotten: number }>[],
): Tally['at']['candling'] {
  const removed = {
    clear: sum(rows, 'clear'),
    quit: sum(rows, 'quit'),
    cracked: sum(rows, 'cracked'),
    rotten: sum(rows, 'rotten'),
  };
  return { ...removed, all: removed.clear + removed.quit + removed.cracked + removed.rotten };
}

function sum<V, K extends keyof V>(rows: readonly Row<V>[], key: K): number {
  return rows.reduce((total, row) => total + (row.values[key] as number), 0);
}

/** A count added up over shares. */
export function total<T>(all: readonly T[], of: (one: T) => number): number {
  return all.reduce((so, one) => so + of(one), 0);
}

/** The sum, or null if any part is not known. */
export function sumOf(parts: readonly (number | null)[]): number | null {
  return parts.reduce((sum, one) => (sum === null || one === null ? null : sum + one), 0);
}

/** A count added up over the shares that have one; null if none has. */
export function totalKnown<T>(all: readonly T[], of: (one: T) => number | null): number | null {
  const known = all.map(of).filter((one) => one !== null);
  return known.length === 0 ? null : total(known, (one) => one);
}

/** Eggs of a share that no row accounts for; below 0, more came out than went in. */
export function missingOf(tally: Tally): number {
  return (tally.missingAtTransfer ?? 0) + (tally.missingAtHatch ?? 0);
}

/** A step of a share at which what went in and what came out do not agree. */
export type Imbalance = {
  readonly step: 'candling' | 'transfer' | 'hatch';
  /** Above 0: not accounted for; below 0: so many too many. */
  readonly eggs: number;
  /** The counts that do not add up, in words. */
  readonly counts: string;
  /** The latest row of the step. */
  readonly at: Place;
};

/** Every step at which a share does not balance. */
export function imbalancesOf(share: Share): Imbalance[] {
  const { tally, candlings, transfers, openings } = share;
  const out: Imbalance[] = [];
  const put = (
    step: Imbalance['step'],
    eggs: number | null,
    rows: readonly Row[],
    counts: string,
  ): void => {
    const last = rows.at(-1);
    if (eggs && last) out.push({ step, eggs, counts, at: last.at });
  };
  const { at, moved } = tally;
  if (moved === null)
    put(
      'candling',
      tally.missingAtTransfer,
      candlings,
      `${tally.eggs} set, ${at.candling.all} taken out at candling`,
    );
  else
    put(
      'transfer',
      tally.missingAtTransfer,
      transfers,
      `${tally.eggs} set, ${at.candling.all} taken out at candling, ${at.transfer.all} at transfer, ${moved} moved`,
    );
  put(
    'hatch',
    tally.missingAtHatch,
    openings,
    `${tally.hatching ?? tally.wentIn} ${moved !== null ? 'moved' : share.underHen ? 'under the hen' : 'in the setter'}, ${tally.hatched} hatched, ${tally.dead} dead, ${tally.pipped} pipped, ${tally.unpipped} unpipped`,
  );
  return out;
}
