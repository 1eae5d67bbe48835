import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { warmTasks } from './heat-tasks.ts';

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
