import { expect, test } from 'vitest';
import { breakoutsOf, keepingOf, lookCounts } from '../../src/judge/model/likelihood.ts';
import { conditional, ends, failing } from '../../src/judge/model/stages.ts';
import { logbook } from './logbook.ts';

const yaml = `format: traybook/1
season: 2027
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens: {ash: {line: grey, hens: 10, males: 1, joined: 2026-12-01}}
setters: {cabinet: {trays: 4, tray_holds: {chicken: 90}}}
hatchers: {lower: {holds: {chicken: 200}}}
`;
const odds = { infertile: -2, early: -2.9, middle: -4, late: -2.8, pipped: -3.8 };

function countsOf(candled: boolean, opened: boolean) {
  const book = logbook(yaml);
  book.row('set', '2027-03-01', { set: 'A', pen: 'ash', tray: 1, eggs: 60 });
  if (candled) book.row('candling', '2027-03-08', { set: 'A', pen: 'ash', clear: 8, quit: 2 });
  book.row('transfer', '2027-03-19', {
    set: 'A',
    pen: 'ash',
    moved: candled ? 49 : 60,
    quit: candled ? 1 : 0,
  });
  book.row('hatch', '2027-03-22', {
    set: 'A',
    pen: 'ash',
    hatched: 44,
    pipped: 1,
    unpipped: candled ? 4 : 15,
    final: 'yes',
  });
  if (opened)
    book.row('breakout', '2027-03-08', {
      set: 'A',
      pen: 'ash',
      from: 'clear',
      infertile: 7,
      early: 1,
    });
  const season = book.season();
  const pools = breakoutsOf(season);
  return lookCounts(
    season.sets.get('A')!.shares[0]!,
    pools.get('A\nash'),
    keepingOf(season, pools),
  );
}

test('an egg is counted once: each look counts what the one before left', () => {
  for (const rows of [countsOf(true, false), countsOf(true, true), countsOf(false, false)]) {
    expect(rows[0]!.n).toBe(60);
    for (let i = 1; i < rows.length; i++) expect(rows[i]!.n).toBe(rows[i - 1]!.n - rows[i - 1]!.x);
    expect(rows.at(-1)!.n - rows.at(-1)!.x).toBe(44);
  }
});

test('the chain of binomials is the multinomial of the cells, summed over stages they cannot tell apart', () => {
  const rows = countsOf(true, false);
  // Of those that reach a stage its odds fail there; the rest get out.
  let reached = 1;
  const chances = ends.map((_, i) => {
    const stage = failing[i];
    const fails = stage === undefined ? 1 : 1 / (1 + Math.exp(-odds[stage]));
    const here = reached * fails;
    reached -= here;
    return here;
  });
  let chain = 0;
  for (const { x, n, cell, rest } of rows) {
    const p = conditional(odds, cell, rest);
    chain += x * Math.log(p) + (n - x) * Math.log(1 - p);
  }
  // Written out: each cell's chance is the sum of its parts of the ends; what is left hatched.
  const masses = rows.map(({ cell }) => cell.reduce((sum, part, i) => sum + part * chances[i]!, 0));
  const left = rows.at(-1)!.rest.reduce((sum, part, i) => sum + part * chances[i]!, 0);
  expect(masses.reduce((sum, mass) => sum + mass, left)).toBeCloseTo(1, 12);
  const whole =
    rows.reduce((sum, { x }, i) => sum + x * Math.log(masses[i]!), 0) + 44 * Math.log(left);
  expect(chain).toBeCloseTo(whole, 9);
});

test('a keeper who only looks at the hatch is asked of all stages at once, not of one', () => {
  const rows = countsOf(false, false);
  expect(rows.map((row) => row.stream)).toEqual(['unpipped', 'pipped']);
  expect(rows[0]).toMatchObject({ x: 15, n: 60 });
  // Infertile, early, mid-term and late ends all lie in the one cell.
  expect(rows[0]!.cell.slice(0, 4).every((part) => part > 0.9)).toBe(true);
});
