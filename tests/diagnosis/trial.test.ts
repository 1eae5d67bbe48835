import { expect, test } from 'vitest';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { trialOf } from '../../src/judge/trial.ts';
import { daysBetween, weekdayOf } from '../../src/text/day.ts';
import { nowAt } from '../support/season.ts';
import { logbook } from './logbook.ts';

const season = (trays: number, more = '') =>
  logbook(`format: traybook/1
season: 2027
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens:
  ash: {line: grey, hens: 10, males: 1, joined: 2026-12-01}
  birch: {line: grey, hens: 10, males: 1, joined: 2026-12-01}
setters: {cabinet: {trays: ${trays}, tray_holds: {chicken: 60}}}
hatchers: {lower: {holds: {chicken: 200}}}
${more}`).season();
const now = nowAt('2027-03-01');
const of = (kind: 'trays' | 'males' | 'storage', trays = 4, more = '') => {
  const one = season(trays, more);
  return trialOf(one, kind, farmRates(one, [], now.day), now);
};

test('halves of a set change sides, and more sets show smaller differences', () => {
  const males = of('males');
  expect(males.sets[0]).toMatchObject({ first: 'pen ash, tray 1', second: 'pen birch, tray 2' });
  expect(males.sets[1]).toMatchObject({ first: 'pen ash, tray 3', second: 'pen birch, tray 4' });
  expect(males.sets[2]).toMatchObject({ first: 'pen ash, tray 2', second: 'pen birch, tray 1' });
  const points = males.shows.map((one) => one.points);
  expect(points).toEqual([...points].sort((a, b) => b - a));
  // n a half for a difference d at level 5 % and power 80 %: 2 p (1 - p) (1.96 + 0.84)² / d² (Fleiss,
  // Statistical Methods for Rates and Proportions, ch. 4, from memory); p is the seed's hatch of set.
  const last = males.shows.at(-1)!;
  const p = 0.88 * 0.95 * 0.98 * 0.87;
  expect(last.points).toBeCloseTo(100 * 2.8016 * Math.sqrt((2 * p * (1 - p)) / last.eggs), 0);
});

test('what cannot be laid out says why', () => {
  expect(of('trays', 1).cannot).toBe('no setter has two trays');
  expect(of('trays').sets).toHaveLength(6);
  expect(of('storage').sets[0]!.second).toMatch(/kept 10 days/);
});

test('no tray has two sets at once, and no work falls on a day off', () => {
  const { sets } = of('trays', 4, 'days_off: {set: [mon, tue], hatch: [sun]}\n');
  expect(sets.length).toBeGreaterThan(2);
  // Chicken eggs leave their tray on day 18 (seeds/species.yaml).
  for (const [i, one] of sets.entries()) {
    expect(['mon', 'tue', 'sun']).not.toContain(weekdayOf(one.on));
    for (const other of sets.slice(i + 1))
      if (other.first === one.first)
        expect(daysBetween(one.on, other.on)).toBeGreaterThanOrEqual(18);
  }
});

test('a planned set is split where the plan leaves a second tray free, and only if it is to come', () => {
  const line = (set: string, on: string, tray: number) =>
    `{set: ${set}, on: ${on}, trays: [${tray}], shares: {ash: 20, birch: 18}}`;
  const plan = (...lines: string[]) => `plan: [${lines.join(', ')}]\n`;
  const free = plan(
    line('A', '2027-03-06', 1),
    line('B', '2027-04-03', 1),
    line('C', '2027-05-01', 2),
  );
  const males = of('males', 2, free);
  expect(males.sets.map((one) => [one.set, one.on, one.eggs])).toEqual([
    ['A', '2027-03-06', 19],
    ['B', '2027-04-03', 19],
    ['C', '2027-05-01', 19],
  ]);
  // Told for all that are laid out.
  expect(males.shows.map((one) => one.sets)).toEqual([2, 3]);
  // What the plan had for last week is not split any more, and B and C lie beside each other.
  const full = plan(
    line('A', '2027-02-20', 1),
    line('B', '2027-04-03', 1),
    line('C', '2027-04-10', 2),
  );
  for (const { set, on } of of('males', 2, full).sets) {
    expect(['A', 'B', 'C']).not.toContain(set);
    expect(on < '2027-03-17' || on >= '2027-04-28').toBe(true);
  }
});

test('eggs are no older than the keeper stores them, and no more than hens lay', () => {
  expect(of('storage', 4, 'storage: {max_days: 9}\n').sets[0]!.second).toMatch(/kept 9 days/);
  expect(of('storage', 4, 'storage: {max_days: 6}\n').cannot).toMatch(/kept for 6 days at most/);
  // Ten hens lay fewer than thirty eggs in three days.
  for (const { eggs } of of('storage').sets) expect(eggs).toBeLessThan(30);
  const few = season(4, '');
  const pens = new Map([...few.pens].map(([name, pen]) => [name, { ...pen, hens: 3 }]));
  const laid = trialOf({ ...few, pens }, 'storage', farmRates(few, [], now.day), now);
  for (const { eggs } of laid.sets) expect(eggs).toBeLessThanOrEqual(9);
});
