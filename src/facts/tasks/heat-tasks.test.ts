import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { warmTasks } from './heat-tasks.ts';
import { tasksOf } from './tasks.ts';

const rows: Written[] = [
  ['set', '2027-03-06', { set: 'S2', pen: 'orchard', setter: 'cabinet', tray: 2, eggs: 30 }],
];
const titleWith = (goals: string): string => {
  const season = seasonOf(`${hill}${goals}brooders: {barn: {area: 4}}\n`, rows);
  return warmTasks(season, nowAt('2027-03-26'))[0]!.title;
};

test('chicks that are all sold at the hatch are kept warm until they go, without a brooder', () => {
  const sold = 'goals:\n  - {line: sussex, want: chicks, count: 30, by: 2027-06-01, fate: sold}\n';
  expect(titleWith(sold)).toMatch(/^Keep a warm box for chicks of S2 until they go: /);
  const some = `${sold}  - {line: sussex, want: pullets, count: 10, by: 2027-10-15}\n`;
  expect(titleWith(some)).toMatch(/^Warm barn for S2: /);
  expect(titleWith('')).toMatch(/^Warm barn for S2: /);
});

test('a roof that stood empty begins anew; another roof is another matter', () => {
  const brood = (set: string, on: string, laid: string, roof: string, tray: number): Written[] => [
    ['set', laid, { set, pen: 'orchard', setter: 'cabinet', tray, eggs: 20 }],
    ['transfer', on, { set, hatcher: 'lower', moved: 20 }],
    ['hatch', on, { set, hatched: 10, final: 'yes' }],
    ['group', on, { group: set, set, brooder: roof, chicks: 10 }],
  ];
  const yaml = `${hill}brooders:\n  shed: {area: 9, heat: {kind: plate}}\n  barn: {area: 9, heat: {kind: lamp}}\n`;
  const heat = (on: string, moved: string) =>
    tasksOf(
      seasonOf(yaml, [
        ...brood('C1', '2027-03-20', '2027-02-27', 'shed', 1),
        ...brood('C2', '2027-03-24', '2027-03-03', 'barn', 2),
        ['move', moved, { group: 'C1', to: 'barn', birds: 10 }],
        ...brood('C3', '2027-03-28', '2027-03-07', 'shed', 3),
      ]),
      nowAt(on),
      1,
    )
      .filter(({ kind }) => kind === 'heat')
      .map(({ id, title }) => `${id} ${title}`);
  // On the 27th the first are a week old, where they are alone; with younger ones beside them nobody lowers.
  expect(heat('2027-03-27', '2027-03-26')).toEqual([]);
  expect(heat('2027-03-28', '2027-03-26')).toEqual([]);
  expect(heat('2027-03-28', '2027-03-28')).toEqual(['shed/heat/2027-03-28 Raise shed to 34–35 °C']);
  expect(heat('2027-04-04', '2027-03-26')).toEqual([
    'barn/heat/2027-03-31 Lower barn to 31–32 °C',
    'shed/heat/2027-04-04 Lower shed to 31–32 °C',
  ]);
});

test('ducklings put beside chicks are to be parted; the heat that is right already is not set again', () => {
  const yaml = `${hill}brooders: {shed: {area: 9, heat: {kind: plate}}}\n`;
  const brood = (set: string, pen: string, on: string, laid: string): Written[] => [
    ['set', laid, { set, pen, setter: 'cabinet', tray: set === 'C1' ? 1 : 2, eggs: 20 }],
    ['transfer', on, { set, hatcher: 'lower', moved: 20 }],
    ['hatch', on, { set, hatched: 10, final: 'yes' }],
    ['group', on, { group: set, set, brooder: 'shed', chicks: 10 }],
  ];
  const season = seasonOf(yaml, [
    ...brood('C1', 'orchard', '2027-03-20', '2027-02-27'),
    ...brood('K1', 'pond', '2027-03-22', '2027-02-22'),
  ]);
  const heat = (on: string) =>
    tasksOf(season, nowAt(on), 1)
      .filter(({ kind }) => kind === 'heat')
      .map(({ id, title }) => `${id} ${title}`);
  expect(heat('2027-03-21')).toEqual([]);
  expect(heat('2027-03-22')).toEqual([
    'shed/heat/2027-03-22 Part the kinds in shed: 34–35 °C suits not all',
  ]);
  expect(heat('2027-03-28')).toEqual(['shed/heat/2027-03-27 Lower shed to 31–32 °C']);
});
