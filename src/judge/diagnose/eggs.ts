import type { Season } from '../../season/model.ts';
import { norms } from '../norms.ts';
import type { Outcome } from '../review/outcome.ts';
import { isoWeek } from '../review/week.ts';
import {
  ageColumn,
  type Evidence,
  partsOf,
  penColumns,
  percent,
  sumOf,
  weekOf,
} from './evidence.ts';
import { type Candidate, everywhere, question, type Sign } from './finding.ts';
import { type Clustered, combined, eggsToTell, levelTest, ofPlaces, slopeTest } from './tests.ts';

/** Fertility of each share as well as it is known: corrected by opened clears, else apparent. */
function fertileParts(outcomes: readonly Outcome[]): (Clustered & { one: Outcome })[] {
  return outcomes.flatMap((one) => {
    const part = one.rates.fertile ?? one.rates.fertile_apparent;
    return part === null ? [] : [{ ...part, cluster: one.set, one }];
  });
}

function fertileLimit(season: Season, pens: readonly string[]): number {
  const heavy = pens.length > 0 && pens.every((p) => season.pens.get(p)?.line.class === 'heavy');
  const norm = norms.rates.fertile;
  return heavy && norm.heavy ? norm.heavy.low : norm.value.low;
}

/** Clears of these shares, and how many of them were opened. */
function openedOf(parts: readonly { one: Outcome }[]): { of: number; opened: number } {
  return {
    of: parts.reduce((s, p) => s + p.one.opened.clear.of, 0),
    opened: parts.reduce((s, p) => s + p.one.opened.clear.opened, 0),
  };
}

/** Are enough eggs fertile, over all and in each pen? A pen whose male fails is asked elsewhere. */
export function lowFertility(e: Evidence, failing: string | null): Candidate {
  const parts = fertileParts(e.outcomes).filter((p) => p.one.pen !== failing);
  const pens = [...new Set(parts.map((p) => p.one.pen))];
  const norm = norms.rates.fertile;
  const limit = fertileLimit(e.season, pens);
  const base = question({
    cause: 'low-fertility',
    unit: 'share of eggs set',
    expected: limit,
    source: norm.source,
  });
  const all = levelTest(parts, limit, 'below');
  if (!all) {
    return {
      ...base,
      unknown:
        failing === null
          ? 'no eggs were candled, so nobody knows how many were fertile'
          : `only pen ${failing} has candled eggs, and it is judged by itself`,
      next: [
        'Candle at about a third of the term and write the clears: traybook add candling SET --clear N',
      ],
    };
  }
  const each = pens.map((pen) => {
    const own = parts.filter((p) => p.one.pen === pen);
    return { pen, level: levelTest(own, fertileLimit(e.season, [pen]), 'below')! };
  });
  const worst = each.reduce((a, b) => (b.level.p < a.level.p ? b : a));
  const places = pens.length > 1 ? pens.length + 1 : 1;
  // The season as a whole is to blame when most pens are below; else the worst pen is.
  const low = each.filter((one) => one.level.estimate < limit);
  const one = pens.length > 1 && low.length * 2 <= pens.length && worst.level.p < all.p;
  const level = one ? worst.level : all;
  const p = ofPlaces(Math.min(worst.level.p, all.p), places);
  const where = one ? { ...everywhere, pen: worst.pen } : everywhere;
  const judged = parts.filter((q) => !one || q.one.pen === worst.pen);
  const clears = openedOf(judged);
  const corrected = judged.every((q) => q.one.rates.fertile !== null);
  const word =
    corrected || clears.opened > 0
      ? `fertile${clears.opened < clears.of ? `, by the ${clears.opened} of ${clears.of} clears that were opened` : ''}`
      : 'looked fertile at candling';
  const enough = eggsToTell(
    limit,
    2 * limit - norm.value.high,
    norms.levels.watch.value,
    level.scatter,
  );
  const rivals: Candidate['rivals'] = corrected ? [] : ['early-death', 'long-storage'];
  return {
    ...base,
    where,
    estimate: level.estimate,
    low: level.low,
    high: level.high,
    expected: one ? fertileLimit(e.season, [worst.pen]) : limit,
    p,
    rivals,
    signs: [
      {
        says: `${Math.round(level.x)} of ${Math.round(level.n)} eggs ${one ? `of pen ${worst.pen} ` : ''}${word} (${percent(level.estimate)})`,
        test: `binomial tail against ${percent(limit)}, scatter between sets ${level.scatter.toFixed(2)}, best of ${places} places`,
        p,
      },
    ],
    unknown:
      all.n < enough
        ? `${Math.round(all.n)} eggs are too few: about ${enough - Math.round(all.n)} more candled eggs would settle it`
        : null,
    next: [
      'Look at the males: age, weight, legs, frozen combs, and whether each one treads; count hens to a male.',
      ...(corrected
        ? []
        : [
            'Break out the clears: a white ring on the yolk is an early death, not an infertile egg. traybook add breakout SET --from clear --infertile N --early N',
          ]),
    ],
  };
}

/** Does one pen's fertility fall in time while the others hold? */
export function failingMale(e: Evidence): Candidate {
  const parts = fertileParts(e.outcomes);
  const outcomes = parts.map((p) => p.one);
  const pens = [...new Set(outcomes.map((o) => o.pen))].sort();
  const base = question({
    cause: 'failing-male',
    unit: 'share of eggs set, at the end',
    expected: null,
    source: 'the other pens over the same weeks',
  });
  const next = [
    'Watch the males of the pen at treading, feel their keels, look at feet and combs; put in a reserve male if one does nothing.',
    'Candle this pen first in the next sets and write its clears by pen.',
  ];
  const setsOf = (pen: string): number =>
    new Set(outcomes.filter((o) => o.pen === pen).map((o) => o.set)).size;
  // A line through fewer than three sets is no course.
  const able = pens.filter((pen) => setsOf(pen) >= 3);
  if (able.length === 0) {
    return {
      ...base,
      unknown:
        outcomes.length === 0
          ? 'no eggs were candled'
          : 'fewer than three candled sets of any pen: a course cannot be seen yet',
      next: ['Candle every set and write the clears by pen.'],
    };
  }
  const week = outcomes.map((o) => weekOf(outcomes, o));
  type Found = { pen: string; p: number; own: number; others: number | null };
  const found: Found[] = [];
  for (const pen of able) {
    const mine = parts.filter((p) => p.one.pen === pen);
    const own = slopeTest(
      mine,
      { ...ageColumn(mine.map((m) => m.one)), week: mine.map((m) => weekOf(outcomes, m.one)) },
      'week',
      'below',
    );
    if (!own) continue;
    let others: number | null = null;
    if (pens.length > 1) {
      const apart = slopeTest(
        parts,
        {
          ...penColumns(outcomes),
          ...ageColumn(outcomes),
          week,
          own: outcomes.map((o, i) => (o.pen === pen ? week[i]! : 0)),
        },
        'own',
        'below',
      );
      others = apart?.p ?? null;
      if (others === null) continue;
    }
    found.push({ pen, own: own.p, others, p: Math.max(own.p, others ?? 0) });
  }
  if (found.length === 0) {
    return {
      ...base,
      p: 1,
      signs: [{ says: 'no pen falls', test: 'no slope to test', p: 1 }],
      next,
    };
  }
  const worst = found.reduce((a, b) => (b.p < a.p ? b : a));
  const p = ofPlaces(worst.p, found.length);
  const mine = parts.filter((q) => q.one.pen === worst.pen);
  const sorted = [...mine].sort((a, b) => (a.one.on < b.one.on ? -1 : 1));
  const third = Math.max(1, Math.floor(sorted.length / 3));
  const first = sumOf(sorted.slice(0, third));
  const last = levelTest(sorted.slice(-third), 0.5, 'below')!;
  const rest = sumOf(
    parts.filter((q) => q.one.pen !== worst.pen && q.one.on >= sorted.at(-third)!.one.on),
  );
  return {
    ...base,
    where: {
      ...everywhere,
      pen: worst.pen,
      from: sorted[0]!.one.on,
      to: sorted.at(-1)!.one.on,
    },
    estimate: last.estimate,
    low: last.low,
    high: last.high,
    expected: rest.n > 0 ? rest.x / rest.n : first.n > 0 ? first.x / first.n : null,
    p,
    rivals: pens.length > 1 ? ['low-fertility'] : ['low-fertility', 'long-storage'],
    signs: [
      {
        says: `pen ${worst.pen} went from ${percent(first.x / first.n)} fertile in its first sets to ${percent(last.estimate)} in its last${rest.n > 0 ? `; the other pens stood at ${percent(rest.x / rest.n)} then` : ''}`,
        test: `logistic slope of the pen's weeks ${pens.length > 1 ? 'against those of the other pens' : 'by itself'}, storage in the model, best of ${found.length} pens`,
        p,
      },
    ],
    next,
  };
}

/** Points of hatch that the species' table expects so many days in store to cost. */
function expectedPoints(one: Outcome, days: number): number {
  const steps = one.share.pen.line.species.storage_penalty.value;
  let sum = 0;
  for (let day = 1; day <= days; day++)
    sum += steps.findLast((s) => day >= s.from_day)?.points_per_day ?? 0;
  return sum;
}

/** Were eggs kept too long? By their slope with age, and by their age where all are old. */
export function longStorage(e: Evidence, failing: string | null): Candidate {
  const aged = e.outcomes.filter((o) => o.age !== null);
  const species = [...e.season.sets.values()][0]?.species;
  const base = question({
    cause: 'long-storage',
    unit: 'days in store, mean',
    expected: species?.storage_max_days.value ?? null,
    source: species?.storage_max_days.source ?? null,
    next: ['Set twice a week, or keep eggs at 15 to 16 °C and turn them daily.'],
  });
  if (aged.length === 0) {
    return {
      ...base,
      unknown: 'nobody wrote when the eggs were laid',
      next: [
        'Write the eggs every day: traybook add eggs PEN --kept N, or the days of laying with the set: --laid-from, --laid-to.',
      ],
    };
  }
  const eggs = aged.reduce((s, o) => s + o.share.eggs, 0);
  const mean = aged.reduce((s, o) => s + o.share.eggs * o.age!.mean, 0) / eggs;
  const ages = aged.map((o) => o.age!.mean);
  const signs: Sign[] = [];
  const slopeOf = (rate: 'hatch_of_set' | 'early', side: 'above' | 'below'): number | null => {
    const parts = partsOf(aged, rate);
    const outcomes = parts.map((p) => p.one);
    if (outcomes.length < 3) return null;
    const columns: Record<string, number[]> = { ...penColumns(outcomes), ...ageColumn(outcomes) };
    if (failing !== null)
      columns.failing = outcomes.map((o) => (o.pen === failing ? weekOf(outcomes, o) : 0));
    const eggsIn = sumOf(parts);
    const share = eggsIn.x / eggsIn.n;
    // The slope at which these ages cost what a week in store is expected to cost anyone.
    const beyond =
      parts.reduce((s, q) => {
        const free = q.one.share.pen.line.species.storage_free_days.value;
        return s + q.n * Math.max(0, q.one.age!.mean - free);
      }, 0) / eggsIn.n;
    const week = expectedPoints(outcomes[0]!, norms.storage.best_within_days.value) / 100;
    if (!(beyond > 0) || share <= 0 || share >= 1) return beyond > 0 ? null : 1;
    const usual = week / (share * (1 - share) * beyond);
    return slopeTest(parts, columns, 'age', side, usual)?.p ?? null;
  };
  const hatch = slopeOf('hatch_of_set', 'below');
  const early = slopeOf('early', 'above');
  if (hatch !== null)
    signs.push({
      says: 'the longer eggs were kept, the fewer hatched',
      test: 'logistic slope of hatch of set with days in store beyond what a week in store costs anyone, pens in the model',
      p: hatch,
    });
  if (early !== null)
    signs.push({
      says: 'the longer eggs were kept, the more died early',
      test: 'logistic slope of early deaths with days in store beyond what a week in store costs anyone, pens in the model',
      p: early,
    });
  // Where nearly all eggs are old there is no slope to see: age itself, and what it does, must tell.
  const old = (o: Outcome): boolean =>
    o.age!.mean > o.share.pen.line.species.storage_max_days.value;
  const oldEggs = aged.filter(old).reduce((s, o) => s + o.share.eggs, 0);
  const mostOld = oldEggs / eggs > norms.storage.enough_eggs.value;
  if (mostOld) {
    const deaths = levelTest(partsOf(aged, 'early'), norms.rates.early.value.high, 'above');
    const set = levelTest(
      partsOf(aged, 'hatch_of_set'),
      norms.rates.hatch_of_set.value.low,
      'below',
    );
    const level = combined([deaths?.p ?? null, set?.p ?? null]);
    signs.push({
      says: `${oldEggs} of ${eggs} eggs set were kept longer than advised, and they hatched worse than usual`,
      test: 'binomial tails of early deaths and of hatch of set against the norms',
      p: level,
    });
  }
  const p = combined(signs.map((s) => s.p));
  const enough =
    Math.max(...ages) - Math.min(...ages) >= 2 || mean <= (species?.storage_free_days.value ?? 0);
  return {
    ...base,
    estimate: mean,
    low: Math.min(...ages),
    high: Math.max(...ages),
    p,
    fact: mostOld,
    rivals: ['early-death', 'egg-quality'],
    signs,
    unknown:
      p === null
        ? enough
          ? 'no set with known ages has hatched yet'
          : 'eggs were all of about one age, so its effect cannot be seen'
        : null,
  };
}

/** Are enough of the eggs laid fit to set? */
export function eggQuality(e: Evidence): Candidate {
  const norm = norms.rates.settable;
  const rows = e.season.rows.eggs.filter((row) => row.values.laid !== null && row.values.laid > 0);
  const base = question({
    cause: 'egg-quality',
    unit: 'share of eggs laid',
    expected: norm.value.low,
    source: norm.source,
  });
  const parts: (Clustered & { pen: string })[] = rows.map((row) => ({
    x: Math.min(row.values.kept, row.values.laid!),
    n: row.values.laid!,
    cluster: `${row.values.pen} ${isoWeek(row.on.day)}`,
    pen: row.values.pen,
  }));
  const poor = norm.poor ?? norm.value.low;
  const all = levelTest(parts, poor, 'below');
  if (!all) {
    return {
      ...base,
      unknown: 'eggs laid are not written, so the share fit to set is not known',
      next: [
        'Write laid beside kept, and why eggs were left out: traybook add eggs PEN --laid N --kept N --thin N',
      ],
    };
  }
  const pens = [...new Set(parts.map((p) => p.pen))];
  const each = pens.map((pen) => ({
    pen,
    level: levelTest(
      parts.filter((p) => p.pen === pen),
      poor,
      'below',
    )!,
  }));
  const worst = each.reduce((a, b) => (b.level.p < a.level.p ? b : a));
  const bad = each.filter((one) => one.level.estimate < poor).length;
  const one = pens.length > 1 && bad * 2 <= pens.length && worst.level.p < all.p;
  const places = pens.length > 1 ? pens.length + 1 : 1;
  const level = one ? worst.level : all;
  const mild = levelTest(parts, norm.value.low, 'below')!;
  const hard = ofPlaces(Math.min(all.p, worst.level.p), places);
  const reasons = (['small', 'large', 'misshapen', 'thin', 'cracked', 'dirty', 'other'] as const)
    .map((why) => ({
      why,
      eggs: rows
        .filter((row) => !one || row.values.pen === worst.pen)
        .reduce((s, row) => s + row.values[why], 0),
    }))
    .filter((r) => r.eggs > 0)
    .sort((a, b) => b.eggs - a.eggs);
  const top = reasons[0];
  const enough = eggsToTell(
    poor,
    2 * poor - norm.value.high,
    norms.levels.watch.value,
    level.scatter,
  );
  return {
    ...base,
    where: one ? { ...everywhere, pen: worst.pen } : everywhere,
    estimate: level.estimate,
    low: level.low,
    high: level.high,
    p: hard,
    // Below the usual range, though not beyond what the ends of a season show.
    fact: mild.p < norms.levels.watch.value,
    signs: [
      {
        says: `${Math.round(level.x)} of ${Math.round(level.n)} eggs laid ${one ? `in pen ${worst.pen} ` : ''}were fit to set (${percent(level.estimate)})${top ? `; the commonest reason against one: ${top.why} (${top.eggs})` : ''}`,
        test: `binomial tail against ${percent(poor)}, scatter between weeks ${level.scatter.toFixed(2)}, best of ${places} places`,
        p: hard,
      },
    ],
    unknown: level.n < enough ? `${Math.round(level.n)} eggs laid are too few to say` : null,
    rivals: [],
    next: [
      top?.why === 'thin' || top?.why === 'cracked'
        ? 'Look at oyster shell, age and health of the hens, heat, nest boxes and litter; gather more often.'
        : top?.why === 'dirty'
          ? 'Clean nests and litter, gather more often, keep hens from sleeping in the nests.'
          : 'Look at age, feed and health of the hens; leave out eggs far from the usual size.',
    ],
  };
}
