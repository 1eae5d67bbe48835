import { expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { eggsADay } from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { Worlds } from '../judge/rates/worlds.ts';
import { addDays, numberOfDay } from '../text/day.ts';
import { eggsToCome } from './egg-store.ts';
import { hensInLay, layEnds } from './laying.ts';

// The orchard of the hill has chickens; as geese it lays for a season that ends.
const geese = hill.replace('sussex: {species: chicken', 'sussex: {species: goose');
const laid = (on: string, kept: number): Written => [
  'eggs',
  on,
  { pen: 'orchard', laid: kept, kept },
];
const change = (on: string, what: string, birds: number): Written => [
  'pen-change',
  on,
  { pen: 'orchard', change: what, birds, sex: 'female' },
];
const penOf = (season: ReturnType<typeof seasonOf>) => season.pens.get('orchard')!;

test('a broody hen lays again after the days of sitting and two weeks more, or when the keeper says', () => {
  // decorwithstyle.com (seeds/work.yaml): 21 to 35 days in all; a chicken sits 21.
  const season = seasonOf(hill, [
    change('2027-03-01', 'broody', 2),
    change('2027-03-20', 'laying', 1),
  ]);
  const pen = penOf(season);
  const on = (text: string) => hensInLay(pen, day(text));
  expect([on('2027-02-28'), on('2027-03-01'), on('2027-03-20')]).toEqual([
    pen.hens,
    pen.hens - 2,
    pen.hens - 1,
  ]);
  expect([on('2027-04-04'), on('2027-04-05')]).toEqual([pen.hens - 1, pen.hens]);
});

test('moulting hens rest for ten weeks, the middle of eight to twelve (extension text, copy)', () => {
  const pen = penOf(seasonOf(hill, [change('2027-03-01', 'moulting', 3)]));
  expect(hensInLay(pen, day('2027-05-09'))).toBe(pen.hens - 3);
  expect(hensInLay(pen, day('2027-05-10'))).toBe(pen.hens);
  const gone = penOf(
    seasonOf(hill, [change('2027-03-01', 'moulting', pen.hens), change('2027-03-02', 'died', 1)]),
  );
  expect(hensInLay(gone, day('2027-03-03'))).toBe(0);
});

test('young geese stop 122 days after the first egg (Breeder geese, read), a week later if they lay on', () => {
  expect(layEnds(seasonOf(geese), penOf(seasonOf(geese)))).toBeNull();
  const first = seasonOf(geese, [laid('2027-02-10', 3)]);
  expect(layEnds(first, penOf(first))).toBe(addDays(day('2027-02-10'), 122));
  const on = seasonOf(geese, [laid('2027-02-10', 3), laid('2027-06-20', 2)]);
  expect(layEnds(on, penOf(on))).toBe('2027-06-27');
});

test('eggs to come follow the hens in lay, in the store as in the simulation', () => {
  const rows = [laid('2027-02-10', 3), change('2027-03-01', 'broody', 2)];
  const season = seasonOf(geese, rows);
  const pen = penOf(season);
  const today = day('2027-03-05');
  const rates = farmRates(season, [], today);
  const end = layEnds(season, pen)!;
  const until = addDays(end, 60);
  const held = eggsToCome(season, 'orchard', today, until, () => eggsADay(rates, pen));
  expect(held.at(-1)!.laid).toBeLessThan(numberOfDay(end));
  const plain = seasonOf(geese, rows.slice(0, 1));
  const all = eggsToCome(plain, 'orchard', today, until, () => eggsADay(rates, penOf(plain)));
  const sum = (lots: typeof held) => lots.reduce((eggs, lot) => eggs + lot.left, 0);
  // A goose sits 30 days: two of them rest until the 44th day, 39 more after today.
  const rested = 2 * 39 * (eggsADay(rates, pen) / pen.hens);
  expect(Math.abs(sum(all) - sum(held) - rested)).toBeLessThanOrEqual(1);
  const worlds = new Worlds(season, today, rates, 400, 1);
  const laying = worlds.layingOf(pen, until);
  expect([...laying.until(until)]).toEqual([...laying.until(end)]);
  expect(laying.expected(until).at(-1)!.day < end).toBe(true);
});
