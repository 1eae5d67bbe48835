/**
 * How narrow a breeding population is.
 *
 * Sources: Wright (1931), for the effective size of unequal numbers of the two sexes; Falconer &
 * Mackay, Introduction to Quantitative Genetics, ch. 4, for the rate of inbreeding, its course
 * over generations and the harmonic mean; Gowe, Robertson & Latter (1959), for replacement within
 * families (the last three from memory of the works).
 */

/** Males and hens that breed together in one generation. */
export interface Breeders {
  readonly males: number;
  readonly hens: number;
}

/**
 * Effective size, in birds: 4·males·hens ÷ (males + hens). Zero when either sex is missing.
 * Assumes parents unrelated at the start, each with the same chance to leave young.
 */
export function effectiveSize({ males, hens }: Breeders): number {
  if (males <= 0 || hens <= 0) return 0;
  return (4 * males * hens) / (males + hens);
}

/** Rate of inbreeding a generation (a share, not percent): 1 ÷ (2·Ne). `null` when Ne is zero. */
export function inbreedingRate(size: number): number | null {
  return size > 0 ? 1 / (2 * size) : null;
}

/** Generations of different size: what each was worth, and where the line stands after them. */
export interface Generations {
  readonly sizes: readonly number[];
  /** Long-term effective size: the harmonic mean. The one narrow year weighs most. */
  readonly harmonic: number;
  readonly arithmetic: number;
  /** Inbreeding after the last generation, counted from the first one's parents. */
  readonly inbreeding: number;
}

/**
 * Inbreeding over generations of different size, by the recursion
 * 1 − F(t) = (1 − F(t−1))·(1 − ΔF(t)).
 * @throws RangeError when there is no generation, or one has no male or no hen.
 */
export function acrossGenerations(generations: readonly Breeders[]): Generations {
  const sizes = generations.map(effectiveSize);
  if (sizes.length === 0 || sizes.some((size) => size <= 0))
    throw new RangeError('every generation needs at least one male and one hen');
  const inverse = sizes.reduce((sum, size) => sum + 1 / size, 0);
  const kept = sizes.reduce((product, size) => product * (1 - 1 / (2 * size)), 1);
  return {
    sizes,
    harmonic: sizes.length / inverse,
    arithmetic: sizes.reduce((sum, size) => sum + size, 0) / sizes.length,
    inbreeding: 1 - kept,
  };
}

/**
 * Years until inbreeding reaches `target` (a share) at a steady rate a generation, from `start`.
 * Zero when it is there already, `null` when it is never reached.
 */
export function yearsUntil(
  target: number,
  rate: number | null,
  generationYears: number,
  start = 0,
): number | null {
  if (start >= target) return 0;
  if (rate === null || rate <= 0) return null;
  if (rate >= 1) return generationYears;
  return (Math.log((1 - target) / (1 - start)) / Math.log(1 - rate)) * generationYears;
}

/**
 * The range of the effective size when several males run in one pen, where nobody knows how the
 * matings are shared. Most: all males of a pen sire alike. Least: in each pen one male sires all.
 */
export function sizeRange(pens: readonly Breeders[]): { least: number; most: number } {
  const hens = pens.reduce((sum, pen) => sum + pen.hens, 0);
  const breeding = pens.filter((pen) => pen.males > 0 && pen.hens > 0);
  const males = breeding.reduce((sum, pen) => sum + pen.males, 0);
  return {
    least: effectiveSize({ males: breeding.length, hens }),
    most: effectiveSize({ males, hens }),
  };
}

/**
 * Rate of inbreeding when each male is replaced by one of his sons and each hen by one of her
 * daughters: 3 ÷ (32·males) + 1 ÷ (32·hens). The most that careful replacement can save.
 */
export function rateWithinFamilies({ males, hens }: Breeders): number | null {
  if (males <= 0 || hens <= 0) return null;
  return 3 / (32 * males) + 1 / (32 * hens);
}
