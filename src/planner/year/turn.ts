import type { Cause, Finding } from '../../judge/diagnose/finding.ts';
import { norms } from '../../judge/norms.ts';
import type { AgainstPrevious, Review } from '../../judge/review/review.ts';
import type { Season } from '../../season/model.ts';
import { type Differently, differentlyFrom } from './differently.ts';

export type AgainstSeason = {
  readonly season: string;
  readonly rates: readonly AgainstPrevious[];
  readonly differently: readonly Differently[];
};

/** What the record suggests to do otherwise next year. */
export type Suggestion = {
  readonly code:
    | 'more-males'
    | 'other-males'
    | 'shorter-storage'
    | 'machine'
    | 'eggs'
    | 'more-eggs'
    | 'keep-more';
  readonly says: string;
  readonly because: string;
  /** The finding or the simulation behind it. */
  readonly backed: string;
};

export type YearTurn = {
  /** Earlier seasons named in season.yaml, whether they can be read or not. */
  readonly named: number;
  readonly against: readonly AgainstSeason[];
  readonly suggestions: readonly Suggestion[];
  /** How many questions of the diagnosis have which answer; what to act on is suggested. */
  readonly answers: Readonly<Record<'fine' | 'watch' | 'unknown', number>>;
};

type Remedy = { code: Suggestion['code']; says: (f: Finding) => string };
const inPen = (f: Finding): string => (f.where.pen === null ? '' : ` in ${f.where.pen}`);

/** What an `act` of the diagnosis asks of next year; where absent, its own next step is taken. */
const remedies: Readonly<Partial<Record<Cause, Remedy>>> = {
  'low-fertility': { code: 'more-males', says: (f) => `More or younger males${inPen(f)}.` },
  'failing-male': {
    code: 'other-males',
    says: (f) => `A fresh male${inPen(f)}, and one in reserve.`,
  },
  'long-storage': {
    code: 'shorter-storage',
    says: () =>
      `Shorter storage: set twice a week, or no egg kept beyond ${norms.storage.best_within_days.value} days.`,
  },
  warm: { code: 'machine', says: () => 'Set the setter a quarter of a degree cooler.' },
  cool: { code: 'machine', says: () => 'Set the setter a quarter of a degree warmer.' },
  damp: { code: 'machine', says: () => 'Run the setter drier, by weight, in steps.' },
  dry: { code: 'machine', says: () => 'Run the setter damper, by weight, in steps.' },
  'uneven-tray': {
    code: 'machine',
    says: (f) =>
      `Leave tray ${f.where.tray}${f.where.setter ? ` of ${f.where.setter}` : ''} empty until it is mended, or move trays about at each candling.`,
  },
};

function ofDiagnosis(findings: readonly Finding[]): Suggestion[] {
  return findings
    .filter((f) => f.verdict === 'act')
    .map((f): Suggestion => {
      const remedy = remedies[f.cause];
      return {
        code: remedy?.code ?? 'eggs',
        says: remedy?.says(f) ?? f.next[0] ?? '',
        because: f.evidence.map((sign) => sign.says).join('; '),
        backed: `diagnosis: ${f.cause}`,
      };
    });
}

/**
 * The year's turn: this season against earlier ones, what was done differently, and what the
 * record suggests for next year. A suggestion rests on a finding of the diagnosis that says `act`,
 * so that no two screens disagree. `goals` are suggestions reckoned elsewhere.
 */
export function yearTurn(
  season: Season,
  earlier: readonly Season[],
  known: { readonly review: Review; readonly findings: readonly Finding[] },
  goals: readonly Suggestion[] = [],
): YearTurn {
  const { review, findings } = known;
  const answered = (verdict: Finding['verdict']) =>
    findings.filter((one) => one.verdict === verdict).length;
  return {
    named: season.values.previous.length,
    against: earlier.map((old) => ({
      season: String(old.values.season),
      rates: review.previous.filter((a) => a.season === String(old.values.season)),
      differently: differentlyFrom(old, season),
    })),
    suggestions: [...goals, ...ofDiagnosis(findings)].filter((one) => one.says !== ''),
    answers: { fine: answered('fine'), watch: answered('watch'), unknown: answered('unknown') },
  };
}
