import { expect, test } from 'vitest';
import { nowAt, seasonOf, type Written } from '../../tests/support/season.ts';
import { farmRates } from '../judge/rates/rates.ts';
import type { Season } from '../season/model.ts';
import { Effort } from './effort.ts';
import { goalsInReach } from './goals-in-reach.ts';
import { waysOutOf } from './limits.ts';
import { mendedPlan } from './mend.ts';
import { simulatedOutlook } from './outlook.ts';
import { planSeason, withLines } from './plan.ts';

const now = nowAt('2027-02-01');
const yaml = `format: traybook/1
season: 2027
place: {name: Low Croft, timezone: Europe/London}
lines: {sussex: {species: chicken}}
pens: {north: {line: sussex, hens: 14, males: 2, joined: 2027-01-11}}
setters: {cabinet: {trays: 2, tray_holds: {chicken: 40}}}
hatchers: {lower: {holds: {chicken: 40}, clean_days: 1}}
storage: {max_days: 8}
days_off: {set: [mon, tue, thu, fri, sun]}
goals: [{line: sussex, want: chicks, count: 30, by: 2027-05-20, confidence: 0.8}]
`;
const outlookOf = (season: Season) =>
  simulatedOutlook(season, now.day, farmRates(season, [], now.day), 400, 1);
const planned = (season: Season) =>
  planSeason(season, now, farmRates(season, [], now.day), outlookOf, { replan: false });

test('a plan that is written asks for nothing more, and gives the chance it promised', async () => {
  const season = seasonOf(yaml);
  const plan = await planned(season);
  expect(plan.status).not.toBe('infeasible');
  const again = await planned(withLines(season, plan.lines));
  expect(again.lines).toEqual([]);
  expect(again.claims[0]!.probability).toBeCloseTo(plan.claims[0]!.probability, 10);
});

test('what storage takes of a plan is the same when its lines are kept', async () => {
  const season = seasonOf(yaml.replace('hens: 14', 'hens: 6'));
  const plan = await planned(season);
  expect(plan.loss).toBeGreaterThan(0);
  const kept = await planned(withLines(season, plan.lines));
  expect(kept.lines).toEqual([]);
  expect(kept.loss).toBeCloseTo(plan.loss, 10);
});

test('birds promised to others leave before those that are kept', async () => {
  const eggs = async (text: string) =>
    (await planned(seasonOf(text))).lines.reduce((sum, line) => sum + line.eggs, 0);
  const order =
    'orders: [{for: market, line: sussex, want: chicks, count: 12, by: 2027-05-20, confidence: 0.8}]\n';
  expect(await eggs(yaml + order)).toBeGreaterThan((await eggs(yaml)) + 12);
});

test('chicks find no room in a brooder that is closed, and those of orders alone need none', async () => {
  const barn = (area: number, closed: string) =>
    `${yaml.replace('want: chicks, count: 30, by: 2027-05-20', 'want: pullets, count: 10, by: 2027-09-25')}brooders: {barn: {area: ${area}, closed: [{from: 2027-01-01, to: ${closed}}]}}\n`;
  const days = async (text: string) => (await planned(seasonOf(text))).lines.map(({ on }) => on);
  // Eggs are set on Saturdays; those of 20 March hatch on 10 April.
  const [first] = await days(barn(20, '2027-04-09'));
  expect(first).toBe('2027-03-20');
  expect(await days(barn(20, '2027-04-10'))).not.toContain('2027-03-20');
  // Where only an order wants chicks, at the hatch, no room is asked of a brooder.
  const order = barn(0.1, '2027-01-02').replace(
    /goals: .*/,
    'orders: [{for: market, line: sussex, want: chicks, count: 12, by: 2027-05-20}]',
  );
  expect(await days(order)).not.toEqual([]);
});

test('the nearest plan leaves room for a kind that can be had, where another cannot', async () => {
  const season = seasonOf(
    `${yaml
      .replace(
        '{sussex: {species: chicken}}',
        '{sussex: {species: chicken}, pekin: {species: duck}}',
      )
      .replace(
        'joined: 2027-01-11}',
        'joined: 2027-01-11}, pond: {line: pekin, hens: 9, males: 2, joined: 2027-01-01}',
      )
      .replace(
        'trays: 2, tray_holds: {chicken: 40}',
        'trays: 2, tray_holds: {chicken: 10, duck: 10}',
      )
      .replace(/hatchers: .*\n/, '')
      .replace('count: 30', 'count: 90')
      .replace(
        /}]\n$/,
        '}, {line: pekin, want: chicks, count: 2, by: 2027-05-20, confidence: 0.8}]\n',
      )}setting: {to: 2027-02-14}\n`,
  );
  const { status, claims } = await planned(season);
  expect([status, ...claims.map(({ met }) => met)]).toEqual(['infeasible', false, true]);
});

test('what is past asks for nothing, and its birds are still its own', async () => {
  const order = (by: string, want = 'chicks') =>
    `{for: market, line: sussex, want: ${want}, count: 12, by: ${by}}`;
  const all = [order('2027-01-31'), order('2027-02-01'), order('2027-01-31', 'eggs')];
  const { season, left, isEmpty } = goalsInReach(
    seasonOf(`${yaml}orders: [${all.join(', ')}]\n`),
    now,
  );
  expect(season.values.orders.map(({ confidence }) => confidence)).toEqual([0, 0.9, 0]);
  expect(isEmpty).toBe(false);
  expect(left).toEqual(['12 sussex chicks by 2027-01-31 for market: the day is past; left out']);
  const [past] = (await planned(season)).claims.filter(({ claim }) => claim.by < now.day);
  expect(past!.met).toBe(true);
});

test('mended, a plan keeps the lines that can stand and tells why others go', async () => {
  const season = seasonOf(yaml);
  const { lines } = await planned(season);
  const written = withLines(season, lines);
  const { transfer } = lines.at(-1)!;
  const lower = season.hatchers.get('lower')!;
  const closed = [{ from: transfer, to: transfer }];
  const broken = { ...written, hatchers: new Map([['lower', { ...lower, closed }]]) };
  const rates = farmRates(season, [], now.day);
  const { changes } = await mendedPlan(broken, now, rates, outlookOf, { replan: false });
  expect(changes[0]!.set).toBe(lines.at(-1)!.set);
  expect(changes[0]!.why).toContain('closed');
  expect(changes.length).toBeLessThan(lines.length + 2);
});

test('mended, a line that goes far gives its name to no other, and no name is used twice', async () => {
  const closed = `${yaml
    .replace(
      'hatchers: {lower: {holds: {chicken: 40}, clean_days: 1}}',
      'hatchers: {lower: {holds: {chicken: 40}, clean_days: 1, closed: [{from: 2027-04-10, to: 2027-05-20}]}}',
    )
    .replace('count: 30', 'count: 60')}plan:
  - {set: S1, on: 2027-02-10, trays: [1], shares: {north: 30}, hatcher: lower}
  - {set: S2, on: 2027-04-10, trays: [1], shares: {north: 30}, hatcher: lower}
`;
  const season = seasonOf(closed);
  const rates = farmRates(season, [], now.day);
  const { changes, plan } = await mendedPlan(season, now, rates, outlookOf, { replan: false });
  expect(plan.status).not.toBe('infeasible');
  const names = changes.map(({ set }) => set);
  expect(new Set(names).size).toBe(names.length);
  expect(changes.find(({ set }) => set === 'S2')!.after).not.toBeNull();
  const sets = plan.sets.map(({ set }) => set);
  expect(new Set(sets).size).toBe(sets.length);
});

test('mended, a line gives up eggs that will not be there, and a pen that fails is planned for no more', async () => {
  const two = yaml.replace(
    'pens: {',
    'pens: {south: {line: sussex, hens: 14, males: 2, joined: 2027-01-11}, ',
  );
  const head = (rows: readonly Written[], plan: string) => seasonOf(`${two}plan:\n${plan}`, rows);
  const mended = (season: Season) =>
    mendedPlan(season, now, farmRates(season, [], now.day), outlookOf, { replan: false });
  const many = '  - {set: S9, on: 2027-02-03, trays: [1], shares: {south: 9, north: 28}}\n';
  const less = await mended(head([], many));
  expect(less.changes[0]!.set).toBe('S9');
  expect(less.changes[0]!.why).toContain('28 eggs of north planned');
  expect(less.lines[0]).toMatchObject({ set: 'S9', on: '2027-02-03', trays: [1] });
  expect(less.lines[0]!.shares.south).toBe(9);
  expect(less.lines[0]!.shares.north).toBeLessThan(28);

  const seen: Written[] = [
    ['eggs', '2027-01-20', { pen: 'north', laid: 40, kept: 39 }],
    ['set', '2027-01-20', { set: 'S1', pen: 'north', setter: 'cabinet', tray: 2, eggs: 39 }],
    ['candling', '2027-01-27', { set: 'S1', clear: 37 }],
  ];
  const both = '  - {set: S9, on: 2027-02-10, trays: [1], shares: {south: 20, north: 18}}\n';
  const failed = await mended(head(seen, both));
  expect(failed.changes[0]).toMatchObject({
    set: 'S9',
    after: '2027-02-10: south 20',
    why: 'north: 2 of 39 fertile, so its eggs no longer count',
  });
  expect(failed.lines.flatMap(({ shares }) => Object.keys(shares))).not.toContain('north');
});

test('stopped before there is a plan it has none and says so; ways out found before stay', async () => {
  const season = seasonOf(yaml.replace('count: 30', 'count: 300'));
  const rates = farmRates(season, [], now.day);
  let turns = Number.POSITIVE_INFINITY;
  const effort = () => new Effort(undefined, undefined, async () => --turns < 0);
  const plan = (one: Effort) =>
    planSeason(season, now, rates, outlookOf, { replan: false, effort: one });
  turns = 0;
  expect(await plan(effort())).toMatchObject({
    interrupted: true,
    status: 'infeasible',
    lines: [],
    claims: [{ met: false }],
  });
  turns = Number.POSITIVE_INFINITY;
  const whole = effort();
  const nearest = await plan(whole);
  expect(nearest.interrupted).toBe(false);
  const asking = { season, now, rates, outlookOf, options: { replan: false } };
  const ways = await waysOutOf(asking, nearest, whole, () => {
    turns = 0;
  });
  expect(ways.instead).toHaveLength(1);
  expect(ways.limits).toEqual([]);
});

test('mended where not all can be met, the plan is as near to it as one made anew', async () => {
  // Eggs are kept from 5 February on. Chicks must be out by 4 March, 22 days after 10 February
  // (seeds/species.yaml), and the hatcher takes one set in those days: that of 8 February has fewer eggs.
  const season = seasonOf(
    `${yaml
      .replace(/days_off.*\n/, '')
      .replace('count: 30, by: 2027-05-20', 'count: 22, by: 2027-03-04')
      .replace(
        'joined: 2027-01-11',
        'joined: 2027-01-29',
      )}plan: [{set: A, on: 2027-02-08, setter: cabinet, trays: [1], shares: {north: 40}, hatcher: lower}]\n`,
  );
  const rates = farmRates(season, [], now.day);
  const anew = await planSeason(season, now, rates, outlookOf, { replan: true });
  const { plan, changes } = await mendedPlan(season, now, rates, outlookOf, { replan: false });
  expect([anew.status, plan.status]).toEqual(['infeasible', 'infeasible']);
  expect(plan.claims[0]!.probability).toBeCloseTo(anew.claims[0]!.probability, 2);
  expect(changes.map(({ set }) => set)).toContain('A');
});
