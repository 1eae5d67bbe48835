import type { Cause, Finding } from '../../judge/diagnose/finding.ts';
import { norms } from '../../judge/norms.ts';
import { type Comparison, compareGroups } from '../../judge/review/comparisons.ts';
import { differenceOf, pool } from '../../judge/review/groups.ts';
import { type OutcomePart, outcomesOf, type ShareOutcome } from '../../judge/review/outcome.ts';
import type { AgainstPrevious, Review } from '../../judge/review/review.ts';
import { heterogeneity } from '../../judge/statistics/heterogeneity.ts';
import { holm } from '../../judge/statistics/holm.ts';
import { shareOf } from '../../judge/statistics/sampled.ts';
import type { Season } from '../../season/model.ts';
import { fixed, percent, range } from '../../tables/numbers.ts';
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
    | 'earlier'
    | 'later'
    | 'machine'
    | 'eggs'
    | 'more-eggs'
    | 'keep-more';
  readonly says: string;
  readonly because: string;
  /** The test or the reckoning behind it. */
  readonly backed: string;
  readonly p: number | null;
};

export type YearTurn = {
  /** Earlier seasons named in season.yaml, whether they can be read or not. */
  readonly named: number;
  readonly against: readonly AgainstSeason[];
  readonly suggestions: readonly Suggestion[];
  /** Questions put to the record, all of which Holm's correction counts. */
  readonly asked: number;
};

/** A suggestion that stands or falls with a test among others. */
type Asked = { p: number; suggestion: Omit<Suggestion, 'p'> };

const hensToMale = (pen: { hens: number; males: number }): number =>
  pen.males > 0 ? pen.hens / pen.males : Number.POSITIVE_INFINITY;

/** How many times chance the shares of each group scatter about their own rate; at least 1. */
function scatterWithin(groups: readonly (readonly OutcomePart[])[]): number {
  let squares = 0;
  let df = 0;
  for (const parts of groups) {
    const { pearson, df: own } = heterogeneity(parts);
    if (pearson === null) continue;
    squares += pearson;
    df += own;
  }
  return df === 0 ? 1 : Math.max(1, squares / df);
}

/** Do the pens of one line differ in fertility? Then the worst wants males, or other ones. */
function ofPens(season: Season, outcomes: readonly ShareOutcome[]): Asked[] {
  return [...season.lines.keys()].flatMap((line): Asked[] => {
    const pens = new Map<string, ShareOutcome[]>();
    for (const one of outcomes)
      if (one.line === line && one.rates.fertile_apparent !== null)
        pens.set(one.pen, [...(pens.get(one.pen) ?? []), one]);
    const known = [...pens].map(([name, list]) => ({
      name,
      pen: season.pens.get(name)!,
      share: pool(list.map((o) => o.rates.fertile_apparent)),
    }));
    const scatter = scatterWithin(
      [...pens.values()].map((list) => list.map((o) => o.rates.fertile_apparent!)),
    );
    // The shares of a pen scatter more than chance: their counts tell as much as fewer eggs would.
    const worth = (part: OutcomePart): OutcomePart => ({
      x: part.x / scatter,
      n: part.n / scatter,
    });
    const test = compareGroups(
      'fertile_apparent',
      'pen',
      known.map((k) => worth(k.share)),
    );
    if (test?.p == null) return [];
    const of = (part: OutcomePart): number => part.x / part.n;
    const byShare = known.sort((a, b) => of(a.share) - of(b.share));
    const worst = byShare[0]!;
    const best = byShare.at(-1)!;
    const d = differenceOf(shareOf(worth(worst.share)), shareOf(worth(best.share)))!;
    const crowded = hensToMale(worst.pen) > hensToMale(best.pen);
    const ratio = (one: typeof worst): string =>
      `${one.pen.hens} hens to ${one.pen.males} ${one.pen.males === 1 ? 'male' : 'males'}`;
    return [
      {
        p: test.p,
        suggestion: {
          code: crowded ? 'more-males' : 'other-males',
          says: crowded
            ? `One more male in ${worst.name}, or fewer hens to the one there.`
            : `Other males in ${worst.name}, or breed from ${best.name} rather.`,
          because: `in ${worst.name} (${ratio(worst)}) ${worst.share.x} of ${worst.share.n} eggs looked fertile, in ${best.name} (${ratio(best)}) ${best.share.x} of ${best.share.n}: ${fixed(-100 * d.difference)} points fewer (95 % interval ${range(-100 * d.high, -100 * d.low)})`,
          backed: `${test.method} between the pens of ${line}, the scatter of their sets allowed for`,
        },
      },
    ];
  });
}

/** The slope of hatch of set in the model with pen, tray, storage and week, whichever is asked. */
function slope(review: Review, term: string, column: string): { p: number; ratio: number } | null {
  const found = review.tests.find(
    (t: Comparison) =>
      t.rate === 'hatch_of_set' && t.by.startsWith(`${term},`) && t.p !== null && t.note !== 'none',
  );
  const effect = found?.effects.find((e) => e.term === column);
  return found?.p != null && effect ? { p: found.p, ratio: effect.ratio } : null;
}

function ofStorage(review: Review): Asked[] {
  const found = slope(review, 'storage days', 'a stored day');
  if (found === null || found.ratio >= 1) return found === null ? [] : [quiet(found.p)];
  return [
    {
      p: found.p,
      suggestion: {
        code: 'shorter-storage',
        says: `Shorter storage: set twice a week, or no egg kept beyond ${norms.storage.best_within_days.value} days.`,
        because: `the odds that an egg set hatches fell by ${percent(1 - found.ratio)} for every day in store, pen, tray and week allowed for`,
        backed: 'logistic model of hatch of set',
      },
    },
  ];
}

function ofWeek(review: Review): Asked[] {
  const found = slope(review, 'week', 'a week');
  if (found === null) return [];
  const falls = found.ratio < 1;
  return [
    {
      p: found.p,
      suggestion: {
        code: falls ? 'earlier' : 'later',
        says: falls ? 'Begin and end a week earlier.' : 'Begin a week later.',
        because: `the odds that an egg set hatches ${falls ? 'fell' : 'rose'} by ${percent(Math.abs(1 - found.ratio))} a week through the season, pen, tray and storage allowed for`,
        backed: 'logistic model of hatch of set',
      },
    },
  ];
}

/** A question that was asked, and whose answer changes nothing. */
const quiet = (p: number): Asked => ({
  p: Math.max(p, 1),
  suggestion: { code: 'eggs', says: '', because: '', backed: '' },
});

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
        p: null,
      };
    });
}

/**
 * The year's turn: this season against earlier ones, what was done differently, and what the
 * record suggests for next year. Only what stands up to Holm's correction over all that was asked
 * is suggested, so thin evidence stays quiet. `goals` are suggestions reckoned elsewhere.
 */
export function yearTurn(
  season: Season,
  earlier: readonly Season[],
  known: { readonly review: Review; readonly findings: readonly Finding[] },
  goals: readonly Suggestion[] = [],
): YearTurn {
  const { review, findings } = known;
  const asked = [...ofPens(season, outcomesOf(season)), ...ofStorage(review), ...ofWeek(review)];
  const adjusted = holm(asked.map((a) => a.p));
  const tested = asked.flatMap((a, i): Suggestion[] =>
    adjusted[i]! < norms.levels.act.value ? [{ ...a.suggestion, p: adjusted[i]! }] : [],
  );
  const diagnosed = ofDiagnosis(findings).filter(
    (one) => !tested.some((other) => other.code === one.code && other.code !== 'machine'),
  );
  return {
    named: season.values.previous.length,
    against: earlier.map((old) => ({
      season: String(old.values.season),
      rates: review.previous.filter((a) => a.season === String(old.values.season)),
      differently: differentlyFrom(old, season),
    })),
    suggestions: [...goals, ...diagnosed, ...tested].filter((one) => one.says !== ''),
    asked: asked.length + findings.length,
  };
}
