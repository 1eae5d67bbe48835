/**
 * The index: one figure a bird over all traits, and what selecting on it is expected to bring.
 *
 * A trait's part is weight × (breeding value ÷ spread among peers), so a weight says what one
 * standard deviation of the trait is worth beside the others, and the index is in weighted
 * standard deviations with 0 the mean of the population's founders. Traits are taken as
 * uncorrelated: nobody with a few dozen birds can estimate the correlations.
 */
import { largest, smallest } from '../text/lists.ts';
import { type BreedingValue, breedingValues } from './breeding-value.ts';
import {
  type BirdComparison,
  compare,
  type Score,
  type ScoredBird,
  type Trait,
} from './comparison.ts';
import type { Relationships } from './inbreeding.ts';
import { intensityOf } from './selection-intensity.ts';

export interface WeightedTrait extends Trait {
  /** 1 where more is better, −1 where less is. */
  readonly direction: 1 | -1;
  readonly weight: number;
  readonly heritability: number;
  /** What the heritability may as well be. */
  readonly range: readonly [number, number];
}

export interface TraitMerit {
  readonly trait: WeightedTrait;
  readonly comparison: BirdComparison;
  readonly values: ReadonlyMap<string, BreedingValue>;
}

export interface Merit {
  readonly index: number;
  /** Squared correlation of the index with the true one, 0–1. */
  readonly reliability: number;
}

export interface Ranking {
  readonly traits: readonly TraitMerit[];
  /** Every bird of the pedigree. */
  readonly merits: ReadonlyMap<string, Merit>;
  /** Standard deviation of the true index in an unselected population. */
  readonly spread: number;
}

/** Which heritabilities to reckon with: as given, or all at the low or high end of their range. */
export type Assumption = 'given' | 'low' | 'high';

const heritabilityOf = (trait: WeightedTrait, assumption: Assumption) =>
  assumption === 'given' ? trait.heritability : trait.range[assumption === 'low' ? 0 : 1];

/**
 * Ranks every bird of a pedigree.
 * @param scores by trait name
 */
export function rank(
  known: Relationships,
  birds: ReadonlyMap<string, ScoredBird>,
  traits: readonly WeightedTrait[],
  scores: ReadonlyMap<string, readonly Score[]>,
  assumption: Assumption = 'given',
): Ranking {
  const merits = new Map<string, { index: number; explained: number }>();
  const results: TraitMerit[] = [];
  let variance = 0;
  for (const trait of traits) {
    const comparison = compare(trait, birds, scores.get(trait.name) ?? []);
    const heritability = heritabilityOf(trait, assumption);
    const { spread } = comparison;
    const values =
      spread === null
        ? new Map<string, BreedingValue>()
        : breedingValues(known, comparison.compared, heritability).values;
    results.push({ trait, comparison, values });
    const part = trait.weight ** 2 * heritability;
    variance += part;
    for (const [bird, { value, reliability }] of values) {
      const so = merits.get(bird) ?? { index: 0, explained: 0 };
      merits.set(bird, {
        index: so.index + (trait.direction * trait.weight * value) / spread!,
        explained: so.explained + part * reliability,
      });
    }
  }
  return {
    traits: results,
    merits: new Map(
      [...merits].map(([bird, { index, explained }]) => [
        bird,
        { index, reliability: variance > 0 ? explained / variance : 0 },
      ]),
    ),
    spread: Math.sqrt(variance),
  };
}

/** One sex of the candidates, as a breeder sees it before choosing. */
export interface Choice {
  readonly candidates: number;
  readonly kept: number;
  /** Mean accuracy of the index among them: the square root of the reliability. */
  readonly accuracy: number;
}

/**
 * Expected gain a generation before anyone is chosen: mean over the sexes of
 * intensity × accuracy × spread of the true index (Falconer & Mackay ch. 11, from memory), with
 * the intensity of small numbers. A sex of which all are kept, or nothing is known, adds nothing.
 */
export function expectedGain(males: Choice, hens: Choice, spread: number): number {
  const side = ({ candidates, kept, accuracy }: Choice) =>
    kept < 1 || kept > candidates ? 0 : intensityOf(kept, candidates) * accuracy * spread;
  return (side(males) + side(hens)) / 2;
}

/** A gain with what it may as well be. */
export interface Gain {
  readonly estimate: number;
  readonly low: number;
  readonly high: number;
}

/** 97.5 % point of the normal distribution: two-sided 95 %. */
const TWO_SIDED = 1.959963984540054;

/**
 * Gain of chosen parents' young over the mean of all candidates, in index units: the mean of the
 * chosen males' and the chosen hens' index, less the mean over candidates of either sex. A bird
 * named several times counts for as many shares.
 *
 * The width holds two doubts: what each chosen bird's index leaves unexplained (taken as
 * independent from bird to bird), and the heritability, by taking the widest of the rankings at
 * the given, the low and the high end.
 */
export function gainOf(
  rankings: readonly Ranking[],
  candidates: { readonly males: readonly string[]; readonly hens: readonly string[] },
  chosen: { readonly males: readonly string[]; readonly hens: readonly string[] },
): Gain | null {
  const gains = rankings.map((ranking) => {
    const mean = (ids: readonly string[]) =>
      ids.reduce((sum, id) => sum + (ranking.merits.get(id)?.index ?? 0), 0) / ids.length;
    // A male named once for each of his hens is one bird with a larger share, not several.
    const doubt = (ids: readonly string[]) => {
      const shares = new Map<string, number>();
      for (const id of ids) shares.set(id, (shares.get(id) ?? 0) + 1 / ids.length);
      return [...shares].reduce(
        (sum, [id, share]) =>
          sum + (share * ranking.spread) ** 2 * (1 - (ranking.merits.get(id)?.reliability ?? 0)),
        0,
      );
    };
    const gain =
      (mean(chosen.males) - mean(candidates.males) + mean(chosen.hens) - mean(candidates.hens)) / 2;
    const width = (TWO_SIDED * Math.sqrt(doubt(chosen.males) + doubt(chosen.hens))) / 2;
    return { gain, width };
  });
  if (gains.length === 0 || chosen.males.length === 0 || chosen.hens.length === 0) return null;
  return {
    estimate: gains[0]!.gain,
    low: smallest(gains.map(({ gain, width }) => gain - width)),
    high: largest(gains.map(({ gain, width }) => gain + width)),
  };
}
