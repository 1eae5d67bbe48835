/** Next season's pens of one line: which birds may be chosen, how many, and what is to be had. */
import { hensPerMale } from '../../season/species.ts';
import type { Flock } from './flock.ts';
import { kinshipFactors, meanKinship } from './inbreeding.ts';
import {
  type MatingPlan,
  type MatingProblem,
  openMating,
  type Precision,
  pairUp,
  type TradeOff,
  tradeOff,
} from './mating.ts';
import { expectedGain, type Gain, gainOf } from './merit.ts';
import type { PossibleParent } from './pedigree.ts';
import type { BreedersReport } from './report.ts';

export interface Wish {
  readonly line: string;
  /** Left out: as many as the line has this season. */
  readonly pens?: number | undefined;
  readonly hens?: number | undefined;
  readonly hensInPen?: { readonly least: number; readonly most: number } | undefined;
  readonly without: ReadonlySet<string>;
  /** Highest ΔF a generation (a share), `least` for the least there is, left out: the middle. */
  readonly deltaF?: number | 'least' | undefined;
}

export interface CurvePoint {
  readonly delta_f: number;
  readonly kinship: number;
  readonly index: number;
  readonly gain: Gain | null;
  readonly proven: boolean;
}

export interface NextPens {
  readonly wish: { readonly pens: number; readonly hens: number };
  readonly candidates: { readonly males: number; readonly hens: number };
  readonly curve: readonly CurvePoint[];
  /** Place of the chosen plan on the curve; `null` when a bound of the keeper's was used. */
  readonly point: number | null;
  readonly plan: MatingPlan;
  readonly delta_f: number;
  readonly gain: Gain | null;
  /** What choosing as many from as many brings on average, on the index alone (its units). */
  readonly usual_gain: number;
}

/** Good to a hundredth of the kinship and of a standard deviation: finer than any record is. */
const PRECISION: Precision = { kinship: 0.01, index: 0.01, nodes: 5_000, rounds: 30 };
const POINTS = 5;
/** At this chance of a common parent two birds count as sibs. */
const AS_SIBS = 0.5;

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

/** The program for one line. */
export function matingProblem(flock: Flock, report: BreedersReport, wish: Wish): MatingProblem {
  const season = flock.seasons.at(-1)!;
  const { ranked, known } = report;
  const index = (id: string) => ranked[0]!.merits.get(id)?.index ?? 0;
  const of = (sex: 'male' | 'female') =>
    [...flock.birds.values()]
      .filter((bird) => bird.line === wish.line && bird.sex === sex && !wish.without.has(bird.name))
      .map(({ name }) => ({ id: name, index: index(name) }));
  const males = of('male');
  const hens = of('female');
  const now = [...season.pens.values()].filter((pen) => pen.line.name === wish.line);
  const line = season.lines.get(wish.line)!;
  const ratio = hensPerMale(line.species, line.class ?? undefined).value;
  const pens = wish.pens ?? Math.max(1, Math.min(now.length, males.length));
  const most = wish.hensInPen?.most ?? ratio.high;
  const hensInAll =
    wish.hens ??
    Math.min(
      hens.length,
      pens * most,
      now.reduce((sum, pen) => sum + pen.hens, 0) || pens * ratio.low,
    );
  const hensInPen = wish.hensInPen ?? {
    least: Math.floor(hensInAll / Math.max(1, pens)),
    most: Math.ceil(hensInAll / Math.max(1, pens)),
  };
  const entries = new Map(flock.pedigree.map((entry) => [entry.id, entry]));
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
  return {
    males,
    hens,
    factors: kinshipFactors(known, ids),
    apart,
    pens,
    hensInAll,
    hensInPen,
  };
}

/** Chooses next season's pens. Returns why not, when it cannot be. @throws SolverFailure */
export async function nextPens(
  flock: Flock,
  report: BreedersReport,
  wish: Wish,
): Promise<NextPens | { readonly why: string }> {
  const problem = matingProblem(flock, report, wish);
  if (problem.males.length > 0 && problem.hens.length === 0)
    return { why: `no hen of ${wish.line} can be had` };
  const all = {
    males: problem.males.map(({ id }) => id),
    hens: problem.hens.map(({ id }) => id),
  };
  // Kinship the candidates have already: what they lose from here on is ΔF.
  const base = meanKinship(report.known, [...all.males, ...all.hens]).among ?? 0;
  const rate = (kinship: number) => (kinship - base) / (1 - base);
  const gain = (plan: MatingPlan) =>
    gainOf(report.ranked, all, {
      males: plan.pens.flatMap((pen) => pen.hens.map(() => pen.male)),
      hens: plan.pens.flatMap((pen) => pen.hens),
    });
  const accuracy = (ids: readonly string[]) =>
    ids.reduce(
      (sum, id) => sum + Math.sqrt(report.ranked[0]!.merits.get(id)?.reliability ?? 0),
      0,
    ) / ids.length;
  const mating = await openMating(problem, PRECISION);
  try {
    const curve = tradeOff(mating, POINTS);
    if ('why' in curve) return curve;
    let point: number | null = wish.deltaF === 'least' ? 0 : Math.floor(curve.length / 2);
    let chosen: TradeOff['plan'] = curve[point]!.plan;
    if (typeof wish.deltaF === 'number') {
      const outcome = mating.best(wish.deltaF * (1 - base) + base);
      if (outcome.status === 'infeasible')
        return {
          why: `${outcome.why}; the least to be had is ${(100 * rate(curve[0]!.plan.kinship)).toFixed(1)} % a generation`,
        };
      chosen = outcome.plan;
      point = null;
    }
    const plan = await pairUp(problem, chosen);
    return {
      wish: { pens: problem.pens, hens: problem.hensInAll },
      candidates: { males: all.males.length, hens: all.hens.length },
      curve: curve.map(({ plan: at }) => ({
        delta_f: rate(at.kinship),
        kinship: at.kinship,
        index: at.index,
        gain: gain(at),
        proven: at.proven,
      })),
      point,
      plan,
      delta_f: rate(plan.kinship),
      gain: gain(plan),
      usual_gain: expectedGain(
        { candidates: all.males.length, kept: problem.pens, accuracy: accuracy(all.males) },
        { candidates: all.hens.length, kept: problem.hensInAll, accuracy: accuracy(all.hens) },
        report.ranked[0]!.spread,
      ),
    };
  } finally {
    mating.close();
  }
}
