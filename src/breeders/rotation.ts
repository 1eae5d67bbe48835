/**
 * Rotation of males between clans, for keepers who keep no pedigrees: daughters stay where their
 * mother was, the males of each clan go to another one, the same for all, every year. What it does
 * to the inbreeding is worked out exactly, in expectation over who happens to be picked.
 *
 * The moves: `spiral` always to the next clan; `widening` one clan further each year, so that a
 * male meets the clan he is least akin to as long as there is one (of the family of schemes in
 * Kimura & Crow, Genetical Research 4:399, 1963; from memory).
 */
export type Scheme = 'spiral' | 'widening' | 'none';

/** How many clans further the males go in a year, counted from 0. */
export function shiftIn(scheme: Scheme, clans: number, year: number): number {
  if (scheme === 'none' || clans < 2) return 0;
  return scheme === 'spiral' ? 1 : (year % (clans - 1)) + 1;
}

export interface RotationYear {
  /** For each clan, the clan its males come from. */
  readonly malesFrom: readonly number[];
  /** Expected inbreeding (0–1) of this year's chicks, mean over the clans. */
  readonly inbreeding: number;
}

/**
 * The course of a rotation. Every year each clan is bred from `males` males and `hens` hens hatched
 * the year before, taken at random within the clan; founders are unrelated.
 * @throws RangeError unless there is at least one clan, male, hen and year
 */
export function rotation(plan: {
  readonly scheme: Scheme;
  readonly clans: number;
  readonly males: number;
  readonly hens: number;
  readonly years: number;
}): RotationYear[] {
  const { scheme, clans, males, hens, years } = plan;
  if ([clans, males, hens, years].some((count) => !Number.isInteger(count) || count < 1))
    throw new RangeError('clans, males, hens and years are whole numbers from 1');
  const all = Array.from({ length: clans }, (_, clan) => clan);
  /** Kinship of two different birds, by clan; and of a bird with itself. */
  let akin = all.map(() => all.map(() => 0));
  let self = all.map(() => 0.5);
  const course: RotationYear[] = [];
  for (let year = 0; year < years; year += 1) {
    const shift = shiftIn(scheme, clans, year);
    const from = all.map((clan) => (clan - shift + clans) % clans);
    const now = akin;
    const own = self;
    const inbreeding = all.map((clan) => now[from[clan]!]![clan]!);
    /** Two draws among `count` birds of one clan hit the same bird with chance 1 ÷ count. */
    const drawn = (a: number, b: number, count: number) =>
      a === b ? own[a]! / count + (1 - 1 / count) * now[a]![b]! : now[a]![b]!;
    akin = all.map((a) =>
      all.map(
        (b) =>
          (drawn(from[a]!, from[b]!, males) +
            drawn(a, b, hens) +
            now[from[a]!]![b]! +
            now[from[b]!]![a]!) /
          4,
      ),
    );
    self = inbreeding.map((f) => (1 + f) / 2);
    course.push({
      malesFrom: from,
      inbreeding: inbreeding.reduce((sum, f) => sum + f, 0) / clans,
    });
  }
  return course;
}
