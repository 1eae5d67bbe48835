import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { day, nowAt, seasonOf } from '../../tests/support/season.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { addDays } from '../text/day.ts';
import { Effort } from './effort.ts';
import { type Instead, leastOf, type WaysOut, waysOutOf } from './limits.ts';
import { simulatedOutlook } from './outlook.ts';
import { planSeason } from './plan.ts';
import type { Binding } from './ways-out.ts';

const DRAWS = 200;
const now = nowAt('2027-02-01');

/** A farm where nothing binds but what a test takes away. */
const farm = (parts: Readonly<Record<string, string>>): string =>
  Object.entries({
    format: 'traybook/1',
    season: '2027',
    place: '{name: Low Croft, timezone: Europe/London}',
    lines: '{sussex: {species: chicken}}',
    pens: '{north: {line: sussex, hens: 16, males: 2, joined: 2027-01-11}}',
    setters: '{cabinet: {trays: 6, tray_holds: {chicken: 40}}}',
    hatchers: '{lower: {holds: {chicken: 120}, clean_days: 1}}',
    storage: '{max_days: 7}',
    goals: '[{line: sussex, want: chicks, count: 60, by: 2027-03-25, confidence: 0.8}]',
    ...parts,
  })
    .map(([key, value]) => `${key}: ${value}\n`)
    .join('');

async function planned(yaml: string) {
  const season = seasonOf(yaml);
  const rates = farmRates(season, [], now.day);
  const outlook = (base: typeof season) => simulatedOutlook(base, now.day, rates, DRAWS, 1);
  const effort = new Effort();
  const options = { replan: false };
  const plan = await planSeason(season, now, rates, outlook, { ...options, effort });
  const asking = { season, now, rates, outlookOf: outlook, options };
  const ways = (): Promise<WaysOut> => waysOutOf(asking, plan, effort);
  return { plan, ways };
}

const isMet = async (yaml: string) => (await planned(yaml)).plan.status !== 'infeasible';

interface Case {
  limit: Binding;
  words: RegExp;
  parts: Readonly<Record<string, string>>;
  /** The season with a change of so much, made in its text. */
  changed: (amount: number) => Readonly<Record<string, string>>;
  /** The amount as the words have it; as it is where not said. */
  told?: (amount: number) => string;
  /** What else may free it, and no more. */
  also: readonly Binding[];
}

const goal = (count: number) =>
  `[{line: sussex, want: chicks, count: ${count}, by: 2027-03-25, confidence: 0.8}]`;
/** Set on Saturdays only. */
const saturdays = 'set: [mon, tue, wed, thu, fri, sun]';
/** Birds reared under a roof, of which one good set would give enough. */
const reared = {
  goals: '[{line: sussex, want: birds, at: table, count: 16, by: 2027-06-20, confidence: 0.8}]',
  days_off: `{${saturdays}}`,
};
/** Lamps for a thousand chicks, and a floor for all of them, beside what binds. */
const lamps = 'heat: {kind: lamp, count: 20}';
const small = '{area: 60, heat: {kind: plate, places: 9}}';
const plates = (count: number) =>
  `{barn: {area: 60, heat: {kind: plate, count: ${count}, places: 7}}}`;

const cases: readonly Case[] = [
  {
    limit: 'eggs',
    words: /^\d+ more hens? in north$/,
    parts: {
      pens: '{north: {line: sussex, hens: 6, males: 2, joined: 2027-01-11, parted: 2027-03-10}}',
      days_off: `{${saturdays}}`,
    },
    changed: (n) => ({
      pens: `{north: {line: sussex, hens: ${6 + n}, males: 2, joined: 2027-01-11, parted: 2027-03-10}}`,
    }),
    also: [],
  },
  {
    limit: 'trays',
    words: /^\d+ more trays? in cabinet$/,
    parts: { setters: '{cabinet: {trays: 1, tray_holds: {chicken: 40}}}' },
    changed: (n) => ({ setters: `{cabinet: {trays: ${1 + n}, tray_holds: {chicken: 40}}}` }),
    also: ['time'],
  },
  {
    limit: 'hatcher',
    words: /^room for \d+ more eggs? in lower$/,
    parts: { hatchers: '{lower: {holds: {chicken: 15}, clean_days: 1}}' },
    changed: (n) => ({ hatchers: `{lower: {holds: {chicken: ${15 + n}}, clean_days: 1}}` }),
    also: ['time', 'hatcher'],
  },
  {
    limit: 'hatcher',
    words: /^lower clean again \d+ days? sooner$/,
    parts: { hatchers: '{lower: {holds: {chicken: 22}, clean_days: 6}}' },
    changed: (n) => ({ hatchers: `{lower: {holds: {chicken: 22}, clean_days: ${6 - n}}}` }),
    also: ['time'],
  },
  {
    limit: 'time',
    words: /^north joined \d+ days? earlier, on 2027-/,
    parts: {
      pens: '{north: {line: sussex, hens: 16, males: 2, joined: 2027-02-08}}',
      goals: goal(52),
      days_off: '{set: [tue, wed, thu, fri, sat, sun]}',
    },
    changed: (n) => ({
      pens: `{north: {line: sussex, hens: 16, males: 2, joined: ${addDays(day('2027-02-08'), -n)}}}`,
    }),
    also: ['eggs', 'storage', 'days off'],
  },
  {
    limit: 'storage',
    words: /^eggs stored \d+ days? longer; storage then takes \d+\.\d chicks$/,
    parts: { storage: '{max_days: 2}', days_off: `{${saturdays}}` },
    changed: (n) => ({ storage: `{max_days: ${2 + n}}` }),
    also: ['eggs', 'time', 'days off'],
  },
  {
    limit: 'days off',
    words: /^work on 2027-02-20$/,
    parts: { days_off: `{${saturdays}, dates: [2027-02-20]}`, goals: goal(70) },
    changed: () => ({ days_off: `{${saturdays}}` }),
    also: ['eggs', 'time', 'storage'],
  },
  {
    limit: 'days off',
    words: /^chicks hatching on Saturdays too$/,
    parts: { days_off: `{${saturdays}, hatch: [sat]}` },
    changed: () => ({ days_off: `{${saturdays}}` }),
    also: [],
  },
  {
    limit: 'brooder',
    words: /^[\d.]+ m2 more floor in barn$/,
    parts: { ...reared, brooders: `{barn: {area: 1, ${lamps}}}` },
    changed: (n) => ({ brooders: `{barn: {area: ${1 + n / 2}, ${lamps}}}` }),
    told: (n) => `${n / 2} m2`,
    also: ['time'],
  },
  {
    limit: 'brooder',
    words: /^\d+ more plates? in barn$/,
    parts: { ...reared, brooders: plates(2) },
    changed: (n) => ({ brooders: plates(2 + n) }),
    also: ['time'],
  },
  {
    limit: 'brooder',
    words: /^\d+ more brooders? like barn$/,
    parts: { ...reared, brooders: `{barn: ${small}}` },
    changed: (n) => ({
      brooders: `{${Array.from({ length: 1 + n }, (_, i) => `barn${i}: ${small}`)}}`,
    }),
    also: ['time'],
  },
];

describe('each limit that binds is named with the least change that frees it', () => {
  for (const { limit, words, parts, changed, told = String, also } of cases)
    test(`${limit}: ${words.source}`, async () => {
      const { plan, ways } = await planned(farm(parts));
      expect(plan.status).toBe('infeasible');
      const { limits } = await ways();
      const one = limits.find((found) => found.limit === limit && words.test(found.change))!;
      expect(one, JSON.stringify(limits)).toBeDefined();
      expect(one.least).toBe(true);
      expect(one.frees).toEqual([0]);
      expect(one.gain).toBeGreaterThan(0);
      if (limit !== 'days off') expect(one.change).toContain(told(one.amount));
      for (const other of limits) expect([limit, ...also]).toContain(other.limit);
      expect(await isMet(farm({ ...parts, ...changed(one.amount) }))).toBe(true);
      if (one.amount > 1)
        expect(await isMet(farm({ ...parts, ...changed(one.amount - 1) }))).toBe(false);
    });

  test('the nearest plan fills the heated places, and no more', async () => {
    const { plan } = await planned(farm({ ...reared, brooders: plates(2) }));
    // An egg is 0.88 x 0.95 x 0.98 x 0.87 x 0.98 = 0.6985 chicks (the means of seeds/rates.yaml): 20
    // are 13.97 of the 14 chicks that two plates of seven places warm, 21 would be 14.67.
    const eggs = plan.lines.reduce((sum, line) => sum + line.eggs, 0);
    expect(eggs).toBe(20);
    // With as much room as they like they are not held up by it.
    expect(await isMet(farm({ ...reared, brooders: plates(20) }))).toBe(true);
    expect(await isMet(farm({ ...reared }))).toBe(true);
  });

  test('several goals, each for its own reason: what frees one is told for each', async () => {
    const { plan, ways } = await planned(
      farm({
        lines: '{sussex: {species: chicken}, harlequin: {species: duck}}',
        pens: '{north: {line: sussex, hens: 4, males: 1, joined: 2027-01-11, parted: 2027-03-10}, pond: {line: harlequin, hens: 3, males: 1, joined: 2027-01-11, parted: 2027-03-10}}',
        setters: '{cabinet: {trays: 6, tray_holds: {chicken: 40, duck: 30}}}',
        hatchers: '{lower: {holds: {chicken: 120, duck: 90}}, upper: {holds: {duck: 90}}}',
        days_off: `{${saturdays}}`,
        goals:
          '[{line: sussex, want: chicks, count: 40, by: 2027-03-25, confidence: 0.8}, {line: harlequin, want: chicks, count: 25, by: 2027-04-01, confidence: 0.8}]',
      }),
    );
    const { limits, instead } = await ways();
    expect(plan.claims.map((one) => one.met)).toEqual([false, false]);
    expect(limits.map((one) => one.frees)).toContainEqual([0]);
    expect(limits.map((one) => one.frees)).toContainEqual([1]);
    expect(limits.some((one) => one.change.endsWith('in north'))).toBe(true);
    expect(limits.some((one) => one.change.endsWith('in pond'))).toBe(true);
    expect(instead.map((one) => one.claim)).toEqual([0, 1]);
    expect(instead[0]!.count).toBeLessThan(40);
  });

  test('a way that is dear leaves the others their turn, and moves no day of what is met', async () => {
    // Chicks of the order would lie in the setter while it is closed, and in no other days.
    const { plan, ways } = await planned(
      farm({
        lines: '{sussex: {species: chicken}, harlequin: {species: duck}}',
        pens: '{north: {line: sussex, hens: 9, males: 1, joined: 2027-01-11}, south: {line: sussex, hens: 12, males: 2, joined: 2027-01-25, parted: 2027-04-30}, pond: {line: harlequin, hens: 6, males: 2, joined: 2027-01-20}}',
        setters:
          '{cabinet: {trays: 3, tray_holds: {chicken: 40, duck: 28}, closed: [{from: 2027-03-12, to: 2027-03-20}]}}',
        hatchers: '{lower: {holds: {chicken: 70, duck: 45}, clean_days: 2}}',
        storage: '{max_days: 8}',
        days_off: '{set: [sat, sun], hatch: [mon]}',
        goals:
          '[{line: sussex, want: pullets, count: 15, by: 2027-10-25, confidence: 0.9}, {line: sussex, want: cockerels, count: 10, by: 2027-08-25, confidence: 0.8, fate: table}, {line: harlequin, want: chicks, count: 15, by: 2027-05-30, confidence: 0.8, fate: sold}]',
        orders:
          '[{for: a neighbour, line: sussex, want: chicks, count: 12, from: 2027-03-21, by: 2027-04-04, confidence: 0.9}]',
      }),
    );
    expect(plan.claims.map((one) => one.met)).toEqual([true, true, true, false]);
    const { limits } = await ways();
    expect(limits.map((one) => one.change)).toContain('cabinet not closed');
    for (const { limit, change } of limits)
      if (limit === 'time') expect(change).toMatch(/: by 2027-04-\d\d$/);
  });

  test('where several things bind no single change is told, but what could be asked instead', async () => {
    // Few hens, a pen joined late, one small tray, and a hatcher for six eggs at a time.
    const parts = {
      pens: '{north: {line: sussex, hens: 2, males: 1, joined: 2027-01-25}}',
      setters: '{cabinet: {trays: 1, tray_holds: {chicken: 6}}}',
      hatchers: '{lower: {holds: {chicken: 6}, clean_days: 1}}',
    };
    const asking = (count: number) =>
      farm({
        ...parts,
        goals: `[{line: sussex, want: chicks, count: ${count}, by: 2027-03-28, confidence: 0.8}]`,
      });
    const { ways } = await planned(asking(200));
    const { limits, instead } = await ways();
    expect(limits).toEqual([]);
    const [{ count, most }] = instead as [Instead];
    expect(most).toBe(true);
    expect(await isMet(asking(count))).toBe(true);
    expect(await isMet(asking(count + 1))).toBe(false);
  });
});

describe('the least amount', () => {
  test('is found from any guess, and nothing beyond the most is tried', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 60 }),
        async (least, guess, most) => {
          const tried: number[] = [];
          const found = await leastOf(Math.min(most, guess), most, async (amount) => {
            tried.push(amount);
            return amount >= least ? 'a plan' : null;
          });
          expect(tried.every((amount) => amount >= 1 && amount <= most)).toBe(true);
          if (found === null) return;
          expect(found.amount).toBeGreaterThanOrEqual(least);
          if (found.isLeast) expect(found.amount).toBe(least);
        },
      ),
    );
  });

  test('near a good guess it is found and proved', async () => {
    for (const off of [-1, 0, 1]) {
      const found = await leastOf(20 + off, 60, async (amount) => (amount >= 20 ? 1 : null));
      expect(found).toMatchObject({ amount: 20, isLeast: true });
    }
  });

  test('a solver without an answer frees nothing', async () => {
    expect(await leastOf(2, 8, async () => null)).toBeNull();
  });
});
