// Eggs of two terms in one hatcher: together where they hatch on one day and the keeper allows it, and apart
// where not. Every choice of two days is tried by the words of the guide; the plan finds one that may be, or
// says there is none. Lines of one kind lie in one set, kinds never.
import { expect, test } from 'vitest';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { simulatedOutlook } from '../../src/planner/outlook.ts';
import { planSeason } from '../../src/planner/plan.ts';
import { addDays, type Day, daysBetween, weekdayOf } from '../../src/text/day.ts';
import { nowAt, seasonOf } from '../support/season.ts';
import { Draw } from './farms.ts';
import { kindOf } from './rules.ts';

const today = '2027-03-01' as Day;
const week = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];

async function planned(yaml: string) {
  const season = seasonOf(yaml);
  const rates = farmRates(season, [], today);
  const outlookOf = (base: typeof season) => simulatedOutlook(base, today, rates, 200, 1);
  return await planSeason(season, nowAt(today), rates, outlookOf, { replan: false });
}

const JOINED = '2027-01-11' as Day;
const pens = (hens: Day) =>
  `{yard: {line: buff, hens: 20, males: 3, joined: ${hens}}, pond: {line: harlequin, hens: 20, males: 5, joined: ${JOINED}}}`;

const farm = (parts: Readonly<Record<string, string>>) =>
  Object.entries({
    format: 'traybook/1',
    season: '2027',
    place: '{name: Low Croft, timezone: UTC}',
    lines: '{buff: {species: chicken}, harlequin: {species: duck}}',
    pens: pens(JOINED),
    setters: '{box: {trays: 4, tray_holds: {chicken: 40, duck: 40}}}',
    ...parts,
  })
    .map(([key, value]) => `${key}: ${value}\n`)
    .join('');

/** Days in the hatcher, from the day of setting: moved, hatched, all out. */
const stay = (kind: string) => {
  const { transfer_day, hatch_day, hatch_window_days } = kindOf(kind);
  return { move: transfer_day.value, hatch: hatch_day.value, out: hatch_window_days.value.high };
};

/** May a set of each kind be there on such days? `late`: days that stored eggs may take longer. */
function mayBe(on: Readonly<Record<string, number>>, shared: boolean, clean: number, late: number) {
  const [hen, duck] = ['chicken', 'duck'].map((kind) => {
    const { move, hatch, out } = stay(kind);
    const day = on[kind]!;
    return { from: day + move, to: day + out + late + clean, hatch: day + hatch };
  });
  const meet = hen!.from < duck!.to && duck!.from < hen!.to;
  return !meet || (shared && hen!.hatch === duck!.hatch);
}

test('a 28-day kind goes a week ahead of a 21-day one to hatch with it, or apart from it', async () => {
  const wrong: string[] = [];
  const seen = { together: 0, apart: 0, none: 0 };
  for (let seed = 1; seed <= 24; seed++) {
    const draw = new Draw(seed);
    const shared = draw.chance(0.6);
    const clean = draw.whole(0, 2);
    // Some days on eggs enough are laid.
    const from = addDays(today, draw.whole(4, 7));
    // Now and then hens lay fertile eggs only when the ducks' are set, and one weekday is free.
    const isLate = seed % 2 === 0;
    const to = addDays(from, isLate ? 7 : draw.whole(0, 9));
    const free = isLate ? [weekdayOf(from)] : [draw.of(week), draw.of(week)];
    const joined = isLate ? addDays(from, 1 - kindOf('chicken').fertility_lag_days.value) : JOINED;
    // Ducks by a day that leaves them the first days alone.
    const lastDuck = addDays(from, isLate ? 0 : draw.whole(0, 3));
    const plan = await planned(
      farm({
        pens: pens(joined),
        hatchers: `{lower: {holds: {chicken: 120, duck: 120}, clean_days: ${clean}, one_set_at_a_time: ${!shared}}}`,
        storage: '{max_days: 7}',
        setting: `{from: ${from}, to: ${to}}`,
        days_off: `{set: [${week.filter((day) => !free.includes(day))}]}`,
        goals: `[{line: buff, want: chicks, count: 5, by: 2027-05-01, confidence: 0.7}, {line: harlequin, want: chicks, count: 5, by: ${addDays(lastDuck, stay('duck').out)}, confidence: 0.7}]`,
      }),
    );
    const days = Array.from({ length: daysBetween(from, to) + 1 }, (_, i) => addDays(from, i))
      .filter((day) => free.includes(weekdayOf(day)))
      .map((day) => daysBetween(today, day));
    const fertile = isLate ? days.filter((day) => day > daysBetween(today, from)) : days;
    const pairs = fertile.flatMap((chicken) =>
      days
        .filter((duck) => duck <= daysBetween(today, lastDuck))
        .map((duck) => ({ chicken, duck })),
    );
    const some = (late: number) => pairs.some((on) => mayBe(on, shared, clean, late));
    if (plan.status === 'infeasible') {
      if (some(2)) wrong.push(`seed ${seed}: two days may be, none were found`);
      seen.none++;
      continue;
    }
    const on = Object.fromEntries(
      plan.lines.map((line) => [line.species, daysBetween(today, line.on)]),
    );
    if (plan.lines.length !== 2) wrong.push(`seed ${seed}: ${plan.lines.length} sets, two will do`);
    else if (!mayBe(on, shared, clean, 0)) wrong.push(`seed ${seed}: ${JSON.stringify(on)}`);
    seen[on.chicken! - on.duck! === 7 ? 'together' : 'apart']++;
  }
  expect(wrong).toEqual([]);
  for (const times of Object.values(seen)) expect(times).toBeGreaterThan(1);
});

test('lines of one kind lie in one set, two kinds in sets of their own', async () => {
  const parts = (second: string) => ({
    lines: `{buff: {species: chicken}, harlequin: {species: ${second}}}`,
    hatchers:
      '{lower: {holds: {chicken: 120, duck: 120}}, upper: {holds: {chicken: 120, duck: 120}}}',
    storage: '{max_days: 7}',
    goals:
      '[{line: buff, want: chicks, count: 5, by: 2027-05-01, confidence: 0.7}, {line: harlequin, want: chicks, count: 5, by: 2027-05-01, confidence: 0.7}]',
  });
  const one = await planned(farm(parts('chicken')));
  expect(one.lines.map(({ shares }) => Object.keys(shares).sort())).toEqual([['pond', 'yard']]);
  const two = await planned(farm(parts('duck')));
  expect(two.lines.map(({ shares }) => Object.keys(shares)).sort()).toEqual([['pond'], ['yard']]);
});
