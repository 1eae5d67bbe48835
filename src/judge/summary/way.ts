import { imbalancesOf, missingOf, total, totalKnown } from '../../facts/tally.ts';
import type { EggSet, Pen, Season, Share } from '../../season/model.ts';
import type { Rate } from '../../tables/numbers.ts';
import { asRate, type CountOfSet, type PassedRate, shareOverSets } from '../model/counted.ts';
import { type Cut, eggsBy, shareOf } from '../review/groups.ts';
import type { ShareOutcome } from '../review/outcome.ts';
import { type SeasonSeen, seenOf } from '../seen.ts';

export type WayStage = 'laid' | 'kept' | 'set' | 'fertile' | 'moved' | 'hatched' | 'sound';
export type Step = Rate & {
  readonly stage: WayStage;
  /** What the count is divided by, in words. */
  readonly base: string;
};

/** Where the eggs of finished shares went: the counts add up to `set`. */
export type Whereabouts = ReturnType<typeof whereaboutsOf>;
export type SetLine = ReturnType<typeof setLine>;
export type PenLine = ReturnType<typeof penLine>;
export type Summary = ReturnType<typeof summaryOf>;

/** A rate that the review has not, over sets; without an interval where nothing was counted. */
function rateOf(rate: PassedRate, counts: readonly CountOfSet[]): Rate {
  // Counts forced in against the balance can fall outside what an interval is of.
  if (counts.every(({ x, n }) => x >= 0 && x <= n)) return asRate(shareOverSets(rate, counts));
  const count = total(counts, (one) => one.x);
  const of = total(counts, (one) => one.n);
  return { count, of, share: of > 0 ? count / of : null, low: null, high: null };
}

/** A rate of the review, of some of its shares. */
const reviewed = (
  outcomes: readonly ShareOutcome[],
  rate: 'fertile_apparent' | 'hatch_of_set' | 'hatch_of_fertile',
  by: Cut,
): Rate => asRate(shareOf(outcomes, rate, by));

/** Counts of shares, those of one set together: they share its luck. */
function bySet(shares: readonly Share[], of: (share: Share) => CountOfSet): CountOfSet[] {
  const sets = new Map<string, CountOfSet>();
  for (const share of shares) {
    const own = of(share);
    const { x, n } = sets.get(share.set) ?? { x: 0, n: 0 };
    sets.set(share.set, { x: x + own.x, n: n + own.n });
  }
  return [...sets.values()];
}

const isFinished = (share: Share): boolean => share.stage === 'finished';

/**
 * The season in counts. Each step is pooled over the shares that reached it and divided by the
 * step before among those same shares, so that a set still in the tray distorts no rate.
 */
export function summaryOf(season: Season, seen: SeasonSeen = seenOf(season)) {
  const sets = [...season.sets.values()];
  const shares = sets.flatMap((set) => set.shares);
  const outcomes = seen.outcomes();
  return {
    way: wayOf(season, shares, outcomes),
    hatch_of_set: reviewed(outcomes, 'hatch_of_set', 'season'),
    whereabouts: whereaboutsOf(shares.filter(isFinished)),
    sets: sets.map((set) =>
      setLine(
        set,
        outcomes.filter((one) => one.set === set.name),
      ),
    ),
    pens: [...season.pens.values()].map((pen) =>
      penLine(
        pen,
        outcomes.filter((one) => one.share.pen === pen),
      ),
    ),
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

function wayOf(
  season: Season,
  shares: readonly Share[],
  outcomes: readonly ShareOutcome[],
): Step[] {
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
      ...reviewed(outcomes, 'fertile_apparent', 'season'),
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

function setLine(set: EggSet, outcomes: readonly ShareOutcome[]) {
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
      ? reviewed(outcomes, 'hatch_of_set', 'set')
      : { count: hatched ?? 0, of: null, share: null, low: null, high: null },
  };
}

function penLine(pen: Pen, outcomes: readonly ShareOutcome[]) {
  return {
    pen: pen.name,
    line: pen.line.name,
    eggs: total(outcomes, ({ share }) => share.eggs),
    fertile_apparent: reviewed(outcomes, 'fertile_apparent', 'pen'),
    hatch_of_set: reviewed(outcomes, 'hatch_of_set', 'pen'),
    hatch_of_fertile: reviewed(outcomes, 'hatch_of_fertile', 'pen'),
  };
}
