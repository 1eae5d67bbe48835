// Random farms: whatever the plan, it breaks no rule that `check` knows, and every figure adds up.
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { conflictsOf } from '../../src/compute/checks/index.ts';
import { goalsOf, readyDay } from '../../src/compute/plan/goals.ts';
import { meanRate } from '../../src/compute/plan/needs.ts';
import { type Outlook, planSeason, withLines } from '../../src/compute/plan/plan.ts';
import { farmRates } from '../../src/compute/plan/rates.ts';
import { type Rows, recordNames } from '../../src/records/index.ts';
import { buildSeason } from '../../src/season/build.ts';
import type { Now, Season } from '../../src/season/model.ts';
import { readSeasonFile } from '../../src/season/read-file.ts';
import { parseDay } from '../../src/text/day.ts';

const RUNS = Number(process.env.PLAN_RUNS ?? 12);
const now: Now = {
  instant: Date.parse('2027-02-01T07:00:00Z'),
  day: parseDay('2027-02-01')!,
  time: '07:00',
};

const farm = fc.record({
  hens: fc.integer({ min: 4, max: 25 }),
  ducks: fc.option(fc.integer({ min: 4, max: 12 })),
  trays: fc.integer({ min: 1, max: 5 }),
  setters: fc.integer({ min: 1, max: 2 }),
  holds: fc.integer({ min: 20, max: 50 }),
  hatcher: fc.integer({ min: 20, max: 90 }),
  hatchers: fc.integer({ min: 1, max: 2 }),
  clean: fc.integer({ min: 0, max: 3 }),
  alone: fc.boolean(),
  store: fc.integer({ min: 4, max: 12 }),
  off: fc.constantFrom('sun', 'mon, tue, wed, thu, sun', 'sat, sun, wed'),
  offHatch: fc.constantFrom('', 'sun', 'fri'),
  want: fc.integer({ min: 3, max: 40 }),
  wantDucks: fc.integer({ min: 3, max: 20 }),
  kept: fc.boolean(),
});

function seasonOf(f: Record<string, number | boolean | string | null>): Season {
  const duck = f.ducks !== null;
  const text = [
    'format: traybook/1',
    'season: 2027',
    'place: {name: Low Croft, timezone: Europe/London}',
    'lines:',
    '  sussex: {species: chicken}',
    ...(duck ? ['  pekin: {species: duck}'] : []),
    'pens:',
    `  north: {line: sussex, hens: ${f.hens}, males: 3, joined: 2027-01-25}`,
    ...(duck ? [`  pond: {line: pekin, hens: ${f.ducks}, males: 3, joined: 2027-01-25}`] : []),
    'setters:',
    ...Array.from(
      { length: Number(f.setters) },
      (_, i) =>
        `  s${i + 1}: {trays: ${f.trays}, tray_holds: {chicken: ${f.holds}, duck: ${Math.ceil(Number(f.holds) * 0.7)}}}`,
    ),
    'hatchers:',
    ...Array.from(
      { length: Number(f.hatchers) },
      (_, i) =>
        `  h${i + 1}: {holds: {chicken: ${f.hatcher}, duck: ${Math.ceil(Number(f.hatcher) * 0.7)}}, clean_days: ${f.clean}, one_set_at_a_time: ${f.alone}}`,
    ),
    `storage: {max_days: ${f.store}}`,
    `days_off: {set: [${f.off}], hatch: [${f.offHatch}]}`,
    'goals:',
    `  - {line: sussex, want: chicks, count: ${f.want}, by: 2027-04-10, confidence: 0.8}`,
    ...(duck
      ? [`  - {line: pekin, want: chicks, count: ${f.wantDucks}, by: 2027-04-20, confidence: 0.8}`]
      : []),
    ...(f.kept
      ? [
          'plan:',
          '  - {set: S1, on: 2027-02-12, setter: s1, trays: [1], shares: {north: 9}, hatcher: h1}',
        ]
      : []),
    '',
  ].join('\n');
  const read = readSeasonFile({ path: 'season.yaml', text });
  expect(read.faults).toEqual([]);
  const rows = Object.fromEntries(recordNames.map((name) => [name, []])) as unknown as Rows;
  return buildSeason(read.file!, rows).season;
}

test('a plan breaks no rule of check', async () => {
  await fc.assert(
    fc.asyncProperty(farm, async (one) => {
      const season = seasonOf(one);
      const rates = farmRates(season, [], now.day);
      // A plain outlook: the birds expected, certain to a tenth.
      const outlookOf =
        (base: Season): Outlook =>
        (shares) =>
          goalsOf(base).map((goal) => {
            const expected = shares
              .filter(({ pen, on }) => pen.line === goal.line && readyDay(goal, on) <= goal.by)
              .reduce((sum, { pen, eggs }) => sum + eggs * meanRate(rates, goal, pen), 0);
            return { expected, sd: 1, probability: expected >= goal.count ? 0.805 : 0.5 };
          });
      const plan = await planSeason(season, now, rates, outlookOf, { replan: false, finer: false });
      const before = conflictsOf(season, now).length;
      expect(conflictsOf(withLines(season, plan.lines), now)).toHaveLength(before);
      for (const line of plan.lines) {
        const setter = season.setters.get(line.setter)!;
        const hatcher = season.hatchers.get(line.hatcher!)!;
        const eggs = Object.values(line.shares).reduce((sum, n) => sum + n, 0);
        expect(eggs).toBe(line.eggs);
        expect(eggs).toBeLessThanOrEqual(line.trays.length * setter.tray_holds[line.species]!);
        expect(eggs).toBeLessThanOrEqual(hatcher.holds[line.species]!);
        expect(line.oldestDays).toBeLessThanOrEqual(Number(one.store));
        expect(line.on >= now.day).toBe(true);
      }
      expect(plan.fewest).toBeLessThanOrEqual(plan.lines.length);
    }),
    { numRuns: RUNS, seed: 20_270_201, endOnFailure: true },
  );
}, 600_000);
