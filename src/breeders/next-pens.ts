/** Next season's pens of one line: which birds may be chosen, how many, and what is to be had. */

import type { KnownBirds } from '../facts/birds/bird-list.ts';
import type { PossibleParent } from '../facts/birds/pedigree.ts';
import { hensPerMale } from '../season/species.ts';
import { percent } from '../tables/numbers.ts';
import { largest } from '../text/lists.ts';
import { kinshipFactors, meanKinship } from './inbreeding.ts';
import {
  kinshipOf,
  type MatedPen,
  type MatingCandidate,
  type MatingChoice,
  type MatingProblem,
  openMating,
  type Precision,
  pairUp,
  partsOf,
  tradeOff,
} from './mating.ts';
import { expectedGain, gainOf } from './merit.ts';
import type { BreedersReport } from './report.ts';
import { intensityOf } from './selection-intensity.ts';

export interface PenWish {
  readonly line: string;
  /** Left out: as many as the line has this season. */
  readonly pens?: number | undefined;
  /** Left out: as many as now, or more if the usual hens to a male ask for them. */
  readonly malesInPen?: number | undefined;
  readonly hens?: number | undefined;
  readonly hensInPen?: { readonly least: number; readonly most: number } | undefined;
  readonly without: ReadonlySet<string>;
  /** Highest ΔF a generation (a share), `least` for the least there is, left out: the middle. */
  readonly deltaF?: number | 'least' | undefined;
}

/** Next season's pens as they were chosen. */
export type NextPens = Exclude<Awaited<ReturnType<typeof nextPens>>, { readonly why: string }>;

/** Good to a fiftieth of the kinship and of a deviation: finer than any record is. */
const PRECISION: Precision = { kinship: 0.02, index: 0.02, nodes: 300, rounds: 30 };
const POINTS = 5;
/** At this chance of a common parent two birds count as sibs. */
const AS_SIBS = 0.5;
/** Candidates the program takes on, if half as many again as are wanted are not more. */
const MOST = { males: 24, hens: 60 };
const SPARE = 1.5;
/** Ways for one male a pen to sire all that are tried one by one; past it, pen by pen. */
const MOST_WAYS = 4096;

/** Chance that two birds have the same father (or mother); several unnamed birds are one each. */
function chanceOfSame(
  a: readonly PossibleParent[],
  b: readonly PossibleParent[],
  birds: (id: string) => number,
): number {
  return a.reduce((sum, { id, share }) => {
    const other = b.find((one) => one.id === id)?.share ?? 0;
    return sum + (share * other) / birds(id);
  }, 0);
}

/** The best of each family in turn, until there are `most`: no family is passed over. */
function bestOfFamilies(
  birds: readonly MatingCandidate[],
  family: (id: string) => string,
  most: number,
): readonly MatingCandidate[] {
  if (birds.length <= most) return birds;
  const rank = new Map<string, number>();
  const turns = [...birds]
    .sort((a, b) => b.index - a.index)
    .map((bird) => {
      const key = family(bird.id);
      const turn = rank.get(key) ?? 0;
      rank.set(key, turn + 1);
      return { bird, turn };
    });
  turns.sort((a, b) => a.turn - b.turn);
  return turns.slice(0, most).map(({ bird }) => bird);
}

/** How many pens, males and hens: as wished, else as now, within the usual hens to a male. */
function numbers(
  wish: PenWish,
  now: { readonly pens: number; readonly males: number; readonly hens: number },
  ratio: { readonly low: number; readonly high: number },
  had: { readonly males: number; readonly hens: number },
) {
  const pens = wish.pens ?? Math.max(1, Math.min(now.pens, had.males));
  const { hensInPen } = wish;
  const wanted = wish.hens ?? Math.min(had.hens, now.hens || pens * ratio.low);
  const room = Math.max(1, Math.floor(had.males / pens));
  const asNow = now.pens === 0 ? 1 : Math.round(now.males / now.pens);
  const malesInPen =
    wish.malesInPen ?? Math.min(room, Math.max(1, asNow, Math.ceil(wanted / pens / ratio.high)));
  const most = hensInPen?.most ?? malesInPen * ratio.high;
  const hensInAll =
    wish.hens ??
    Math.max(
      Math.min(wanted, pens * most),
      hensInPen ? Math.min(had.hens, pens * hensInPen.least) : 0,
    );
  return {
    pens,
    malesInPen,
    hensInAll,
    hensInPen: hensInPen ?? {
      least: Math.floor(hensInAll / pens),
      most: Math.ceil(hensInAll / pens),
    },
  };
}

/** The program for one line, and the candidates it was taken from. */
export function matingProblem(flock: KnownBirds, report: BreedersReport, wish: PenWish) {
  const season = flock.seasons.at(-1)!;
  const { ranked, known } = report;
  const index = (id: string) => ranked[0]!.merits.get(id)?.index ?? 0;
  const of = (sex: 'male' | 'female') =>
    [...flock.birds.values()]
      .filter(
        (bird) =>
          bird.line === wish.line &&
          bird.sex === sex &&
          flock.here.has(bird.name) &&
          !wish.without.has(bird.name),
      )
      .map(({ name }) => ({ id: name, index: index(name) }));
  const all = { males: of('male'), hens: of('female') };
  const line = season.lines.get(wish.line)!;
  const now = [...season.pens.values()].filter((pen) => pen.line.name === wish.line);
  const ratio = hensPerMale(line.species, line.class ?? undefined).value;
  const choice = numbers(
    wish,
    {
      pens: now.length,
      males: now.reduce((sum, pen) => sum + pen.males, 0),
      hens: now.reduce((sum, pen) => sum + pen.hens, 0),
    },
    ratio,
    { males: all.males.length, hens: all.hens.length },
  );
  const entries = new Map(flock.pedigree.map((entry) => [entry.id, entry]));
  const family = (id: string) => {
    const { sire, dam } = entries.get(id)!;
    return JSON.stringify([sire, dam]);
  };
  const males = bestOfFamilies(
    all.males,
    family,
    Math.max(MOST.males, Math.ceil(SPARE * choice.pens * choice.malesInPen)),
  );
  const hens = bestOfFamilies(
    all.hens,
    family,
    Math.max(MOST.hens, Math.ceil(SPARE * choice.hensInAll)),
  );
  const apart = (m: number, h: number) => {
    const [a, b] = [entries.get(males[m]!.id)!, entries.get(hens[h]!.id)!];
    const parent = [...a.sire, ...a.dam].some(({ id, share }) => id === b.id && share >= AS_SIBS);
    const child = [...b.sire, ...b.dam].some(({ id, share }) => id === a.id && share >= AS_SIBS);
    const birds = (id: string) => entries.get(id)?.unnamed ?? 1;
    return (
      parent ||
      child ||
      chanceOfSame(a.sire, b.sire, birds) >= AS_SIBS ||
      chanceOfSame(a.dam, b.dam, birds) >= AS_SIBS
    );
  };
  const ids = [...males, ...hens].map(({ id }) => id);
  const problem: MatingProblem = {
    males,
    hens,
    factors: kinshipFactors(known, ids),
    apart,
    ...choice,
  };
  return { problem, all, ratio };
}

/** Mean kinship of the parents if in each pen one male sires all: the highest there can be. */
function kinshipOfOneSire(problem: MatingProblem, pens: readonly MatedPen[]): number {
  const hens = pens.flatMap((pen) => pen.hens);
  const at = (sires: readonly string[]) =>
    kinshipOf(
      problem.factors,
      partsOf(problem, {
        pens: pens.map((pen, index) => ({ males: [sires[index]!], size: pen.hens.length })),
        hens,
      }),
    );
  const ways = pens.reduce((product, pen) => product * pen.males.length, 1);
  if (ways <= MOST_WAYS) {
    const all = pens.reduce<string[][]>(
      (before, pen) => before.flatMap((sires) => pen.males.map((male) => [...sires, male])),
      [[]],
    );
    return largest(all.map(at));
  }
  const sires = pens.map((pen) => pen.males[0]!);
  pens.forEach((pen, index) => {
    for (const male of pen.males) {
      const other = sires.with(index, male);
      if (at(other) > at(sires)) sires[index] = male;
    }
  });
  return at(sires);
}

const idsOf = (list: readonly MatingCandidate[]) => list.map(({ id }) => id);

/** Chooses next season's pens. Returns why not, when it cannot be. @throws SolverFailure */
export async function nextPens(flock: KnownBirds, report: BreedersReport, wish: PenWish) {
  const { problem, all: had, ratio } = matingProblem(flock, report, wish);
  const all = { males: idsOf(had.males), hens: idsOf(had.hens) };
  if (all.males.length > 0 && all.hens.length === 0)
    return { why: `no hen of ${wish.line} can be had` };
  // Kinship the candidates have already: what they lose from here on is ΔF.
  const base = meanKinship(report.known, [...all.males, ...all.hens]).among ?? 0;
  const rate = (kinship: number) => (kinship - base) / (1 - base);
  // Where no bird of the line has an index, nothing is known of gain: that is not a gain of zero.
  const isRanked = [...all.males, ...all.hens].some((id) => report.ranked[0]!.merits.has(id));
  const gain = ({ pens, hens }: Pick<MatingChoice, 'pens' | 'hens'>) =>
    isRanked
      ? gainOf(report.ranked, all, {
          males: pens.flatMap(({ males, size }) =>
            males.flatMap((male) => Array.from({ length: size }, () => male)),
          ),
          hens,
        })
      : null;
  const accuracy = (ids: readonly string[]) =>
    ids.reduce(
      (sum, id) => sum + Math.sqrt(report.ranked[0]!.merits.get(id)?.reliability ?? 0),
      0,
    ) / ids.length;
  const gap = ({ bound, index }: MatingChoice) => Math.max(0, bound - index);
  const mating = await openMating(problem, PRECISION);
  try {
    let chosen: MatingChoice | null = null;
    if (typeof wish.deltaF === 'number') {
      const outcome = mating.best(wish.deltaF * (1 - base) + base);
      if (outcome.status === 'planned') chosen = outcome.plan;
      else {
        const least = mating.least();
        return {
          why:
            least.status === 'infeasible'
              ? least.why
              : `${outcome.why}; the least to be had is ${percent(rate(least.plan.kinship))} a generation`,
        };
      }
    }
    const curve = tradeOff(mating, POINTS, PRECISION.kinship / 2);
    if ('why' in curve) return curve;
    const point =
      chosen !== null ? null : wish.deltaF === 'least' ? 0 : Math.floor(curve.length / 2);
    chosen ??= curve[point!]!.plan;
    const plan = await pairUp(problem, chosen);
    const kept = { males: problem.pens * problem.malesInPen, hens: problem.hensInAll };
    return {
      wish: {
        pens: problem.pens,
        males_in_pen: problem.malesInPen,
        hens: problem.hensInAll,
        hens_per_male_low: ratio.low,
        hens_per_male_high: ratio.high,
      },
      candidates: { males: all.males.length, hens: all.hens.length },
      /** How many of them the program weighed: the best of each family, where there are very many. */
      weighed: { males: problem.males.length, hens: problem.hens.length },
      curve: curve.map(({ plan: at }) => ({
        delta_f: rate(at.kinship),
        kinship: at.kinship,
        index: at.index,
        gain: gain(at),
        proven: at.proven,
        /** Index units by which a better plan may yet exist. */
        gap: gap(at),
      })),
      /** Place of the chosen plan on the curve; `null` when a bound of the keeper's was used. */
      point,
      plan,
      gap: gap(chosen),
      /** If the males of one pen sire alike. */
      delta_f: rate(plan.kinship),
      /** If in each pen one male, the worst for it, sires every chick. */
      delta_f_high: rate(kinshipOfOneSire(problem, plan.pens)),
      gain: gain(chosen),
      /** What choosing as many from as many brings on average, on the index alone (its units). */
      usual_gain: expectedGain(
        { candidates: all.males.length, kept: kept.males, accuracy: accuracy(all.males) },
        { candidates: all.hens.length, kept: kept.hens, accuracy: accuracy(all.hens) },
        report.ranked[0]!.spread,
      ),
      /** Selection intensity of each sex, exact for these numbers, in standard deviations. */
      intensity: {
        males: intensityOf(kept.males, all.males.length),
        hens: intensityOf(kept.hens, all.hens.length),
      },
    };
  } finally {
    mating.close();
  }
}
