import type { EggSet, Season, Share } from '../../season/model.ts';
import { wilson } from '../statistics/proportion.ts';

/** `count` of `of`, with a Wilson 95 % interval where there is something to divide by. */
export type Rate = {
  readonly count: number;
  readonly of: number | null;
  readonly share: number | null;
  readonly low: number | null;
  readonly high: number | null;
};

export type WayStage = 'laid' | 'kept' | 'set' | 'fertile' | 'moved' | 'hatched' | 'sound';
export type Step = Rate & {
  readonly stage: WayStage;
  /** What the count is divided by, in words. */
  readonly base: string;
};

/** Where the eggs of finished shares went: the counts add up to `set`. */
export type Whereabouts = {
  readonly set: number;
  readonly clear: number;
  readonly quit: number;
  readonly cracked: number;
  readonly rotten: number;
  readonly pipped: number;
  readonly unpipped: number;
  readonly dead: number;
  readonly weak: number;
  readonly sound: number;
  readonly unaccounted: number;
};

export type SetLine = {
  readonly set: string;
  readonly on: string;
  readonly species: string;
  readonly pens: readonly string[];
  readonly state: string;
  readonly eggs: number;
  readonly clear: number;
  readonly quit: number;
  readonly lost: number;
  readonly moved: number | null;
  readonly hatched: number | null;
  readonly weak: number;
  readonly unaccounted: number;
  readonly hatch_of_set: Rate;
};

export type PenLine = {
  readonly pen: string;
  readonly line: string;
  readonly eggs: number;
  readonly fertile_apparent: Rate;
  readonly hatch_of_set: Rate;
  readonly hatch_of_fertile: Rate;
};

export type Summary = {
  readonly way: readonly Step[];
  readonly whereabouts: Whereabouts;
  readonly sets: readonly SetLine[];
  readonly pens: readonly PenLine[];
  readonly unaccounted: readonly {
    readonly set: string;
    readonly pen: string;
    readonly eggs: number;
    readonly at: 'transfer' | 'hatch';
  }[];
  readonly goals: readonly {
    readonly line: string;
    readonly want: string;
    readonly at: string | null;
    readonly by: string;
    readonly count: number;
    readonly confidence: number;
    readonly hatched: number;
  }[];
};

/** A rate of pooled counts; without an interval where nothing was counted. */
export function rateOf(count: number, of: number): Rate {
  // Counts forced in against the balance can fall outside what an interval is of.
  if (of <= 0 || count < 0 || count > of)
    return { count, of, share: of <= 0 ? null : count / of, low: null, high: null };
  const [low, high] = wilson(count, of);
  return { count, of, share: count / of, low, high };
}

function sum<T>(all: readonly T[], of: (one: T) => number): number {
  return all.reduce((total, one) => total + of(one), 0);
}

const clearOf = (share: Share): number => share.tally.clear + share.tally.transferClear;
const wasLookedAt = (share: Share): boolean =>
  share.candlings.length > 0 || share.transfers.length > 0;
const isFinished = (share: Share): boolean => share.stage === 'finished';

/**
 * The season in counts. Each step is pooled over the shares that reached it and divided by the
 * step before among those same shares, so that a set still in the tray distorts no rate.
 */
export function summaryOf(season: Season): Summary {
  const sets = [...season.sets.values()];
  const shares = sets.flatMap((set) => set.shares);
  return {
    way: wayOf(season, shares),
    whereabouts: whereaboutsOf(shares.filter(isFinished)),
    sets: sets.map(setLine),
    pens: [...season.pens.values()].map((pen) => penLine(pen.name, pen.line.name, shares)),
    unaccounted: shares.flatMap((share) => [
      ...(share.unaccountedAtTransfer
        ? [
            {
              set: share.set,
              pen: share.pen.name,
              eggs: share.unaccountedAtTransfer,
              at: 'transfer' as const,
            },
          ]
        : []),
      ...(share.unaccountedAtHatch
        ? [
            {
              set: share.set,
              pen: share.pen.name,
              eggs: share.unaccountedAtHatch,
              at: 'hatch' as const,
            },
          ]
        : []),
    ]),
    goals: season.values.goals.map((goal) => ({
      line: goal.line,
      want: goal.want,
      at: goal.at ?? null,
      by: goal.by,
      count: goal.count,
      confidence: goal.confidence,
      hatched: sum(
        shares.filter((share) => share.pen.line.name === goal.line),
        (share) => (share.tally.hatched ?? 0) - share.tally.weak,
      ),
    })),
  };
}

function wayOf(season: Season, shares: readonly Share[]): Step[] {
  const counted = season.rows.eggs.filter((row) => row.values.laid !== null);
  const laid = sum(counted, (row) => row.values.laid ?? 0);
  const kept = sum(season.rows.eggs, (row) => row.values.kept);
  const set = sum(shares, (share) => share.eggs);
  const drawn = sum(shares, (share) => share.eggs - share.notKept);
  const looked = shares.filter(wasLookedAt);
  const moved = shares.filter((share) => share.tally.moved !== null);
  const finished = shares.filter((share) => isFinished(share) && share.tally.moved !== null);
  const hatched = sum(finished, (share) => share.tally.hatched ?? 0);
  const none = { share: null, low: null, high: null };
  return [
    { stage: 'laid', base: 'where written down', count: laid, of: null, ...none },
    {
      stage: 'kept',
      base: 'of laid',
      ...rateOf(
        sum(counted, (row) => row.values.kept),
        laid,
      ),
    },
    {
      stage: 'set',
      base: drawn < set ? 'of kept (some never recorded)' : 'of kept',
      ...rateOf(set, kept),
    },
    {
      stage: 'fertile',
      base: 'of set, in shares looked at',
      ...rateOf(
        sum(looked, (share) => share.eggs - clearOf(share)),
        sum(looked, (share) => share.eggs),
      ),
    },
    {
      stage: 'moved',
      base: 'of set, in shares moved',
      ...rateOf(
        sum(moved, (share) => share.tally.moved ?? 0),
        sum(moved, (share) => share.eggs),
      ),
    },
    {
      stage: 'hatched',
      base: 'of moved, finished shares',
      ...rateOf(
        hatched,
        sum(finished, (share) => share.tally.moved ?? 0),
      ),
    },
    {
      stage: 'sound',
      base: 'of hatched',
      ...rateOf(hatched - sum(finished, (share) => share.tally.weak), hatched),
    },
  ];
}

function whereaboutsOf(shares: readonly Share[]): Whereabouts {
  const total = (of: (tally: Share['tally']) => number): number =>
    sum(shares, (share) => of(share.tally));
  return {
    set: sum(shares, (share) => share.eggs),
    clear: total((t) => t.clear + t.transferClear),
    quit: total((t) => t.quit + t.transferQuit),
    cracked: total((t) => t.cracked + t.transferCracked),
    rotten: total((t) => t.rotten + t.transferRotten),
    pipped: total((t) => t.pipped),
    unpipped: total((t) => t.unpipped),
    dead: total((t) => t.dead),
    weak: total((t) => t.weak),
    sound: total((t) => (t.hatched ?? 0) - t.weak),
    unaccounted: sum(
      shares,
      (share) => (share.unaccountedAtTransfer ?? 0) + (share.unaccountedAtHatch ?? 0),
    ),
  };
}

const stateWords = {
  'in-setter': 'in setter',
  'in-hatcher': 'in hatcher',
  finished: 'finished',
} as const;

function setLine(set: EggSet): SetLine {
  const { shares } = set;
  const states = new Set(shares.map((share) => share.stage));
  const order = ['in-setter', 'in-hatcher', 'finished'] as const;
  const finished = shares.filter(isFinished);
  const whole = finished.length === shares.length;
  const eggs = sum(shares, (share) => share.eggs);
  const hatched = shares.some((share) => share.tally.hatched !== null)
    ? sum(shares, (share) => share.tally.hatched ?? 0)
    : null;
  return {
    set: set.name,
    on: set.on.day,
    species: set.speciesName,
    pens: shares.map((share) => share.pen.name),
    state: stateWords[order.find((stage) => states.has(stage)) ?? 'finished'],
    eggs,
    clear: sum(shares, clearOf),
    quit: sum(shares, (share) => share.tally.quit + share.tally.transferQuit),
    lost: sum(
      shares,
      (share) =>
        share.tally.cracked +
        share.tally.rotten +
        share.tally.transferCracked +
        share.tally.transferRotten,
    ),
    moved: shares.some((share) => share.tally.moved !== null)
      ? sum(shares, (share) => share.tally.moved ?? 0)
      : null,
    hatched,
    weak: sum(shares, (share) => share.tally.weak),
    unaccounted: sum(
      shares,
      (share) => (share.unaccountedAtTransfer ?? 0) + (share.unaccountedAtHatch ?? 0),
    ),
    hatch_of_set: whole
      ? rateOf(hatched ?? 0, eggs)
      : { count: hatched ?? 0, of: null, share: null, low: null, high: null },
  };
}

function penLine(pen: string, line: string, all: readonly Share[]): PenLine {
  const shares = all.filter((share) => share.pen.name === pen);
  const looked = shares.filter(wasLookedAt);
  const finished = shares.filter(isFinished);
  const hatched = sum(finished, (share) => share.tally.hatched ?? 0);
  return {
    pen,
    line,
    eggs: sum(shares, (share) => share.eggs),
    fertile_apparent: rateOf(
      sum(looked, (share) => share.eggs - clearOf(share)),
      sum(looked, (share) => share.eggs),
    ),
    hatch_of_set: rateOf(
      hatched,
      sum(finished, (share) => share.eggs),
    ),
    hatch_of_fertile: rateOf(
      hatched,
      sum(finished.filter(wasLookedAt), (share) => share.eggs - clearOf(share)),
    ),
  };
}
