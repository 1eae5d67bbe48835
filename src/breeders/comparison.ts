import { total } from '../facts/tally.ts';
import { groupedBy } from '../text/lists.ts';

/**
 * Whom a bird's score is compared with: its own hatch, its own sex, weighed on the same day, so at
 * the same age. Birds of two hatches never meet on the calendar, or the early hatch always wins
 * (Abplanalp, Poultry Science, 1956: selection with many hatches).
 */

export interface Trait {
  readonly name: string;
  /** Sex the trait shows in. */
  readonly sex: 'both' | 'female' | 'male';
  /** Age it is taken at, in days, and how far off a score may be; `null` takes any one age. */
  readonly age_days: number | null;
  readonly within_days: number;
  /**
   * Whether the day of scoring must be one: a value that is itself an age is told on whatever day
   * it comes to each bird.
   */
  readonly on_one_day: boolean;
}

export interface ScoredBird {
  readonly id: string;
  readonly sex: 'male' | 'female' | null;
  /** Name of the hatch, the same for all birds that hatched together. */
  readonly hatch: string | null;
  /** Days since some fixed day; `null` when not known. */
  readonly born: number | null;
}

export interface Score {
  readonly bird: string;
  readonly value: number;
  /** Day the score was taken, counted from the same fixed day as `born`. */
  readonly on: number;
}

/** Why a score could not be used. */
export type LeftOut =
  | 'unknown bird'
  | 'not born'
  | 'birth date unknown'
  | 'wrong age'
  | 'wrong sex'
  | 'nothing to compare with'
  | 'another score is nearer the age';

/** A score beside the mean of the birds it may be compared with. */
export interface ComparedBird {
  readonly bird: string;
  readonly value: number;
  readonly peers: string;
  readonly deviation: number;
}

export interface BirdComparison {
  readonly compared: readonly ComparedBird[];
  readonly leftOut: readonly { readonly score: Score; readonly why: LeftOut }[];
  /** Standard deviation within peers, in the trait's unit; `null` when nothing varies. */
  readonly spread: number | null;
  /** What `spread` stands on: scores less the number of peer groups. */
  readonly degrees: number;
}

function fault(trait: Trait, bird: ScoredBird | undefined, score: Score): LeftOut | null {
  if (bird === undefined) return 'unknown bird';
  if (bird.born !== null && score.on < bird.born) return 'not born';
  if (trait.sex !== 'both' && bird.sex !== trait.sex) return 'wrong sex';
  if (bird.born === null) return 'birth date unknown';
  if (trait.age_days === null) return null;
  return Math.abs(score.on - bird.born - trait.age_days) > trait.within_days ? 'wrong age' : null;
}

/** Sorts one trait's scores into groups of peers and takes deviations from each group's mean. */
export function compare(
  trait: Trait,
  birds: ReadonlyMap<string, ScoredBird>,
  scores: readonly Score[],
): BirdComparison {
  const leftOut: { score: Score; why: LeftOut }[] = [];
  const usable = new Map<string, Score>();
  for (const score of scores) {
    const bird = birds.get(score.bird);
    const why = fault(trait, bird, score);
    if (why !== null) {
      leftOut.push({ score, why });
      continue;
    }
    // One score a bird: the nearest to the wanted age, or else the last taken.
    const other = usable.get(score.bird);
    const off = (it: Score) =>
      trait.age_days === null ? -it.on : Math.abs(it.on - bird!.born! - trait.age_days);
    if (other === undefined || off(score) < off(other)) {
      usable.set(score.bird, score);
      if (other) leftOut.push({ score: other, why: 'another score is nearer the age' });
    } else leftOut.push({ score, why: 'another score is nearer the age' });
  }
  const groups = groupedBy(usable.values(), (score) => {
    const { hatch, born, sex } = birds.get(score.bird)!;
    const on = trait.on_one_day ? score.on : 'any day';
    return [hatch ?? `born ${born}`, sex ?? 'unsexed', on].join('|');
  });
  const compared: ComparedBird[] = [];
  let squares = 0;
  let degrees = 0;
  for (const [peers, group] of groups) {
    if (group.length < 2) {
      for (const score of group) leftOut.push({ score, why: 'nothing to compare with' });
      continue;
    }
    const mean = total(group, ({ value }) => value) / group.length;
    degrees += group.length - 1;
    for (const { bird, value } of group) {
      squares += (value - mean) ** 2;
      compared.push({ bird, value, peers, deviation: value - mean });
    }
  }
  const spread = degrees > 0 && squares > 0 ? Math.sqrt(squares / degrees) : null;
  return { compared, leftOut, spread, degrees };
}
