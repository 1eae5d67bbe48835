import type { Season } from '../../season/model.ts';
import { fixed } from '../../tables/numbers.ts';
import { numberOfDay } from '../../text/day.ts';
import { addAll, smallest } from '../../text/lists.ts';
import type { RateName } from '../norms.ts';
import { chiSquareUpper } from '../statistics/distributions.ts';
import { freemanHalton } from '../statistics/exact.ts';
import { heterogeneity } from '../statistics/heterogeneity.ts';
import { holm } from '../statistics/holm.ts';
import { compareNested, isSeparated, logistic } from '../statistics/logistic.ts';
import { effectiveCounts } from '../statistics/sampled.ts';
import { cochranArmitage } from '../statistics/trend.ts';
import { type Cut, keyOf, pool, trayName } from './groups.ts';
import type { OutcomePart, ShareOutcome } from './outcome.ts';

/** One question put to the counts. */
export type Comparison = {
  rate: RateName;
  /** What was compared: a cut, or a term of the model with the others in it. */
  by: string;
  method: string;
  statistic: number | null;
  df: number | null;
  p: number | null;
  /** Holm's correction over every question of this list. */
  p_adjusted: number | null;
  /** Odds ratio (a day, a week, against the first pen or tray) with its 95 % interval. */
  effects: { term: string; ratio: number; low: number; high: number; p: number }[];
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
    effects: [],
    note: null,
    ...rest,
  };
}

/** Do groups differ? Exact where counts are small and the table can be counted, else chi-square. */
export function compareGroups(
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

/** Covariates of the model: columns by term, so that a term can be dropped whole. */
type Terms = Map<string, Record<string, number[]>>;

/** The columns that say pen, tray, storage and week of some outcomes; trays as parts of a share. */
export function termsOf(season: Season, outcomes: readonly ShareOutcome[]): Terms {
  const terms: Terms = new Map();
  const pens = [...new Set(outcomes.map((o) => o.pen))].sort();
  terms.set(
    'pen',
    Object.fromEntries(
      pens.slice(1).map((pen) => [`pen ${pen}`, outcomes.map((o) => (o.pen === pen ? 1 : 0))]),
    ),
  );
  const trays = [...new Set(outcomes.flatMap((o) => o.trays.map((t) => trayName(season, t))))].sort(
    (a, b) => a.localeCompare(b, 'en', { numeric: true }),
  );
  terms.set(
    'tray',
    Object.fromEntries(
      trays
        .slice(1)
        .map((tray) => [
          `tray ${tray}`,
          outcomes.map((o) =>
            o.trays.reduce((s, t) => (trayName(season, t) === tray ? s + t.part : s), 0),
          ),
        ]),
    ),
  );
  const ages = outcomes.flatMap((o) => (o.age === null ? [] : [o.age.mean]));
  const meanAge = ages.reduce((s, a) => s + a, 0) / Math.max(1, ages.length);
  if (ages.length > 0) {
    // Shares of unknown age stand at the mean, where they say nothing of the slope.
    terms.set('storage days', {
      'a stored day': outcomes.map((o) => o.age?.mean ?? meanAge),
    });
  }
  if (outcomes.length > 0) {
    const first = smallest(outcomes.map((o) => numberOfDay(o.on)));
    terms.set('week', { 'a week': outcomes.map((o) => (numberOfDay(o.on) - first) / 7) });
  }
  return terms;
}

/** The logistic model of one rate, a comparison for each term with the others in the model. */
function modelled(season: Season, rate: RateName, all: readonly ShareOutcome[]): Comparison[] {
  const outcomes = all.filter((o) => o.rates[rate] !== null);
  if (outcomes.length < 3) return [];
  const known = outcomes.map((o) => effectiveCounts(o.rates[rate]!));
  const x = known.map((part) => part.x);
  const n = known.map((part) => part.n);
  const terms = termsOf(season, outcomes);
  for (const [name, columns] of terms) {
    const varies = Object.values(columns).some((c) => c.some((v) => v !== c[0]));
    if (!varies) terms.delete(name);
  }
  if (terms.size === 0) return [];
  const columnsOf = (skip: string | null): Record<string, number[]> =>
    Object.fromEntries([...terms].flatMap(([name, c]) => (name === skip ? [] : Object.entries(c))));
  const others = [...terms.keys()].join(', ');
  const full = logistic({ x, n, columns: columnsOf(null) });
  if (isSeparated(full)) {
    return [
      comparison(rate, others, 'logistic model', {
        note: `no answer: ${full.columns.join(', ') || 'the rows'} split all from none, so a slope would be endless`,
      }),
    ];
  }
  const out: Comparison[] = [];
  const scatter = full.dispersion !== null && full.dispersion > 1 ? full.dispersion : 1;
  for (const [name, columns] of terms) {
    const small = logistic({ x, n, columns: columnsOf(name) });
    const test = isSeparated(small) ? null : compareNested(full, small);
    const wholly = Object.keys(columns).filter((c) => full.aliased.includes(c));
    const effects = Object.keys(columns).flatMap((column) => {
      const c = full.coefficients[column];
      if (!c) return [];
      const half = 1.959963984540054 * c.se * Math.sqrt(scatter);
      return [
        {
          term: column,
          ratio: Math.exp(c.estimate),
          low: Math.exp(c.estimate - half),
          high: Math.exp(c.estimate + half),
          p: scatter > 1 && c.quasiP !== null ? c.quasiP : c.p,
        },
      ];
    });
    out.push(
      comparison(
        rate,
        `${name}, with ${[...terms.keys()].filter((t) => t !== name).join(', ') || 'nothing else'} in the model`,
        test?.method === 'quasi-binomial F' ? 'logistic model, quasi-binomial' : 'logistic model',
        {
          statistic: test?.statistic ?? null,
          df: test?.df ?? null,
          p: test?.p ?? null,
          effects,
          note:
            wholly.length > 0
              ? `${wholly.join(', ')} cannot be told from the other terms: they always go together`
              : test === null
                ? 'cannot be told from the other terms: they always go together'
                : scatter > 1
                  ? `sets scatter ${fixed(scatter, 1)} times what chance would`
                  : null,
        },
      ),
    );
  }
  return out;
}

/**
 * Every question `review` puts to a season: each of five rates by pen, line, tray and hatcher
 * (exact or chi-square), by storage age and week (trend), and in a logistic model of pen, tray,
 * storage days and week together; Holm's correction over all of them. Counts that rest on a sample
 * of opened eggs are taken down to what they are worth.
 */
export function comparisonsOf(season: Season, outcomes: readonly ShareOutcome[]): Comparison[] {
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
      const members = new Map<string, OutcomePart[]>();
      for (const one of known) {
        const key = keyOf(season, cut, one);
        if (key !== null) members.set(key, [...(members.get(key) ?? []), one.rates[rate]!]);
      }
      return [...members.values()].map((parts) => effectiveCounts(pool(parts)));
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
          p: chiSquareUpper(t.chiSquare, 1),
        }),
      );
    };
    trend('storage age', (o) => o.age?.mean ?? null);
    trend('week', (o) => numberOfDay(o.on));
    addAll(out, modelled(season, rate, outcomes));
  }
  return out;
}
