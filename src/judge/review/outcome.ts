import { looksOf } from '../../facts/looks.ts';
import { imbalancesOf } from '../../facts/tally.ts';
import type { breakout } from '../../records/breakout.ts';
import type { RowOf } from '../../records/record.ts';
import type { Season, Share } from '../../season/model.ts';
import { type Day, daysBetween } from '../../text/day.ts';
import { largest } from '../../text/lists.ts';
import type { RateName } from '../norms.ts';
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

/** Names of the shares of eggs that are measured but are not among the rates of a review. */
export type ExtraName = 'cracked' | 'malposed';

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
  /** Null where the records do not tell. `settable` is not of a share and always null here. */
  readonly rates: Readonly<Record<RateName | ExtraName, OutcomePart | null>>;
};

type BreakoutValues = RowOf<typeof breakout>['values'];
type Stages = {
  opened: number;
  infertile: number;
  early: number;
  middle: number;
  late: number;
  pipped: number;
  rotten: number;
  malposed: number;
};

function stagesOf(rows: readonly BreakoutValues[]): Stages {
  const sum = (key: Exclude<keyof Stages, 'opened'>): number =>
    rows.reduce((s, row) => s + row[key], 0);
  const stages = {
    infertile: sum('infertile'),
    early: sum('early'),
    middle: sum('middle'),
    late: sum('late'),
    pipped: sum('pipped'),
    rotten: sum('rotten'),
    malposed: sum('malposed'),
  };
  const { infertile, early, middle, late, pipped, rotten } = stages;
  return { ...stages, opened: infertile + early + middle + late + pipped + rotten };
}

function ageOf(share: Share): ShareOutcome['age'] {
  const drawn = share.drawn.reduce((s, d) => s + d.eggs, 0);
  if (drawn > 0) {
    return {
      mean: share.drawn.reduce((s, d) => s + d.eggs * d.age, 0) / drawn,
      oldest: largest(share.drawn.map((d) => d.age)),
    };
  }
  // No egg rows: what the set row itself says of the days of laying.
  let eggs = 0;
  let sum = 0;
  let oldest = 0;
  for (const { row, eggs: here } of share.trays) {
    const { laid_from, laid_to } = row.values as { laid_from: Day | null; laid_to: Day | null };
    const from = laid_from ?? laid_to;
    const to = laid_to ?? laid_from;
    if (from === null || to === null) continue;
    eggs += here;
    sum += (here * (daysBetween(from, share.on.day) + daysBetween(to, share.on.day))) / 2;
    oldest = Math.max(oldest, daysBetween(from, share.on.day));
  }
  return eggs > 0 ? { mean: sum / eggs, oldest } : null;
}

function contradictionOf(share: Share, stages: { clear: Stages; quit: Stages }): string | null {
  const { tally } = share;
  const { clear: clears, quit: quits } = tally;
  const tooMany = imbalancesOf(share).find((one) => one.eggs < 0);
  if (tooMany) return `${-tooMany.eggs} too many: ${tooMany.counts}`;
  if (tally.cameOut > tally.wentIn)
    return `${tally.cameOut} came out of the hatcher, ${tally.wentIn} went in`;
  if (stages.clear.opened > clears)
    return `${stages.clear.opened} clears opened, ${clears} taken out`;
  if (stages.quit.opened > quits) return `${stages.quit.opened} quits opened, ${quits} taken out`;
  return null;
}

/**
 * What became of a share. The rules, as `review` states them:
 * - eggs not accounted for are shown, and are in no denominator of what came after they were last seen;
 * - apparent fertility is (set - clear) / set; an egg taken out cracked or rotten was not clear;
 * - fertility proper needs clears opened (a sample is scaled up, and stands for the pen's other
 *   clears) or none to open;
 * - deaths are shares of the fertile eggs: those proper where known, else the apparent ones;
 * - unopened quits of a look in the first half of the term count as early, later ones as middle,
 *   unopened shells that stayed whole as late;
 * - what happens in the hatcher counts once the share had its final opening.
 */
function outcomeOf(
  share: Share,
  stages: { clear: Stages; quit: Stages; unhatched: Stages },
  ofPen: PenClears,
): ShareOutcome {
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
  const likePen = clears > 0 && stages.clear.opened === 0 && ofPen.opened.opened > 0;
  const clear = likePen ? ofPen.opened : stages.clear;
  const ofClear = scale(clears, clear.opened);
  const ofQuit = scale(quits, stages.quit.opened);
  // Shells that stayed whole: breakouts of unhatched eggs may or may not include the pipped ones.
  const whole = stages.unhatched.opened - stages.unhatched.pipped;
  const unpipped = Math.max(tally.unpipped, whole);
  const ofWhole = scale(unpipped, whole);

  const apparent = looks?.apparent ?? null;
  // A share without clears has none to open; but where the pen's clears stay shut, to count only
  // such shares would make the pen look better than it is.
  const knowsClears =
    clear.opened > 0 || (clears === 0 && (ofPen.opened.opened > 0 || ofPen.unopened === 0));
  const fertile =
    candled && knowsClears
      ? accounted -
        clear.infertile * ofClear -
        stages.quit.infertile * ofQuit -
        (finished ? stages.unhatched.infertile * ofWhole : 0)
      : null;
  const base = fertile ?? apparent;
  const hatchBase = base === null ? null : base - missedAfter;

  const halfTerm = share.pen.line.species.hatch_day.value / 2;
  let quitsEarly = 0;
  for (const row of share.candlings)
    if (daysBetween(share.on.day, row.on.day) <= halfTerm) quitsEarly += row.values.quit;
  const quitsLater = quits - quitsEarly;
  const openedQuits = stages.quit.opened > 0;
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
      ? (clears / ofPen.unopened) * sampling(ofPen.unopened + clear.opened, clear.opened, found)
      : sampling(clears, clear.opened, found);
  const inQuit = (found: number): number => sampling(quits, stages.quit.opened, found);
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
  const malposedKnown = stages.unhatched.opened > 0;
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
      clear: { of: clears, opened: stages.clear.opened },
      quit: { of: quits, opened: stages.quit.opened },
      unhatched: {
        of: finished ? unhatched : 0,
        opened: Math.min(stages.unhatched.opened, unhatched),
      },
    },
    clears,
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
        stages.unhatched.malposed * scale(unhatched, stages.unhatched.opened),
        base,
        candled && finished && malposedKnown,
        sampling(unhatched, stages.unhatched.opened, stages.unhatched.malposed),
      ),
    },
  };
}

/** Clears of a pen opened, whatever their set, and clears of its shares of which none was. */
type PenClears = { opened: Stages; unopened: number };

function addStages(a: Stages, b: Stages): Stages {
  const sum = { ...a };
  for (const key of Object.keys(a) as (keyof Stages)[]) sum[key] = a[key] + b[key];
  return sum;
}

/** The outcome of every share recorded, in the order the sets were set. */
export function outcomesOf(season: Season): ShareOutcome[] {
  const byShare = new Map<string, BreakoutValues[]>();
  const key = (set: string, pen: string): string => `${set}\n${pen}`;
  for (const row of season.rows.breakout) {
    const set = season.sets.get(row.values.set);
    const only = set?.shares.length === 1 ? set.shares[0]!.pen.name : null;
    const pen = row.values.pen ?? only;
    if (pen === null) continue;
    const at = key(row.values.set, pen);
    byShare.set(at, [...(byShare.get(at) ?? []), row.values]);
  }
  const shares = [...season.sets.values()].flatMap((set) =>
    set.shares.map((share) => {
      const rows = byShare.get(key(set.name, share.pen.name)) ?? [];
      const from = (pool: BreakoutValues['from']): Stages =>
        stagesOf(rows.filter((row) => row.from === pool));
      return {
        share,
        stages: { clear: from('clear'), quit: from('quit'), unhatched: from('unhatched') },
      };
    }),
  );
  const pens = new Map<string, PenClears>();
  for (const { share, stages } of shares) {
    const pen = pens.get(share.pen.name) ?? { opened: stagesOf([]), unopened: 0 };
    if (contradictionOf(share, stages) === null) {
      pen.opened = addStages(pen.opened, stages.clear);
      if (stages.clear.opened === 0) pen.unopened += share.tally.clear;
    }
    pens.set(share.pen.name, pen);
  }
  return shares.map(({ share, stages }) => outcomeOf(share, stages, pens.get(share.pen.name)!));
}
