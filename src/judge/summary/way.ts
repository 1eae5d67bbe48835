import { looksOf, pooledLooks } from '../../facts/looks.ts';
import { imbalancesOf, missingOf, total, totalKnown } from '../../facts/tally.ts';
import type { EggSet, Season, Share } from '../../season/model.ts';
import { wilson } from '../statistics/proportion.ts';

/** `count` of `of`, with a Wilson 95 % interval where there is something to divide by. */
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
  readonly hatch_of_set: CountedRate;
};

export type PenLine = {
  readonly pen: string;
  readonly line: string;
  readonly eggs: number;
  readonly fertile_apparent: CountedRate;
  readonly hatch_of_set: CountedRate;
  readonly hatch_of_fertile: CountedRate;
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
export function rateOf(count: number, of: number): CountedRate {
  // Counts forced in against the balance can fall outside what an interval is of.
  if (of <= 0 || count < 0 || count > of)
    return { count, of, share: of <= 0 ? null : count / of, low: null, high: null };
  const [low, high] = wilson(count, of);
  return { count, of, share: count / of, low, high };
}

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
  const looks = pooledLooks(shares);
  const moved = shares.filter((share) => share.tally.moved !== null);
  const finished = shares.filter((share) => isFinished(share) && share.tally.hatching !== null);
  const hatched = total(finished, (share) => share.tally.hatched ?? 0);
  const none = { share: null, low: null, high: null };
  return [
    { stage: 'laid', base: 'where written down', count: laid, of: null, ...none },
    {
      stage: 'kept',
      base: 'of laid',
      ...rateOf(
        total(counted, (row) => row.values.kept),
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
      ...rateOf(looks.apparent, looks.eggs),
    },
    {
      stage: 'moved',
      base: 'of set, in shares moved',
      ...rateOf(
        total(moved, (share) => share.tally.moved ?? 0),
        total(moved, (share) => share.eggs),
      ),
    },
    {
      stage: 'hatched',
      base: 'of moved, finished shares',
      ...rateOf(
        hatched,
        total(finished, (share) => share.tally.hatching ?? 0),
      ),
    },
    {
      stage: 'sound',
      base: 'of hatched',
      ...rateOf(
        total(finished, (share) => share.tally.sound),
        hatched,
      ),
    },
  ];
}

function whereaboutsOf(shares: readonly Share[]): Whereabouts {
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
  const eggs = total(shares, (share) => share.eggs);
  const hatched = totalKnown(shares, (share) => share.tally.hatched);
  return {
    set: set.name,
    on: set.on.day,
    species: set.speciesName,
    pens: shares.map((share) => share.pen.name),
    state: stateWords[order.find((stage) => states.has(stage)) ?? 'finished'],
    eggs,
    clear: total(shares, (share) => share.tally.clear),
    quit: total(shares, (share) => share.tally.quit),
    lost: total(shares, (share) => share.tally.cracked + share.tally.rotten),
    moved: totalKnown(shares, (share) => share.tally.moved),
    hatched,
    weak: total(shares, (share) => share.tally.weak),
    unaccounted: total(shares, (share) => missingOf(share.tally)),
    hatch_of_set: whole
      ? rateOf(hatched ?? 0, eggs)
      : { count: hatched ?? 0, of: null, share: null, low: null, high: null },
  };
}

function penLine(pen: string, line: string, all: readonly Share[]): PenLine {
  const shares = all.filter((share) => share.pen.name === pen);
  const looks = pooledLooks(shares);
  const finished = shares.filter(isFinished);
  const seen = finished.filter((share) => looksOf(share) !== null);
  const hatched = total(finished, (share) => share.tally.hatched ?? 0);
  return {
    pen,
    line,
    eggs: total(shares, (share) => share.eggs),
    fertile_apparent: rateOf(looks.apparent, looks.eggs),
    hatch_of_set: rateOf(
      hatched,
      total(finished, (share) => share.eggs),
    ),
    // Only of shares looked at: of the others nobody knows how many were fertile.
    hatch_of_fertile: rateOf(
      total(seen, (share) => share.tally.hatched ?? 0),
      pooledLooks(seen).apparent,
    ),
  };
}
