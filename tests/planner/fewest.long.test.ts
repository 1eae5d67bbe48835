// The fewest sets, found by trying every choice of days and trays: on small farms of one pen and one goal a
// plan has no more, and is not called best possible where one has fewer. For one pen and one goal a set
// that takes all it can never leaves too little: what it takes a later one would take older.
import { expect, test } from 'vitest';
import { eggsToCome } from '../../src/facts/egg-store.ts';
import { layIsGood } from '../../src/facts/laying.ts';
import { eggsADay } from '../../src/judge/rates/expected-chicks.ts';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { simulatedOutlook } from '../../src/planner/outlook.ts';
import { planSeason } from '../../src/planner/plan.ts';
import { addDays, type Day, dayOfNumber, numberOfDay, weekdayOf } from '../../src/text/day.ts';
import { nowAt, seasonOf } from '../support/season.ts';
import { Draw } from './farms.ts';
import { kindOf, number } from './rules.ts';

const FARMS = Number(process.env.PLAN_FARMS ?? 12);
const FIRST = Number(process.env.PLAN_FIRST ?? 1);
const DRAWS = 500;
const WEEKS = 7;
const today = '2027-02-01' as Day;

function smallFarm(draw: Draw) {
  const day = draw.of(['tue', 'thu', 'sat'] as const);
  const off = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'].filter((one) => one !== day);
  const hens = draw.whole(4, 12);
  const trays = draw.whole(1, 2);
  const holds = draw.whole(12, 40);
  const last = addDays(today, WEEKS * 7);
  const { hatch_window_days } = kindOf('chicken');
  const yaml = `format: traybook/1
season: 2027
place: {name: Low Croft, timezone: UTC}
lines: {buff: {species: chicken}}
pens: {yard: {line: buff, hens: ${hens}, males: 2, joined: 2027-01-18}}
setters: {box: {trays: ${trays}, tray_holds: {chicken: ${holds}}}}
hatchers: {lower: {holds: {chicken: 200}, clean_days: ${draw.whole(0, 1)}}}
storage: {max_days: ${draw.whole(6, 10)}}
days_off: {set: [${off}]}
goals: [{line: buff, want: chicks, count: ${draw.whole(4, 4 * hens)}, by: ${addDays(last, hatch_window_days.value.high)}, confidence: ${draw.of([0.7, 0.8, 0.9])}}]
`;
  return { yaml, day, trays, holds, last };
}

/** The fewest sets of any choice that meets the goal; null where none of up to four does. */
function fewestOf({ yaml, day, trays, holds, last }: ReturnType<typeof smallFarm>) {
  const season = seasonOf(yaml);
  const rates = farmRates(season, [], today);
  const outlook = simulatedOutlook(season, today, rates, DRAWS, 1);
  const pen = season.pens.get('yard')!;
  const [goal] = season.values.goals;
  const kind = kindOf('chicken');
  const days: Day[] = [];
  for (let at = today; at <= last; at = addDays(at, 1)) if (weekdayOf(at) === day) days.push(at);
  const most = season.values.storage.max_days as number;
  const laid = eggsToCome(season, 'yard', today, last, () => eggsADay(rates, pen)).filter((lot) =>
    layIsGood(pen, dayOfNumber(lot.laid)),
  );
  const clean = season.hatchers.get('lower')!.clean_days;
  const stay = kind.hatch_window_days.value.high - kind.transfer_day.value + clean;

  /** Whole eggs that sets take, each as many as there are and as fit; null where they have no room. */
  const taken = (chosen: readonly { on: Day; trays: number }[]) => {
    for (const one of chosen) {
      const at = number(one.on);
      const lying = chosen.filter(
        ({ on }) => number(on) <= at && at < number(on) + kind.transfer_day.value,
      );
      if (lying.reduce((sum, { trays: n }) => sum + n, 0) > trays) return null;
      if (chosen.some(({ on }) => number(on) < at && at < number(on) + stay)) return null;
    }
    const store = laid.map((lot) => ({ ...lot }));
    return chosen.map(({ on, trays: n }) => {
      const at = numberOfDay(on);
      const room = n * holds;
      let eggs = 0;
      for (const lot of store.toReversed()) {
        if (lot.laid > at || at - lot.laid > most) continue;
        const part = Math.min(lot.left, room - eggs);
        lot.left -= part;
        eggs += part;
      }
      return { on, eggs };
    });
  };
  const isMet = (chosen: readonly { on: Day; trays: number }[]): boolean => {
    const sets = taken(chosen);
    if (sets === null) return false;
    const shares = sets.map(({ on, eggs }, i) => ({ set: `S${i}`, pen, on, eggs }));
    return outlook(shares, [0])[0]!.probability >= goal!.confidence - 0.0005;
  };
  const search = (left: number, from: number, chosen: { on: Day; trays: number }[]): boolean => {
    if (left === 0) return isMet(chosen);
    for (let at = from; at < days.length; at++)
      for (let n = trays; n >= 1; n--)
        if (search(left - 1, at + 1, [...chosen, { on: days[at]!, trays: n }])) return true;
    return false;
  };
  for (let sets = 1; sets <= 4; sets++) if (search(sets, 0, [])) return sets;
  return null;
}

test('no choice of days and trays has fewer sets', async () => {
  const found: string[] = [];
  let asked = 0;
  for (let seed = FIRST; seed < FIRST + FARMS; seed++) {
    const farm = smallFarm(new Draw(seed));
    const season = seasonOf(farm.yaml);
    const rates = farmRates(season, [], today);
    const plan = await planSeason(
      season,
      nowAt(today),
      rates,
      (base) => simulatedOutlook(base, today, rates, DRAWS, 1),
      { replan: false },
    );
    const least = fewestOf(farm);
    if (least === null) continue;
    asked++;
    const sets = plan.lines.length;
    if (plan.status === 'infeasible') found.push(`farm ${seed}: ${least} sets do, none were found`);
    else if (sets > least) found.push(`farm ${seed}: ${sets} sets, and ${least} do`);
    if (plan.fewest > least)
      found.push(`farm ${seed}: ${least} do, and ${plan.fewest} are said to be the fewest`);
  }
  expect(found).toEqual([]);
  expect(asked).toBeGreaterThan(FARMS / 2);
});
