// Random farms: whatever the plan, it breaks no rule that `check` knows, and every figure adds up.
// By hand over more of them: PLAN_RUNS=300 [PLAN_SEED=n] npx vitest run tests/properties/plan.test.ts
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { goalsOf } from '../../src/facts/goals.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';

import { planSeason } from '../../src/planner/plan.ts';
import type { Outlook } from '../../src/planner/tried.ts';
import type { Season } from '../../src/season/model.ts';
import { addDays, type Day, daysBetween } from '../../src/text/day.ts';
import { withoutWorlds } from '../support/large-farms.ts';
import { built, nowAt, type Written } from '../support/season.ts';
import { expectedBirds, expectSound, type FarmCase, seasonText } from '../support/sound-plan.ts';

const RUNS = Number(process.env.PLAN_RUNS ?? 12);
const SEED = Number(process.env.PLAN_SEED ?? 20_270_201);

const weekdays = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
const off = (most: number) => fc.subarray(weekdays, { maxLength: most });
const kinds = ['chicken', 'duck', 'turkey', 'bantam'] as const;

const farm = fc.record({
  /** Hens by species. */
  hens: fc.record({
    chicken: fc.integer({ min: 4, max: 25 }),
    duck: fc.option(fc.integer({ min: 4, max: 12 })),
    turkey: fc.option(fc.integer({ min: 3, max: 8 }), { freq: 1 }),
    bantam: fc.option(fc.integer({ min: 3, max: 10 }), { freq: 1 }),
  }),
  secondPen: fc.option(fc.integer({ min: 3, max: 12 })),
  trays: fc.array(fc.integer({ min: 1, max: 5 }), { minLength: 1, maxLength: 3 }),
  holds: fc.integer({ min: 20, max: 50 }),
  hatchers: fc.array(
    fc.record({
      holds: fc.integer({ min: 20, max: 90 }),
      clean: fc.integer({ min: 0, max: 3 }),
      alone: fc.boolean(),
    }),
    { maxLength: 3 },
  ),
  brooder: fc.option(fc.integer({ min: 2, max: 20 })),
  store: fc.integer({ min: 4, max: 12 }),
  offSet: off(5),
  offCandle: off(4),
  offTransfer: off(3),
  offHatch: off(2),
  dates: fc.array(fc.integer({ min: 0, max: 70 }), { maxLength: 3 }),
  /** Days from joining to the day the plan is made: from before the first fertile egg to mid-season. */
  days: fc.integer({ min: 0, max: 50 }),
  /** Eggs kept a day and pen so far. */
  kept: fc.integer({ min: 0, max: 9 }),
  /** Sets recorded: days before the plan is made, and eggs. */
  sets: fc.array(
    fc.record({ ago: fc.integer({ min: 0, max: 20 }), eggs: fc.integer({ min: 2, max: 30 }) }),
    { maxLength: 3 },
  ),
  /** Lines of the keeper's own plan: days ahead, and eggs. */
  lines: fc.array(
    fc.record({ ahead: fc.integer({ min: 0, max: 30 }), eggs: fc.integer({ min: 2, max: 25 }) }),
    { maxLength: 2 },
  ),
  want: fc.integer({ min: 3, max: 40 }),
  pullets: fc.boolean(),
  replan: fc.boolean(),
});
type Farm = typeof farm extends fc.Arbitrary<infer T> ? T : never;

const JOINED = '2027-01-25' as Day;
/** Days of laying before eggs are surely fertile, with some to spare. */
const FERTILE = 16;

/** The season file and logs of a farm; `yaml` adds lines to its plan, beside the keeper's own. */
function caseOf(f: Farm): FarmCase {
  const today = addDays(JOINED, f.days);
  const species = kinds.filter((kind) => f.hens[kind] !== null);
  const tableOf = (each: (kind: string) => number) =>
    `{${species.map((kind) => `${kind}: ${each(kind)}`).join(', ')}}`;
  const smaller = (eggs: number) => (kind: string) =>
    kind === 'chicken' || kind === 'bantam' ? eggs : Math.ceil(eggs * 0.7);
  const pens = [
    ...species.map((kind) => ({ name: `${kind}s`, line: kind, hens: f.hens[kind]! })),
    ...(f.secondPen === null ? [] : [{ name: 'yard', line: 'chicken', hens: f.secondPen }]),
  ];
  const setters = f.trays.map((trays, i) => ({ name: `s${i + 1}`, trays }));

  // Eggs of every day so far; sets draw on them while they last, each in trays of its own.
  const rows: Written[] = [];
  const stock = new Map<string, { laid: Day; eggs: number }[]>();
  for (const pen of pens) {
    const lots: { laid: Day; eggs: number }[] = [];
    for (let day = addDays(JOINED, FERTILE); day < today; day = addDays(day, 1)) {
      const kept = Math.min(f.kept, pen.hens);
      rows.push(['eggs', day, { pen: pen.name, laid: kept + 1, kept }]);
      lots.push({ laid: day, eggs: kept });
    }
    stock.set(pen.name, lots);
  }
  const trays = setters.flatMap(({ name, trays: count }) =>
    Array.from({ length: count }, (_, i) => ({ setter: name, tray: i + 1 })),
  );
  const recorded = [...f.sets].sort((a, b) => b.ago - a.ago);
  recorded.forEach(({ ago, eggs }, i) => {
    const on = addDays(today, -ago);
    const pen = pens[i % pens.length]!;
    const there = stock
      .get(pen.name)!
      .filter(({ laid, eggs: left }) => left > 0 && laid <= on && daysBetween(laid, on) <= f.store);
    let wanted = Math.min(
      eggs,
      smaller(f.holds)(pen.line),
      there.reduce((sum, lot) => sum + lot.eggs, 0),
    );
    const place = trays.shift();
    if (wanted === 0 || !place) return;
    rows.push(['set', on, { set: `R${i + 1}`, pen: pen.name, ...place, eggs: wanted }]);
    for (const lot of there) {
      const taken = Math.min(lot.eggs, wanted);
      lot.eggs -= taken;
      wanted -= taken;
    }
  });

  const hatchers = f.hatchers.map(
    ({ holds, clean, alone }, i) =>
      `  h${i + 1}: {holds: ${tableOf(smaller(holds))}, clean_days: ${clean}, one_set_at_a_time: ${alone}}`,
  );
  const own = f.lines.map(
    ({ ahead, eggs }, i) =>
      `  - {set: K${i + 1}, on: ${addDays(today, ahead)}, setter: s1, trays: [${1 + (i % f.trays[0]!)}], shares: {chickens: ${Math.min(eggs, f.holds)}}${f.hatchers.length > 0 ? ', hatcher: h1' : ''}}`,
  );
  const by = addDays(today, 75);
  const want = f.pullets
    ? `want: pullets, count: ${f.want}, by: ${addDays(by, 165)}`
    : `want: chicks, count: ${f.want}, by: ${by}`;
  const dates = [...new Set(f.dates)].map((ahead) => addDays(today, ahead));
  const head = [
    'format: traybook/1',
    'season: 2027',
    'place: {name: Low Croft, timezone: Europe/London}',
    'lines:',
    ...species.map((kind) => `  ${kind}: {species: ${kind}}`),
    'pens:',
    ...pens.map(
      ({ name, line, hens }) =>
        `  ${name}: {line: ${line}, hens: ${hens}, males: 3, joined: ${JOINED}}`,
    ),
    'setters:',
    ...setters.map(
      ({ name, trays: count }) =>
        `  ${name}: {trays: ${count}, tray_holds: ${tableOf(smaller(f.holds))}}`,
    ),
    ...(hatchers.length > 0 ? ['hatchers:', ...hatchers] : []),
    ...(f.brooder === null ? [] : [`brooders: {barn: {area: ${f.brooder}}}`]),
    `storage: {max_days: ${f.store}}`,
    `days_off: {set: [${f.offSet}], candle: [${f.offCandle}], transfer: [${f.offTransfer}], hatch: [${f.offHatch}], dates: [${dates}]}`,
    'goals:',
    `  - {line: chicken, ${want}, confidence: 0.8}`,
    ...species
      .filter((kind) => kind !== 'chicken')
      .map(
        (kind) =>
          `  - {line: ${kind}, want: chicks, count: ${Math.ceil(f.want / 2)}, by: ${addDays(by, 10)}, confidence: 0.8}`,
      ),
  ];
  return { yaml: seasonText(head, own), rows, today };
}

/** A plain outlook: the birds expected, certain to a tenth. */
const plain =
  (rates: ReturnType<typeof farmRates>) =>
  (base: Season): Outlook =>
    withoutWorlds((shares, wanted) =>
      wanted.map((i) => {
        const goal = goalsOf(base)[i]!;
        const expected = expectedBirds(rates, goal, shares);
        return { expected, sd: 1, probability: expected >= goal.count ? 0.805 : 0.5, error: 0 };
      }),
    );

/** Chickens and ducks that hatch together in one hatcher after the last day for setting. */
const together: Farm = {
  hens: { chicken: 21, duck: 11, turkey: null, bantam: null },
  secondPen: 6,
  trays: [3, 5, 5],
  holds: 39,
  hatchers: [{ holds: 40, clean: 0, alone: false }],
  brooder: 10,
  store: 7,
  offSet: ['mon', 'sun'],
  offCandle: ['mon', 'thu'],
  offTransfer: ['fri'],
  offHatch: [],
  dates: [70],
  days: 24,
  kept: 6,
  sets: [
    { ago: 18, eggs: 13 },
    { ago: 8, eggs: 29 },
    { ago: 20, eggs: 8 },
  ],
  lines: [{ ahead: 13, eggs: 11 }],
  want: 28,
  pullets: false,
  replan: false,
};

test('a plan breaks no rule of check', async () => {
  await fc.assert(
    fc.asyncProperty(farm, async (one) => {
      const farmCase = caseOf(one);
      const { yaml, rows, today } = farmCase;
      const { season, faults } = built(yaml([], true), rows);
      expect(faults).toEqual([]);
      const now = nowAt(today);
      const rates = farmRates(season, [], today);
      const plan = await planSeason(season, now, rates, plain(rates), {
        replan: one.replan,
      });
      expectSound(farmCase, plan, now, { replan: one.replan, store: one.store });
    }),
    { numRuns: RUNS, seed: SEED, endOnFailure: true, examples: [[together]] },
  );
}, 3_600_000);
