import { expect, test } from 'vitest';
import { farmRates } from '../../src/judge/rates/rates.ts';
import { trialOf } from '../../src/judge/trial.ts';
import type { Day } from '../../src/text/day.ts';
import { logbook } from './logbook.ts';

const season = (trays: number) =>
  logbook(`format: traybook/1
season: 2027
place: {name: Test, timezone: UTC, altitude_m: 0}
lines: {grey: {species: chicken}}
pens:
  ash: {line: grey, hens: 10, males: 1, joined: 2026-12-01}
  birch: {line: grey, hens: 10, males: 1, joined: 2026-12-01}
setters: {cabinet: {trays: ${trays}, tray_holds: {chicken: 60}}}
hatchers: {lower: {holds: {chicken: 200}}}
`).season();
const today = '2027-03-01' as Day;
const of = (kind: 'trays' | 'males' | 'storage', trays = 4) => {
  const one = season(trays);
  return trialOf(one, kind, farmRates(one, [], today), today);
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
