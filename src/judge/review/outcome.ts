import { looksOf } from '../../facts/looks.ts';
import { imbalancesOf } from '../../facts/tally.ts';
import type { Season, Share } from '../../season/model.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { largest } from '../../text/lists.ts';
import {
  type BreakoutPool,
  breakoutsOf,
  type LookOpened,
  none,
  noneOpened,
} from '../model/likelihood.ts';
import type { ExtraName, RateName } from '../rate-names.ts';
import { isoWeek } from './week.ts';

/** x of n. After a sample of eggs was opened and scaled up, neither need be whole. */
export type OutcomePart = {
  readonly x: number;
  readonly n: number;
  /** Variance that opening only a sample adds to x, eggs squared; absent where all were opened. */
  readonly sampled?: number;
};

/** Eggs taken out of one pool (clears, quits, unhatched), and how many of them were opened. */
export type Opened = { readonly of: number; readonly opened: number };

/** What became of one pen's part of a set, as counts that may be pooled. */
export type ShareOutcome = {
  readonly share: Share;
  readonly set: string;
  readonly pen: string;
  readonly line: string;
  readonly speciesName: string;
  readonly on: Day;
  /** ISO week of setting, `2027-W10`. */
  readonly week: string;
  /** Days in store at setting, mean over eggs and oldest; null if nobody wrote when they were laid. */
  readonly age: { readonly mean: number; readonly oldest: number } | null;
  /** The part of the share's eggs in each tray that is known; sums to 1 when all are. */
  readonly trays: readonly {
    readonly setter: string;
    readonly tray: number;
    readonly part: number;
  }[];
  readonly hatcher: string | null;
  readonly candled: boolean;
  readonly finished: boolean;
  readonly unaccounted: number;
  /** Why the share is left out of every rate; null for a sound one. */
  readonly contradiction: string | null;
  readonly opened: { readonly clear: Opened; readonly quit: Opened; readonly unhatched: Opened };
  readonly clears: number;
  /** Eggs moved that had never begun: shells that stayed whole and were opened, scaled up; 0 where fertility proper is not known. */
  readonly movedInfertile: number;
  /** Null where the records do not tell. `settable` is not of a share and always null here. */
  readonly rates: Readonly<Record<RateName | ExtraName, OutcomePart | null>>;
};

type Pools = Readonly<Record<BreakoutPool, LookOpened>>;

/** Eggs of a pool that were opened, whatever was found. */
const openedOf = ({ infertile, early, middle, late, pipped, rotten }: LookOpened): number =>
  infertile + early + middle + late + pipped + rotten;

/** The days of laying that the rows of a share itself say, with the eggs of each row. */
export function laidSaid(share: Share): { from: Day; to: Day; eggs: number }[] {
  return share.trays.flatMap(({ row, eggs }) => {
    const { laid_from, laid_to } = row.values as { laid_from: Day | null; laid_to: Day | null };
    const from = laid_from ?? laid_to;
    const to = laid_to ?? laid_from;
    return from === null || to === null ? [] : [{ from, to, eggs }];
  });
}

function ageOf(share: Share): ShareOutcome['age'] {
  const drawn = share.drawn.reduce((s, d) => s + d.eggs, 0);
  if (drawn > 0) {
    return {
      mean: share.drawn.reduce((s, d) => s + d.eggs * d.age, 0) / drawn,
      oldest: largest(share.drawn.map((d) => d.age)),
    };
  }
  let eggs = 0;
  let sum = 0;
  let oldest = 0;
  for (const { from, to, eggs: here } of laidSaid(share)) {
    eggs += here;
    sum += (here * (daysBetween(from, share.on.day) + daysBetween(to, share.on.day))) / 2;
    oldest = Math.max(oldest, daysBetween(from, share.on.day));
  }
  return eggs > 0 ? { mean: sum / eggs, oldest } : null;
}

function contradictionOf(share: Share, stages: Pools): string | null {
  const { tally } = share;
  const { clear: clears, quit: quits } = tally;
  const tooMany = imbalancesOf(share).find((one) => one.eggs < 0);
  if (tooMany) return `${-tooMany.eggs} too many: ${tooMany.counts}`;
  const [clear, quit] = [openedOf(stages.clear), openedOf(stages.quit)];
  if (clear > clears) return `${clear} clears opened, ${clears} taken out`;
  if (quit > quits) return `${quit} quits opened, ${quits} taken out`;
  return null;
}

/**
 * What became of a share. The rules, as `review` states them:
 * - eggs not accounted for are shown, and are in no denominator of what came after they were last seen;
 * - apparent fertility is (set - clear) / set; an egg taken out cracked or rotten was not clear;
 * - fertility proper needs clears opened (a sample is scaled up, and stands for the pen's other
 *   clears) or none to open. A clear left shut is not known to be infertile: to count it so would make
 *   fertility hang on how many were opened, while the sample's share of all clears is the likeliest
 *   count whatever was opened;
 * - deaths are shares of the fertile eggs: those proper where known, else the apparent ones;
 * - unopened quits of a look in the first half of the term count as early, later ones as middle,
 *   unopened shells that stayed whole as late;
 * - what happens in the hatcher counts once the share had its final opening.
 */
function outcomeOf(share: Share, stages: Pools, ofPen: PenClears): ShareOutcome {
  const { tally, eggs } = share;
  const { clear: clears, quit: quits } = tally;
  const finished = share.stage === 'finished';
  const missedBefore = Math.max(0, tally.missingAtTransfer ?? 0);
  const missedAfter = finished ? Math.max(0, tally.wentIn - tally.cameOut) : 0;
  const unaccounted = missedBefore + missedAfter;
  const contradiction = contradictionOf(share, stages);
  const looks = looksOf(share);
  const candled = looks !== null;

  // An egg lost after transfer was looked through before: it distorts only what comes later.
  const accounted = eggs - missedBefore;
  const scale = (pool: number, opened: number): number => (opened > 0 ? pool / opened : 0);
  // Of `found` among the eggs opened, scaled up to the pool: drawn without putting back; half an
  // egg either way keeps a small sample of all or none from looking sure.
  const sampling = (pool: number, opened: number, found: number): number => {
    if (opened <= 0 || opened >= pool) return 0;
    const share = (found + 0.5) / (opened + 1);
    return ((pool ** 2 * share * (1 - share)) / opened) * ((pool - opened) / (pool - 1));
  };
  // A share none of whose clears was opened goes by the clears of its pen that were.
  const opened = { quit: openedOf(stages.quit), unhatched: openedOf(stages.unhatched) };
  const ownClears = openedOf(stages.clear);
  const likePen = clears > 0 && ownClears === 0 && openedOf(ofPen.opened) > 0;
  const clear = likePen ? ofPen.opened : stages.clear;
  const clearOpened = openedOf(clear);
  const ofClear = scale(clears, clearOpened);
  const ofQuit = scale(quits, opened.quit);
  // Shells that stayed whole: breakouts of unhatched eggs may or may not include the pipped ones.
  const whole = opened.unhatched - stages.unhatched.pipped;
  const unpipped = Math.max(tally.unpipped, whole);
  const ofWhole = scale(unpipped, whole);

  const apparent = looks?.apparent ?? null;
  // A share without clears has none to open; but where the pen's clears stay shut, to count only
  // such shares would make the pen look better than it is.
  const knowsClears =
    clearOpened > 0 || (clears === 0 && (openedOf(ofPen.opened) > 0 || ofPen.unopened === 0));
  const movedInfertile =
    candled && knowsClears && finished ? stages.unhatched.infertile * ofWhole : 0;
  const fertile =
    candled && knowsClears
      ? accounted - clear.infertile * ofClear - stages.quit.infertile * ofQuit - movedInfertile
      : null;
  const base = fertile ?? apparent;
  const hatchBase = base === null ? null : base - missedAfter;

  const halfTerm = share.pen.line.species.hatch_day.value / 2;
  let quitsEarly = 0;
  for (const row of share.candlings)
    if (daysBetween(share.on.day, row.on.day) <= halfTerm) quitsEarly += row.values.quit;
  const quitsLater = quits - quitsEarly;
  const openedQuits = opened.quit > 0;
  const openedWhole = whole > 0;
  const early =
    (openedQuits ? stages.quit.early * ofQuit : quitsEarly) +
    clear.early * ofClear +
    (finished ? stages.unhatched.early * ofWhole : 0);
  const middle =
    (openedQuits ? stages.quit.middle * ofQuit : quitsLater) +
    clear.middle * ofClear +
    (finished ? stages.unhatched.middle * ofWhole : 0);
  const late =
    (openedQuits ? stages.quit.late * ofQuit : 0) +
    clear.late * ofClear +
    (openedWhole ? stages.unhatched.late * ofWhole : unpipped);
  const pipped = Math.max(tally.pipped, stages.unhatched.pipped);
  const rotten =
    tally.rotten +
    clear.rotten * ofClear +
    stages.quit.rotten * ofQuit +
    (finished ? stages.unhatched.rotten * ofWhole : 0);
  const hatched = tally.hatched ?? 0;

  // All shares of the pen lean on one sample, so what it may be off by adds up over them.
  const inClear = (found: number): number =>
    likePen
      ? (clears / ofPen.unopened) * sampling(ofPen.unopened + clearOpened, clearOpened, found)
      : sampling(clears, clearOpened, found);
  const inQuit = (found: number): number => sampling(quits, opened.quit, found);
  const inWhole = (found: number): number => (finished ? sampling(unpipped, whole, found) : 0);
  const over = (stage: 'infertile' | 'early' | 'middle' | 'late' | 'rotten'): number =>
    inClear(clear[stage]) + inQuit(stages.quit[stage]) + inWhole(stages.unhatched[stage]);
  const ofFertile = fertile === null ? 0 : over('infertile');

  const sound = contradiction === null;
  const part = (x: number, n: number | null, known: boolean, sampled = 0): OutcomePart | null =>
    sound && known && n !== null && n > 0
      ? { x: Math.min(Math.max(0, x), n), n, ...(sampled > 0 ? { sampled } : {}) }
      : null;
  // Shares of fertile eggs are unsure by what they count and by what they are counted in.
  const within = (x: number, n: number | null, known: boolean, own: number): OutcomePart | null =>
    part(x, n, known, own + (n === null || n <= 0 ? 0 : (x / n) ** 2 * ofFertile));
  const unhatched = pipped + unpipped;
  const malposedKnown = opened.unhatched > 0;
  return {
    share,
    set: share.set,
    pen: share.pen.name,
    line: share.pen.line.name,
    speciesName: share.pen.line.speciesName,
    on: share.on.day,
    week: isoWeek(share.on.day),
    age: ageOf(share),
    trays: share.trays.flatMap((t) =>
      t.tray === null ? [] : [{ setter: t.setter, tray: t.tray, part: t.eggs / eggs }],
    ),
    hatcher: share.hatcher,
    candled,
    finished,
    unaccounted,
    contradiction,
    opened: {
      clear: { of: clears, opened: ownClears },
      quit: { of: quits, opened: opened.quit },
      unhatched: {
        of: finished ? unhatched : 0,
        opened: Math.min(opened.unhatched, unhatched),
      },
    },
    clears,
    movedInfertile,
    rates: {
      settable: null,
      fertile_apparent: part(apparent ?? 0, accounted, candled),
      fertile: part(fertile ?? 0, accounted, fertile !== null, ofFertile),
      early: within(early, base, candled, over('early')),
      // Until the eggs are moved, quits of the middle are still in the tray.
      middle: within(middle, base, candled && (tally.moved !== null || finished), over('middle')),
      late: within(late, hatchBase, candled && finished, over('late')),
      pipped: within(pipped, hatchBase, candled && finished, 0),
      rotten: part(rotten, accounted, candled || finished, over('rotten')),
      hatch_of_set: part(hatched, accounted - missedAfter, finished),
      hatch_of_fertile: within(hatched, hatchBase, candled && finished, 0),
      weak: part(tally.weak, hatched, finished),
      dead: part(tally.dead, tally.emerged, finished),
      cracked: part(tally.cracked, accounted, candled),
      malposed: within(
        stages.unhatched.malposed * scale(unhatched, opened.unhatched),
        base,
        candled && finished && malposedKnown,
        sampling(unhatched, opened.unhatched, stages.unhatched.malposed),
      ),
    },
  };
}

/** Clears of a pen opened, whatever their set, and clears of its shares of which none was. */
type PenClears = { opened: LookOpened; unopened: number };

/**
 * Fertile eggs of those set, as far as the records tell: proper where clears were opened, else by the
 * look alone. The one count that deaths are divided by and that rates are learnt from.
 */
export const fertileOf = ({ rates }: ShareOutcome): OutcomePart | null =>
  rates.fertile ?? rates.fertile_apparent;

/** The outcome of every share recorded, in the order the sets were set. */
export function outcomesOf(season: Season): ShareOutcome[] {
  const opened = breakoutsOf(season);
  const shares = [...season.sets.values()].flatMap((set) =>
    set.shares.map((share) => ({
      share,
      stages: opened.get(`${set.name}\n${share.pen.name}`) ?? noneOpened(),
    })),
  );
  const pens = new Map<string, PenClears>();
  for (const { share, stages } of shares) {
    const pen = pens.get(share.pen.name) ?? { opened: none(), unopened: 0 };
    pens.set(share.pen.name, pen);
    if (contradictionOf(share, stages) !== null) continue;
    for (const key of Object.keys(pen.opened) as (keyof LookOpened)[])
      pen.opened[key] += stages.clear[key];
    if (openedOf(stages.clear) === 0) pen.unopened += share.tally.clear;
  }
  return shares.map(({ share, stages }) => outcomeOf(share, stages, pens.get(share.pen.name)!));
}
