import type { Season } from '../../season/model.ts';
import { fixed } from '../../tables/numbers.ts';
import { numberOfDay } from '../../text/day.ts';
import { smallest } from '../../text/lists.ts';
import type { RateName } from '../rate-names.ts';
import { freemanHalton } from '../statistics/exact.ts';
import { heterogeneity } from '../statistics/heterogeneity.ts';
import { holm } from '../statistics/holm.ts';
import { effectiveCounts } from '../statistics/sampled.ts';
import { cochranArmitage } from '../statistics/trend.ts';
import { type Cut, membersOf, pool } from './groups.ts';
import { type OutcomePart, outcomesOf, type ShareOutcome } from './outcome.ts';

/** One question put to the counts. */
export type Comparison = {
  rate: RateName;
  /** What was compared: a cut. */
  by: string;
  method: string;
  statistic: number | null;
  df: number | null;
  p: number | null;
  /** Holm's correction over every question of this list. */
  p_adjusted: number | null;
  /** Why there is no answer, or what to mind about it. */
  note: string | null;
};

const tested: readonly RateName[] = [
  'fertile_apparent',
  'early',
  'late',
  'hatch_of_fertile',
  'hatch_of_set',
];

// Cochran's rule: chi-square is good when no expected count is below 1 and few are below 5.
const SMALL_EXPECTED = 5;

function comparison(
  rate: RateName,
  by: string,
  method: string,
  rest: Partial<Comparison>,
): Comparison {
  return {
    rate,
    by,
    method,
    statistic: null,
    df: null,
    p: null,
    p_adjusted: null,
    note: null,
    ...rest,
  };
}

/** Do groups differ? Exact where counts are small and the table can be counted, else chi-square. */
function compareGroups(
  rate: RateName,
  by: string,
  groups: readonly OutcomePart[],
): Comparison | null {
  const used = groups.filter((g) => g.n > 0);
  if (used.length < 2) return null;
  const x = used.reduce((s, g) => s + g.x, 0);
  const n = used.reduce((s, g) => s + g.n, 0);
  if (x === 0 || x === n) {
    return comparison(rate, by, 'none', { note: x === 0 ? 'none anywhere' : 'all everywhere' });
  }
  const leastExpected = smallest(used.map((g) => (g.n * Math.min(x, n - x)) / n));
  if (leastExpected < SMALL_EXPECTED) {
    // A sample of breakouts scaled up gives parts of eggs; an exact test takes whole ones.
    const p = freemanHalton(
      used.map((g) => {
        const whole = Math.round(g.x);
        return [whole, Math.max(0, Math.round(g.n) - whole)];
      }),
      400_000,
    );
    if (p !== null) return comparison(rate, by, "Fisher's exact test", { p });
  }
  const h = heterogeneity(used);
  return comparison(rate, by, 'chi-square', {
    statistic: h.pearson,
    df: h.df,
    p: h.pearsonP,
    note: leastExpected < 1 ? 'expected counts below 1: a rough figure' : null,
  });
}

/**
 * Every question `review` puts to a season: each of five rates by pen, line, tray and hatcher
 * (exact or chi-square), by set (scatter), and by storage age and week (trend); Holm's correction over
 * all of them. Counts that rest on a sample of opened eggs are taken down to what they are worth.
 */
export function comparisonsOf(
  season: Season,
  outcomes: readonly ShareOutcome[] = outcomesOf(season),
): Comparison[] {
  const kinds = [...new Set(outcomes.map((one) => one.speciesName))];
  // Ducks are never compared with hens: each kind by itself.
  const out = kinds.flatMap((kind) =>
    comparisonsWithin(
      season,
      outcomes.filter((one) => one.speciesName === kind),
    ).map((one) => (kinds.length > 1 ? { ...one, by: `${one.by} (${kind})` } : one)),
  );
  const adjusted = holm(out.map((c) => c.p));
  return out.map((c, i) => ({ ...c, p_adjusted: adjusted[i]! }));
}

function comparisonsWithin(season: Season, outcomes: readonly ShareOutcome[]): Comparison[] {
  const out: Comparison[] = [];
  for (const rate of tested) {
    const known = outcomes.filter((o) => o.rates[rate] !== null);
    const grouped = (cut: Cut): OutcomePart[] => {
      return [...membersOf(season, known, cut).values()].map((own) =>
        effectiveCounts(pool(own.map((one) => one.rates[rate]))),
      );
    };
    for (const cut of ['line', 'pen', 'tray', 'hatcher'] as const) {
      const found = compareGroups(rate, cut, grouped(cut));
      if (found) out.push(found);
    }
    const sets = heterogeneity(grouped('set'));
    if (sets.taroneZ !== null) {
      out.push(
        comparison(rate, 'set', "Tarone's test of scatter", {
          statistic: sets.taroneZ,
          p: sets.taroneP,
          note: `sets scatter ${fixed(sets.varianceRatio!, 1)} times what chance would`,
        }),
      );
    }
    const trend = (by: string, score: (o: ShareOutcome) => number | null): void => {
      const scored = known.flatMap((o) => {
        const s = score(o);
        return s === null ? [] : [{ ...effectiveCounts(o.rates[rate]!), score: s }];
      });
      const t = cochranArmitage(scored);
      if (!t) return;
      out.push(
        comparison(rate, by, 'Cochran–Armitage trend', {
          statistic: t.z,
          df: 1,
          p: t.p,
        }),
      );
    };
    trend('storage age', (o) => o.age?.mean ?? null);
    trend('week', (o) => numberOfDay(o.on));
  }
  return out;
}
