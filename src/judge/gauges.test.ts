import { expect, test } from 'vitest';
import { hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { bandsOn, machineStays } from '../facts/machine-bands.ts';
import type { Day } from '../text/day.ts';
import { gaugesOf } from './gauges.ts';
import { readingsOf } from './review/readings.ts';

const geese = hill
  .replace('harlequin: {species: duck}', 'harlequin: {species: goose}')
  .replace('duck: 30', 'goose: 30');
const reading = (on: string, dry: number): Written => [
  'reading',
  on,
  { machine: 'cabinet', dry, rh: 55 },
];
const rows: Written[] = [
  ['set', '2027-03-06', { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 20 }],
  ['set', '2027-03-13', { set: 'G1', pen: 'pond', setter: 'cabinet', tray: 2, eggs: 10 }],
  reading('2027-03-05T08:00', 37.5),
  reading('2027-03-12T08:00', 37.7),
  reading('2027-03-13T08:00', 37.7),
  reading('2027-03-14T08:00', 37.4),
  reading('2027-03-15T08:00', 37.4),
];

test('a machine should read what all eggs in it wanted on that day, as alarms have it', () => {
  const season = seasonOf(geese, rows);
  const { temperature } = gaugesOf(season)[0]!;
  const stays = machineStays(season);
  const own = (day: string) => bandsOn(season, stays, 'cabinet', day as Day)?.temperature ?? null;
  // Before the first eggs it was made ready for them.
  expect(own('2027-03-05')).toBeNull();
  expect(temperature!.readings.map(({ band }) => band)).toEqual(
    ['2027-03-12', '2027-03-12', '2027-03-13', '2027-03-13', '2027-03-13'].map(own),
  );
  expect(own('2027-03-13')!.high).toBeLessThan(own('2027-03-12')!.high);
  expect(temperature!.target).toEqual(own('2027-03-13'));
  expect(temperature!.daily.map(({ aim }) => aim)).toEqual(
    temperature!.readings.map(({ band }) => band.aim),
  );
  // 37.7 °C suits chickens alone, and stands for the day up to the next reading.
  expect(readingsOf(season)[0]!.temperature_c!.outOfRange).toBeCloseTo(24 / (24 * 4 + 1), 10);
});

test('a machine that never held an egg is judged by nothing', () => {
  const [gauge] = gaugesOf(seasonOf(geese, [reading('2027-03-05T08:00', 37.5)]));
  expect([gauge!.temperature, gauge!.humidity]).toEqual([null, null]);
});
