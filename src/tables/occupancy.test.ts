import { describe, expect, test } from 'vitest';
import type { Day } from '../text/day.ts';
import { there } from '../text/lists.ts';
import {
  type OccupancyShown,
  occupancyChart,
  occupancyScreen,
  type StayShown,
} from './occupancy.ts';

const span = (
  set: string,
  from: string,
  to: string,
  state: StayShown['state'] = 'actual',
): StayShown => ({
  set,
  from: from as Day,
  to: to as Day,
  eggs: 40,
  state,
});

const rotation: OccupancyShown = {
  from: '2027-03-01' as Day,
  to: '2027-04-12' as Day,
  places: [
    {
      kind: 'setter',
      name: 'cabinet',
      tray: 1,
      spans: [
        span('D1', '2027-03-06', '2027-03-24'),
        span('D4', '2027-03-27', '2027-04-14', 'planned'),
      ],
    },
    { kind: 'setter', name: 'cabinet', tray: 2, spans: [span('D2', '2027-03-13', '2027-03-31')] },
    { kind: 'setter', name: 'cabinet', tray: 3, spans: [] },
    {
      kind: 'hatcher',
      name: 'lower',
      tray: null,
      spans: [
        span('D1', '2027-03-24', '2027-03-28'),
        span('', '2027-03-28', '2027-03-29', 'cleaning'),
        span('D2', '2027-03-31', '2027-04-04', 'planned'),
        span('H1', '2027-04-02', '2027-04-06', 'planned'),
      ],
    },
  ],
};

describe('the chart of places and days', () => {
  test('in ASCII', () => {
    expect(
      occupancyChart(rotation, { today: '2027-03-20' as Day, width: 80, ascii: true }),
    ).toBe(`           Mar 2027                       Apr
           1      8      15     22     29     5
today                         v
cabinet 1  .....D1================...D4--------------
cabinet 2  ............D2================............
cabinet 3  ..........................................
lower      .......................D1==~..D2--........
                                           H1--

. free   = in it   - planned   ~ to clean
one column a day; the numbers stand over Mondays
`);
  });

  test('in blocks, no line is wider than the terminal and the days are the same', () => {
    const year = { ...rotation, to: '2028-03-01' as Day };
    const chart = occupancyChart(year, { today: null, width: 80, ascii: false });
    for (const line of chart.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    const days = [...chart.matchAll(/^cabinet 3 {2}(·+)$/gm)].map((found) => found[1]?.length ?? 0);
    expect(days.reduce((sum, one) => sum + one, 0)).toBe(366);
  });

  test('a long place name is cut but keeps its tray', () => {
    const place = { ...rotation.places[0]!, name: 'the old cabinet by the door' };
    const chart = occupancyChart(
      { ...rotation, places: [place, { ...place, tray: 12 }] },
      { today: null, width: 60, ascii: true },
    );
    expect(chart).toMatch(/^the old cabin~ 1 {2}\./m);
    expect(chart).toMatch(/^the old cabi~ 12 {2}\./m);
  });

  test('nothing in the machines is said as plainly', () => {
    const empty = { ...rotation, places: [] };
    expect(occupancyChart(empty, { today: null, width: 80, ascii: true })).toContain('. free');
  });
});

test('a season without a place says so, and draws no empty calendar', () => {
  const empty = { from: rotation.from, to: rotation.to, places: [] };
  const screen = occupancyScreen(empty, [], '2027-03-06' as Day, 'Bare');
  expect(screen.answer).toEqual([
    'No setters, hatchers or brooders in season.yaml, so nothing is in use.',
  ]);
  expect(there(screen.parts).some(({ picture }) => picture !== undefined)).toBe(false);
});
