import type { Day } from '../../text/day.ts';

/** What a diagnosis looks for; each is an entry of `seeds/causes.yaml`. */
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
  line: string | null;
  pen: string | null;
  /** The male of the pen, where it has one known by name. */
  male: string | null;
  set: string | null;
  setter: string | null;
  hatcher: string | null;
  tray: number | null;
  /** The first day hit, and the last; null: still. */
  from: Day | null;
  to: Day | null;
};

export const everywhere: Where = {
  line: null,
  pen: null,
  male: null,
  set: null,
  setter: null,
  hatcher: null,
  tray: null,
  from: null,
  to: null,
};

/** One sign that speaks for a cause, or against it. */
export type Sign = {
  /** In the keeper's words. */
  says: string;
  /** How much likelier the cause makes it: the log (base ten) of the odds. */
  log_odds: number;
};

/** The answer to one question. */
export type Finding = {
  cause: Cause;
  verdict: Verdict;
  /** Chance that it is so, at even odds before the records that anything is wrong. */
  probability: number;
  /** The day of the first set hit; null where nothing is raised. */
  since: Day | null;
  where: Where;
  /** What `estimate`, `low`, `high` and `expected` are: `share of …`, `hours`, … */
  unit: string;
  estimate: number | null;
  low: number | null;
  high: number | null;
  /** The value it is compared with: this farm's other sets, or the kind's. */
  expected: number | null;
  source: string | null;
  evidence: Sign[];
  rivals: { cause: Cause; odds: number }[];
  /** For a `fine`: the smallest change that would have been seen. */
  would_show: string | null;
  /** Chicks and money lost to it so far, and to come with the eggs planned if it goes on. */
  cost: { chicks: number | null; to_come: number | null; money: number | null };
  next: string[];
  /** Why there is no answer, and the record that would bring one. */
  unknown: string | null;
};

/** True for the unit of a part of some eggs or chicks. */
export const isShare = (unit: Finding['unit']): boolean => unit.startsWith('share');
