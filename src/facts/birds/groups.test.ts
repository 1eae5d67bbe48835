// What becomes of chicks put into groups: as many as there are, and one more; the order of a day.
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { day, seasonOf, type Written } from '../../../tests/support/season.ts';
import { birdsIn, flockOf, standingOn } from './groups.ts';

const MARCH = '2027-03-01';
const chicks = brood('A', 'orchard', MARCH, 20);
const flock = (...rows: Written[]) => flockOf(seasonOf(brooded, [...chicks, ...rows]));
const group = (...rows: Written[]) => flock(...rows).groups.get('A')!;
const told = (...rows: Written[]) =>
  flock(...rows).faults.map((one) => [one.code, one.severity, one.message]);
const loss = (on: string, birds: number): Written => ['loss', on, { group: 'A', birds }];
const move = (on: string, to: string, birds: number): Written => [
  'move',
  on,
  { group: 'A', to, birds },
];
const sexing = (on: string, pullets: number, cockerels: number, unsure = 0): Written => [
  'sexing',
  on,
  { group: 'A', pullets, cockerels, unsure },
];
const leaving = (on: string, sex: string, birds: number): Written => [
  'leaving',
  on,
  { group: 'A', sex, birds, way: 'sold' },
];
const ERROR = 'error';

describe('chicks put into groups', () => {
  const set: Written[] = [
    ['set', '2027-02-08', { set: 'S1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 40 }],
    ['transfer', '2027-02-26', { set: 'S1', pen: 'orchard', hatcher: 'lower', moved: 40 }],
  ];
  const opened = (on: string, hatched: number, more = {}): Written => [
    'hatch',
    on,
    { set: 'S1', pen: 'orchard', hatched, ...more },
  ];
  const placed = (name: string, on: string, count: number, more = {}): Written => [
    'group',
    on,
    { group: name, set: 'S1', pen: 'orchard', brooder: 'barn', chicks: count, ...more },
  ];
  const fold = (...rows: Written[]) => flockOf(seasonOf(brooded, [...set, ...rows]));
  const faults = (...rows: Written[]) => fold(...rows).faults.map((one) => [one.code, one.message]);

  test('are at most those taken off by that day', () => {
    const rows = [opened(MARCH, 8), opened('2027-03-02', 4)];
    expect(faults(...rows, placed('B', MARCH, 8))).toEqual([]);
    expect(faults(...rows, placed('B', MARCH, 9))).toEqual([
      [
        'out-of-balance',
        'chicks: expected at most 8 (8 of S1 taken off by then, 0 in groups already), found 9',
      ],
    ]);
    expect(faults(...rows, placed('B', '2027-03-02', 8), placed('C', '2027-03-02', 4))).toEqual([]);
    expect(
      faults(...rows, placed('B', '2027-03-02', 8), placed('C', '2027-03-02', 5))[0]![1],
    ).toContain('at most 4 (12 of S1 taken off by then, 8 in groups already)');
    // In the order of their days, whatever the order of the log.
    expect(faults(...rows, placed('C', '2027-03-02', 4), placed('B', MARCH, 8))).toEqual([]);
  });

  test('are none before the first are taken off', () => {
    expect(faults(placed('B', MARCH, 1))).toEqual([
      ['order-of-events', 'set: no chicks of S1 have been taken off yet'],
    ]);
    expect(faults(opened(MARCH, 0), placed('B', MARCH, 1))[0]![0]).toBe('order-of-events');
    expect(faults(opened('2027-03-02', 5), placed('B', MARCH, 1))).toEqual([
      [
        'order-of-events',
        'on: 2027-03-01 is before the first chicks of S1 were taken off, 2027-03-02',
      ],
    ]);
    expect(faults(opened('2027-03-02', 5), placed('B', '2027-03-02', 1))).toEqual([]);
  });

  test('are as young as the opening they came of lets them be', () => {
    // Found on a day, they may have hatched on the day before; weak ones go into no group.
    const rows = [opened(MARCH, 8, { weak: 2 }), opened('2027-03-04', 5)];
    const youngest = (count: number, on = '2027-03-05') =>
      fold(...rows, placed('B', on, count)).groups.get('B')!.youngest;
    expect(youngest(6)).toBe(MARCH);
    expect(youngest(7)).toBe('2027-03-03');
    expect(youngest(8, MARCH)).toBe(MARCH);
    expect(fold(...rows, placed('B', '2027-03-05', 7)).groups.get('B')!.oldest).toBe(MARCH);
  });

  test('of a row that cannot be counted in are no group, and what is written of it is told', () => {
    expect(faults(placed('B', MARCH, 1), ['loss', '2027-03-03', { group: 'B', birds: 1 }])).toEqual(
      [
        ['order-of-events', 'set: no chicks of S1 have been taken off yet'],
        ['order-of-events', 'group: no chicks of "B" could be counted in'],
      ],
    );
  });

  test('have a mark or none, and are of their lines, that of the most first', () => {
    const into = brood('B', 'yard', MARCH, 25).map(
      (row): Written =>
        row[0] === 'group' ? [row[0], row[1], { ...row[2], group: 'A', mark: 'toe 1' }] : row,
    );
    const one = group(...into);
    expect(one.parts.map((part) => part.mark)).toEqual([null, 'toe 1']);
    expect(one.lines.map((line) => line.name)).toEqual(['wyandotte', 'sussex']);
    expect([one.placed, one.living, one.line.name]).toEqual([45, 45, 'wyandotte']);
    expect(one.standings).toHaveLength(1);
  });
});

describe('what is written of a group', () => {
  test('losses are at most the birds alive', () => {
    expect(told(loss('2027-03-03', 20))).toEqual([]);
    expect(told(loss('2027-03-03', 15), loss('2027-03-04', 5))).toEqual([]);
    expect(told(loss('2027-03-03', 15), loss('2027-03-04', 6))).toEqual([
      [
        'out-of-balance',
        ERROR,
        'birds: expected at most 5, the birds of A alive by the book, found 6',
      ],
    ]);
    expect(told(loss('2027-02-28', 1))).toEqual([
      [
        'order-of-events',
        ERROR,
        'on: 2027-02-28 is before the first chicks of A were placed, 2027-03-01',
      ],
    ]);
  });

  test('moves take birds from where they are, to a place there is', () => {
    const places = (on: string, ...rows: Written[]) => [
      ...standingOn(group(...rows), day(on))!.places,
    ];
    expect(places('2027-03-03', move('2027-03-03', 'hoop', 5))).toEqual([
      ['barn', 15],
      ['hoop', 5],
    ]);
    expect(places('2027-03-02', move('2027-03-03', 'hoop', 5))).toEqual([['barn', 20]]);
    const two = [move('2027-03-03', 'hoop', 5), move('2027-03-04', 'grass', 17)];
    // From where they came to first: all of the barn, then of the hoop.
    expect(places('2027-03-04', ...two)).toEqual([
      ['hoop', 3],
      ['grass', 17],
    ]);
    expect(places('2027-03-05', ...two, move('2027-03-05', 'hoop', 17))).toEqual([['hoop', 20]]);
    expect(told(...two, move('2027-03-05', 'hoop', 18))).toEqual([
      [
        'out-of-balance',
        ERROR,
        'birds: expected at most 17, the birds of A not in hoop already, found 18',
      ],
    ]);
    expect(told(move('2027-03-03', 'hoop', 21))[0]![2]).toContain('at most 20');
    expect(told(move('2027-03-03', 'lawn', 2))[0]![0]).toBe('unknown-name');
  });

  test('losses and leavings are taken from where most are', () => {
    const places = (...rows: Written[]) => [
      ...group(move('2027-03-03', 'hoop', 13), ...rows).standings.at(-1)!.places,
    ];
    expect(places(loss('2027-03-04', 3))).toEqual([
      ['barn', 7],
      ['hoop', 10],
    ]);
    expect(places(leaving('2027-03-04', 'unknown', 15))).toEqual([['barn', 5]]);
    const one = group(move('2027-03-03', 'hoop', 13));
    expect([
      birdsIn(one, 'barn', day('2027-03-03')),
      birdsIn(one, 'grass', day('2027-03-03')),
      birdsIn(one, 'barn', day('2027-02-28')),
    ]).toEqual([7, 0, 0]);
  });

  test('a sexing counts those alive; fewer are a warning, more an error', () => {
    expect(told(sexing('2027-05-10', 11, 9))).toEqual([]);
    expect(told(sexing('2027-05-10', 10, 7, 2))).toEqual([
      [
        'out-of-balance',
        'warning',
        'pullets, cockerels and unsure make 19; 1 living birds of A are not accounted for',
      ],
    ]);
    expect(group(sexing('2027-05-10', 10, 7, 2)).sexes).toMatchObject({
      pullets: 10,
      cockerels: 7,
      unsure: 3,
      unknownGone: 0,
    });
    expect(told(sexing('2027-05-10', 12, 9))).toEqual([
      [
        'out-of-balance',
        ERROR,
        'pullets, cockerels and unsure make 21; 20 birds of A alive by the book',
      ],
    ]);
    expect(group(sexing('2027-05-10', 12, 9)).sexes).toBeNull();
    expect(told(sexing('2027-02-28', 1, 0))[0]![0]).toBe('order-of-events');
  });

  test('birds of a sex leave up to those sexed and unsure', () => {
    const sexed = sexing('2027-05-10', 10, 6, 4);
    const sexes = (...rows: Written[]) => {
      const { pullets, cockerels, unsure, unknownGone } = group(sexed, ...rows).sexes!;
      return [pullets, cockerels, unsure, unknownGone];
    };
    expect(sexes(leaving('2027-05-11', 'male', 5))).toEqual([10, 1, 4, 0]);
    expect(sexes(leaving('2027-05-11', 'male', 10))).toEqual([10, 0, 0, 0]);
    expect(sexes(leaving('2027-05-11', 'female', 12))).toEqual([0, 6, 2, 0]);
    expect(sexes(leaving('2027-05-11', 'unknown', 3))).toEqual([10, 6, 4, 3]);
    expect(sexes(loss('2027-05-11', 2))).toEqual([10, 6, 4, 2]);
    expect(told(sexed, leaving('2027-05-11', 'male', 11))).toEqual([
      [
        'out-of-balance',
        ERROR,
        'birds: expected at most 10 males of A by the sexing of 2027-05-10, found 11',
      ],
    ]);
    expect(told(sexed, leaving('2027-05-11', 'female', 15))[0]![2]).toContain('at most 14 females');
    expect(told(leaving('2027-05-11', 'male', 20))).toEqual([]);
    expect(told(leaving('2027-05-11', 'male', 21))[0]![2]).toContain('at most 20');
  });
});

describe('on one day', () => {
  const sexes = (...rows: Written[]) => group(...rows).sexes;

  test('deaths are found, birds moved, sexed, and then go, where a row has no minute', () => {
    // Sexed after the deaths and before the leavings, whatever the order of the log.
    const rows = [
      leaving('2027-05-10', 'male', 5),
      sexing('2027-05-10', 9, 9),
      loss('2027-05-10T08:00', 2),
    ];
    expect(told(...rows)).toEqual([]);
    expect(sexes(...rows)).toMatchObject({ pullets: 9, cockerels: 4 });
    expect(told(...rows.slice().reverse())).toEqual([]);
    const away = [leaving('2027-05-10', 'unknown', 20), move('2027-05-10', 'hoop', 20)];
    expect(told(...away)).toEqual([]);
    const lost = [move('2027-05-10', 'hoop', 20), loss('2027-05-10', 1)];
    expect(told(...lost)[0]![0]).toBe('out-of-balance');
  });

  test('they go by the minute where every row has one', () => {
    const rows = [leaving('2027-05-10T07:00', 'male', 5), sexing('2027-05-10T08:00', 9, 6)];
    expect(told(...rows)).toEqual([]);
    expect(told(...rows.slice().reverse())).toEqual([]);
    const after = [sexing('2027-05-10T07:00', 11, 9), loss('2027-05-10T08:00', 2)];
    expect(sexes(...after)).toMatchObject({ pullets: 11, cockerels: 9, unknownGone: 2 });
    // Of one kind, or one minute, as they were recorded.
    const one = [sexing('2027-05-10', 11, 9), sexing('2027-05-10', 12, 8)];
    expect(sexes(...one)).toMatchObject({ pullets: 12 });
    const minute = [sexing('2027-05-10T07:00', 11, 9), leaving('2027-05-10T07:00', 'male', 9)];
    expect(sexes(...minute)).toMatchObject({ pullets: 11, cockerels: 0 });
  });

  test('the standing is that of the evening', () => {
    expect(
      group(loss(MARCH, 3), leaving(MARCH, 'unknown', 2)).standings.map((one) => [
        one.day,
        one.living,
      ]),
    ).toEqual([[MARCH, 15]]);
    expect(
      group(loss('2027-03-02', 3), loss('2027-03-02', 2)).standings.map((one) => [
        one.day,
        one.living,
      ]),
    ).toEqual([
      [MARCH, 20],
      ['2027-03-02', 15],
    ]);
  });
});
