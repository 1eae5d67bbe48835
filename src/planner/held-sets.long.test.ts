import { expect, test } from 'vitest';
import { scattered } from '../../tests/support/large-farms.ts';
import { nowAt, seasonOf } from '../../tests/support/season.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { planSeason } from './plan.ts';

test('where one goal is short of eggs, another with more than it asks leaves it some', async () => {
  // Chicken and bantam hatch in the same sets of the one hatcher.
  const season = seasonOf(`format: traybook/1
season: 2027
place: {name: Low Croft, timezone: Europe/London}
lines:
  chicken: {species: chicken}
  duck: {species: duck}
  bantam: {species: bantam}
  goose: {species: goose}
pens:
  chickens: {line: chicken, hens: 10, males: 3, joined: 2027-01-25}
  ducks: {line: duck, hens: 3, males: 3, joined: 2027-01-25}
  bantams: {line: bantam, hens: 17, males: 3, joined: 2027-01-25}
  gooses: {line: goose, hens: 3, males: 3, joined: 2027-01-25}
  yard: {line: chicken, hens: 10, males: 3, joined: 2027-01-25}
setters:
  s1: {trays: 3, tray_holds: {chicken: 36, duck: 26, bantam: 44, goose: 13}}
hatchers:
  h1: {holds: {chicken: 79, duck: 56, bantam: 95, goose: 28}, clean_days: 3, one_set_at_a_time: false}
brooders: {barn: {area: 11}}
storage: {max_days: 10}
days_off: {set: [mon,sun], candle: [tue,sun], transfer: [wed], hatch: [tue], dates: [2027-02-22,2027-03-02]}
goals:
  - {line: chicken, want: chicks, count: 70, by: 2027-05-03, confidence: 0.8}
  - {line: duck, want: chicks, count: 5, by: 2027-04-27, confidence: 0.8}
  - {line: bantam, want: chicks, count: 65, by: 2027-04-24, confidence: 0.8}
  - {line: goose, want: chicks, count: 9, by: 2027-05-03, confidence: 0.8}
`);
  const now = nowAt('2027-01-26');
  const rates = farmRates(season, [], now.day);
  const plan = await planSeason(season, now, rates, scattered(rates), {
    replan: false,
    finer: false,
  });
  expect(plan.goals.map(({ met }) => met)).toEqual([true, true, true, true]);
});
