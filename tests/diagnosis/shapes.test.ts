import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { diagnose } from '../../src/judge/diagnose/diagnose.ts';
import { causes } from '../../src/judge/diagnose/finding.ts';
import { rateNames } from '../../src/judge/rate-names.ts';
import { comparisonsOf } from '../../src/judge/review/comparisons.ts';
import { cuts } from '../../src/judge/review/groups.ts';
import { reviewOf } from '../../src/judge/review/review.ts';
import type { Season } from '../../src/season/model.ts';
import { reviewJson } from '../../src/tables/review.ts';
import { logbook } from './logbook.ts';
import { simulate } from './simulate.ts';

const share = z.number().min(0).max(1).nullable();
const maybe = z.number().nullable();
const word = z.string().nullable();

const review = z.object({
  groups: z.array(
    z.object({
      by: z.enum(cuts),
      key: z.string(),
      counts: z.record(z.string(), z.number().nullable()),
      rates: z.partialRecord(
        z.enum(rateNames),
        z.strictObject({
          x: z.number(),
          n: z.number(),
          estimate: share,
          low: share,
          high: share,
          wilson: z.tuple([z.number(), z.number()]).nullable(),
        }),
      ),
    }),
  ),
  tests: z.array(
    z.object({
      rate: z.enum(rateNames),
      by: z.string(),
      method: z.string(),
      statistic: maybe,
      df: maybe,
      p: share,
      p_adjusted: share,
    }),
  ),
});

const findings = z.array(
  z.object({
    cause: z.enum(causes),
    verdict: z.enum(['act', 'watch', 'unknown', 'fine']),
    probability: z.number().min(0.001).max(0.999),
    since: word,
    where: z.object({
      line: word,
      pen: word,
      male: word,
      set: word,
      setter: word,
      hatcher: word,
      tray: maybe,
      from: word,
      to: word,
    }),
    estimate: maybe,
    low: maybe,
    high: maybe,
    expected: maybe,
    source: word,
    evidence: z.array(z.object({ says: z.string(), log_odds: z.number() })),
    rivals: z.array(z.object({ cause: z.enum(causes), odds: z.number() })),
    would_show: word,
    cost: z.object({ chicks: maybe, to_come: maybe, money: maybe }),
    next: z.array(z.string()),
  }),
);

/** A season of one set, `hatched` of `eggs`. */
function oneSet(year: number, eggs: number, hatched: number): Season {
  const book = logbook(`format: traybook/1
season: ${year}
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens: {ash: {line: grey, hens: 10, males: 1, joined: ${year - 1}-12-01}}
setters: {cabinet: {trays: 4, tray_holds: {chicken: 90}}}
hatchers: {lower: {holds: {chicken: 200}}}
`);
  book.row('set', `${year}-03-01`, { set: 'A', pen: 'ash', tray: 1, eggs });
  book.row('candling', `${year}-03-08`, { set: 'A', pen: 'ash', clear: 0 });
  book.row('transfer', `${year}-03-19`, { set: 'A', pen: 'ash', moved: eggs });
  book.row('hatch', `${year}-03-22T08:00`, {
    set: 'A',
    pen: 'ash',
    hatched,
    unpipped: eggs - hatched,
    final: 'yes',
  });
  return book.season();
}

describe('what programs read', () => {
  const seasons: [string, Season][] = [
    ['a full season', simulate(21, 'warm')],
    ['one set', oneSet(2027, 70, 56)],
  ];
  for (const [name, season] of seasons) {
    it(`review of ${name} keeps its shape`, () => {
      const json = JSON.parse(
        JSON.stringify(reviewJson({ review: reviewOf(season), tests: comparisonsOf(season) })),
      );
      const read = review.safeParse(json);
      expect(read.error?.issues.slice(0, 3)).toBeUndefined();
      expect(new Set(json.groups.map((g: { by: string }) => g.by))).toContain('set');
      for (const rate of rateNames)
        if (rate !== 'settable') expect(json.groups[0].rates).toHaveProperty(rate);
    });
    it(`diagnose of ${name} keeps its shape`, () => {
      const read = findings.safeParse(JSON.parse(JSON.stringify(diagnose(season))));
      expect(read.error?.issues.slice(0, 3)).toBeUndefined();
    });
  }
});

describe('a season against the one before', () => {
  // Newcombe 1998, Stat. Med. 17:873, table II (a): 56 of 70 against 48 of 80, method 10: the
  // difference 0.2000 with the interval 0.0524 to 0.3339 (from memory). Eggs of one set share its
  // luck, so here it is wider.
  const [hatch] = reviewOf(oneSet(2027, 70, 56), [oneSet(2026, 80, 48)]).previous.filter(
    (a) => a.rate === 'hatch_of_set',
  );

  it('gives the difference, with an interval wider than the published one of free eggs', () => {
    expect(hatch).toMatchObject({
      season: '2026',
      now: { x: 56, n: 70, estimate: 0.8 },
      before: { x: 48, n: 80, estimate: 0.6 },
    });
    expect(hatch!.difference).toBeCloseTo(0.2, 12);
    expect(hatch!.low).toBeLessThan(0.0524);
    expect(hatch!.high).toBeGreaterThan(0.3339);
  });

  it('says nothing of rates that either season lacks', () => {
    const all = reviewOf(oneSet(2027, 70, 56), [oneSet(2026, 80, 48)]).previous;
    expect(all.map((a) => a.rate)).not.toContain('settable');
    expect(reviewOf(oneSet(2027, 70, 56)).previous).toEqual([]);
  });
});
