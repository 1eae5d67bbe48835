import { looksOf } from '../../facts/looks.ts';
import { imbalancesOf, missingOf, total, totalKnown } from '../../facts/tally.ts';
import type { EggSet, Season, Share } from '../../season/model.ts';
import { type CountOfSet, type PassedRate, shareOverSets } from '../model/counted.ts';
import { eggsBy } from '../review/groups.ts';

/** `count` of `of`, with the 95 % interval of the review where it is a rate and something was counted. */
export type CountedRate = {
  readonly count: number;
  readonly of: number | null;
  readonly share: number | null;
  readonly low: number | null;
  readonly high: number | null;
};

export type WayStage = 'laid' | 'kept' | 'set' | 'fertile' | 'moved' | 'hatched' | 'sound';
export type Step = CountedRate & {
  readonly stage: WayStage;
  /** What the count is divided by, in words. */
  readonly base: string;
};

/** Where the eggs of finished shares went: the counts add up to `set`. */
export type Whereabouts = ReturnType<typeof whereaboutsOf>;
export type SetLine = ReturnType<typeof setLine>;
export type PenLine = ReturnType<typeof penLine>;
export type Summary = ReturnType<typeof summaryOf>;

/** A rate over sets, with the interval the review gives; without one where nothing was counted. */
export function rateOf(
  rate: PassedRate,
  counts: readonly CountOfSet[],
  scatters = true,
): CountedRate {
  const count = total(counts, (one) => one.x);
  const of = total(counts, (one) => one.n);
  // Counts forced in against the balance can fall outside what an interval is of.
  const sound = of > 0 && counts.every(({ x, n }) => x >= 0 && x <= n);
  const { low, high } = sound ? shareOverSets(rate, counts, scatters) : { low: null, high: null };
  return { count, of, share: of > 0 ? count / of : null, low, high };
}

/** Counts of shares, those of one set together: they share its luck. */
function bySet(shares: readonly Share[], of: (share: Share) => CountOfSet | null): CountOfSet[] {
  const sets = new Map<string, CountOfSet>();
  for (const share of shares) {
    const own = of(share);
    if (own === null) continue;
    const { x, n } = sets.get(share.set) ?? { x: 0, n: 0 };
    sets.set(share.set, { x: x + own.x, n: n + own.n });
  }
  return [...sets.values()];
}

const apparentOf = (share: Share): CountOfSet | null => {
  const looks = looksOf(share);
  return looks && { x: looks.apparent, n: looks.eggs };
};

const isFinished = (share: Share): boolean => share.stage === 'finished';

/**
 * The season in counts. Each step is pooled over the shares that reached it and divided by the
 * step before among those same shares, so that a set still in the tray distorts no rate.
 */
export function summaryOf(season: Season) {
  const sets = [...season.sets.values()];
  const shares = sets.flatMap((set) => set.shares);
  return {
    way: wayOf(season, shares),
    whereabouts: whereaboutsOf(shares.filter(isFinished)),
    sets: sets.map(setLine),
    pens: [...season.pens.values()].map((pen) => penLine(pen.name, pen.line.name, shares)),
    unaccounted: shares.flatMap((share) =>
      imbalancesOf(share).map(({ eggs, step }) => ({
        set: share.set,
        pen: share.pen.name,
        eggs,
        at: step === 'hatch' ? ('hatch' as const) : ('transfer' as const),
      })),
    ),
    goals: season.values.goals.map((goal) => ({
      line: goal.line,
      want: goal.want,
      at: goal.at ?? null,
      by: goal.by,
      count: goal.count,
      confidence: goal.confidence,
      hatched: total(
        shares.filter((share) => share.pen.line.name === goal.line),
        (share) => share.tally.sound,
      ),
    })),
  };
}

function wayOf(season: Season, shares: readonly Share[]): Step[] {
  const counted = season.rows.eggs.filter((row) => row.values.laid !== null);
  const laid = total(counted, (row) => row.values.laid ?? 0);
  const kept = total(season.rows.eggs, (row) => row.values.kept);
  const set = total(shares, (share) => share.eggs);
  const drawn = total(shares, (share) => share.eggs - share.notKept);
  const moved = shares.filter((share) => share.tally.moved !== null);
  const finished = shares.filter((share) => isFinished(share) && share.tally.hatching !== null);
  const none = { share: null, low: null, high: null };
  return [
    { stage: 'laid', base: 'where written down', count: laid, of: null, ...none },
    {
      stage: 'kept',
      base: 'of laid',
      ...rateOf('settable', eggsBy(season, () => 'all').get('all') ?? []),
    },
    {
      stage: 'set',
      base: drawn < set ? 'of kept (some never recorded)' : 'of kept',
      ...{ count: set, of: kept, share: kept > 0 ? set / kept : null, low: null, high: null },
    },
    {
      stage: 'fertile',
      base: 'of set, in shares looked at',
      ...rateOf('fertile_apparent', bySet(shares, apparentOf)),
    },
    {
      stage: 'moved',
      base: 'of set, in shares moved',
      ...rateOf(
        ['fertile', 'candled', 'transferred'],
        bySet(moved, (share) => ({ x: share.tally.moved ?? 0, n: share.eggs })),
      ),
    },
    {
      stage: 'hatched',
      base: 'of moved, finished shares',
      ...rateOf(
        ['hatched'],
        bySet(finished, (share) => ({
          x: share.tally.hatched ?? 0,
          n: share.tally.hatching ?? 0,
        })),
      ),
    },
    {
      stage: 'sound',
      base: 'of hatched',
      ...rateOf(
        ['sound'],
        bySet(finished, (share) => ({ x: share.tally.sound, n: share.tally.hatched ?? 0 })),
      ),
    },
  ];
}

function whereaboutsOf(shares: readonly Share[]) {
  return {
    set: total(shares, (share) => share.eggs),
    clear: total(shares, (share) => share.tally.clear),
    quit: total(shares, (share) => share.tally.quit),
    cracked: total(shares, (share) => share.tally.cracked),
    rotten: total(shares, (share) => share.tally.rotten),
    pipped: total(shares, (share) => share.tally.pipped),
    unpipped: total(shares, (share) => share.tally.unpipped),
    dead: total(shares, (share) => share.tally.dead),
    weak: total(shares, (share) => share.tally.weak),
    sound: total(shares, (share) => share.tally.sound),
    unaccounted: total(shares, (share) => missingOf(share.tally)),
  };
}

const stages = ['in-setter', 'in-hatcher', 'finished'] as const;

function setLine(set: EggSet) {
  const { shares } = set;
  const states = new Set(shares.map((share) => share.stage));
  const finished = shares.filter(isFinished);
  const whole = finished.length === shares.length;
  const eggs = total(shares, (share) => share.eggs);
  const hatched = totalKnown(shares, (share) => share.tally.hatched);
  return {
    set: set.name,
    on: set.on.day,
    species: set.speciesName,
    pens: shares.map((share) => share.pen.name),
    state: stages.find((stage) => states.has(stage))!.replace('-', ' '),
    eggs,
    clear: total(shares, (share) => share.tally.clear),
    quit: total(shares, (share) => share.tally.quit),
    lost: total(shares, (share) => share.tally.cracked + share.tally.rotten),
    moved: totalKnown(shares, (share) => share.tally.moved),
    hatched,
    weak: total(shares, (share) => share.tally.weak),
    unaccounted: total(shares, (share) => missingOf(share.tally)),
    hatch_of_set: whole
      ? rateOf('hatch_of_set', [{ x: hatched ?? 0, n: eggs }], false)
      : { count: hatched ?? 0, of: null, share: null, low: null, high: null },
  };
}

function penLine(pen: string, line: string, all: readonly Share[]) {
  const shares = all.filter((share) => share.pen.name === pen);
  const finished = shares.filter(isFinished);
  return {
    pen,
    line,
    eggs: total(shares, (share) => share.eggs),
    fertile_apparent: rateOf('fertile_apparent', bySet(shares, apparentOf)),
    hatch_of_set: rateOf(
      'hatch_of_set',
      bySet(finished, (share) => ({ x: share.tally.hatched ?? 0, n: share.eggs })),
    ),
    // Only of shares looked at: of the others nobody knows how many were fertile.
    hatch_of_fertile: rateOf(
      'hatch_of_fertile',
      bySet(finished, (share) => {
        const looks = looksOf(share);
        return looks && { x: share.tally.hatched ?? 0, n: looks.apparent };
      }),
    ),
  };
}
