import type { Day } from '../../text/day.ts';

/** The questions of a diagnosis, by the cause a bad answer points to. */
export const causes = [
  'low-fertility',
  'failing-male',
  'long-storage',
  'egg-quality',
  'warm',
  'cool',
  'damp',
  'dry',
  'uneven-tray',
  'early-death',
  'middle-death',
  'late-death',
  'contamination',
  'drawn-out',
  'weak-chicks',
  'handling',
  'gauge-wrong',
  'set-lost',
  'power-cut',
] as const;
export type Cause = (typeof causes)[number];
export type Verdict = 'act' | 'watch' | 'unknown' | 'fine';

export type Where = {
  pen: string | null;
  set: string | null;
  setter: string | null;
  tray: number | null;
  from: Day | null;
  to: Day | null;
};

export const everywhere: Where = {
  pen: null,
  set: null,
  setter: null,
  tray: null,
  from: null,
  to: null,
};

/** One sign that speaks for or against a cause. */
export type Sign = {
  /** In the keeper's words. */
  says: string;
  /** The test behind it, for those who ask for numbers. */
  test: string;
  /** One-sided p of the sign being no worse than the norm (or than the others); null: a fact. */
  p: number | null;
};

/** The answer to one question before the answers are weighed against each other. */
export type Candidate = {
  cause: Cause;
  where: Where;
  /** What `estimate`, `low`, `high` and `expected` are: `share`, `hours`, `percent of set mass` … */
  unit: string;
  estimate: number | null;
  low: number | null;
  high: number | null;
  /** The value it was compared with. */
  expected: number | null;
  source: string | null;
  /** Combined over signs and corrected for the places looked at; null where nothing is known. */
  p: number | null;
  /** A fact on record that asks for a look whatever the tests say. */
  fact: boolean;
  signs: Sign[];
  /** Why there is no answer, and what would bring one; null when there is. */
  unknown: string | null;
  rivals: Cause[];
  next: string[];
};

/** A question not answered yet: what it asks, what its answer is compared with, what to do next. */
export function question({
  cause,
  unit,
  expected,
  source,
  rivals = [],
  next = [],
}: Pick<Candidate, 'cause' | 'unit' | 'expected' | 'source'> &
  Partial<Pick<Candidate, 'rivals' | 'next'>>): Candidate {
  return {
    cause,
    where: everywhere,
    unit,
    estimate: null,
    low: null,
    high: null,
    expected,
    source,
    p: null,
    fact: false,
    signs: [],
    unknown: null,
    rivals,
    next,
  };
}

export type Finding = Omit<Candidate, 'signs' | 'fact' | 'unknown'> & {
  verdict: Verdict;
  /** After Holm's correction over all questions that could be asked. */
  p_adjusted: number | null;
  evidence: Sign[];
  unknown: string | null;
  /** A finding above it in the list that would bring this sign about. */
  explained_by: Cause | null;
};
