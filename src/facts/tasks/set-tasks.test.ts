import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { setTasks } from './set-tasks.ts';

const yaml = `${hill}goals:
  - {line: sussex, want: chicks, count: 30, by: 2027-06-01, fate: sold}
  - {line: sussex, want: pullets, count: 10, by: 2027-10-15}
orders:
  - {for: the market, line: sussex, want: chicks, count: 12, from: 2027-03-20, by: 2027-04-02}
  - {for: a school, line: sussex, want: chicks, count: 5, from: 2027-05-01, by: 2027-05-10}
`;
const rows: Written[] = [
  ['set', '2027-02-20', { set: 'S1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 30 }],
  ['set', '2027-03-06', { set: 'S2', pen: 'orchard', setter: 'cabinet', tray: 2, eggs: 30 }],
  ['transfer', '2027-03-10', { set: 'S1', hatcher: 'lower', moved: 24 }],
  ['hatch', '2027-03-13', { set: 'S1', hatched: 20, unpipped: 4, final: 'yes' }],
  ['group', '2027-03-13', { group: 'B1', set: 'S1', brooder: 'barn', chicks: 20 }],
  [
    'leaving',
    '2027-03-21',
    { group: 'B1', sex: 'unknown', birds: 4, way: 'sold', order: 'the market' },
  ],
];

test('the day of the hatch says who gets what, less what is delivered', () => {
  const season = seasonOf(`${yaml}brooders: {barn: {area: 4}}\n`, rows);
  const [hatch] = setTasks(season, nowAt('2027-03-26')).filter(({ id }) => id === 'S2/hatch');
  expect(hatch!.why).toMatch(
    /; of the sussex chicks first 8 for the market by 2027-04-02, then 30 sold by 2027-06-01$/,
  );
});
