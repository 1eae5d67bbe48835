// How long chicks wait and who of a group lives when: the day or hour before, on and after.
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { day, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { flockOf } from './groups.ts';
import { chicksWithHens, hoursBetween, waitingChicks, waitsOf } from './holding.ts';
import { eatersAhead, eatersOf, femaleShareOf, livesOf, spellsOf } from './lives.ts';
import { birdSummary } from './summary.ts';

const MARCH = '2027-03-01';
const chicks = brood('A', 'orchard', MARCH, 20);
const group = (rows: readonly Written[]) => flockOf(seasonOf(brooded, rows)).groups.get('A')!;
const sexing = (on: string, pullets: number, cockerels: number, unsure = 0): Written => [
  'sexing',
  on,
  { group: 'A', pullets, cockerels, unsure },
];
const leaving = (on: string, sex: string, birds: number, way = 'sold'): Written => [
  'leaving',
  on,
  { group: 'A', sex, birds, way },
];
const loss = (on: string, birds: number): Written => ['loss', on, { group: 'A', birds }];

describe('who lives when', () => {
  const lives = (until: string, ...rows: Written[]) =>
    livesOf(group([...chicks, ...rows]), day(until)).map(({ from, to, females, males }) => [
      from,
      to,
      females,
      males,
    ]);

  test('half of each sex where nobody looked, until the day asked for', () => {
    expect(lives('2027-03-11')).toEqual([[MARCH, '2027-03-11', 10, 10]]);
    expect(lives('2027-03-02')).toEqual([[MARCH, '2027-03-02', 10, 10]]);
    expect(lives(MARCH)).toEqual([]);
  });

  test('losses fall on both sexes alike, leavings as written', () => {
    expect(lives('2027-03-21', loss('2027-03-11', 4))).toEqual([
      [MARCH, '2027-03-11', 10, 10],
      ['2027-03-11', '2027-03-21', 8, 8],
    ]);
    const left = [
      sexing('2027-05-10', 12, 8),
      leaving('2027-05-20', 'male', 5),
      leaving('2027-05-25', 'female', 3),
    ];
    expect(lives('2027-06-01', ...left)).toEqual([
      [MARCH, '2027-05-10', 12, 8],
      ['2027-05-10', '2027-05-20', 12, 8],
      ['2027-05-20', '2027-05-25', 12, 3],
      ['2027-05-25', '2027-06-01', 9, 3],
    ]);
    const unknown = lives(
      '2027-06-01',
      sexing('2027-05-10', 15, 5),
      leaving('2027-05-20', 'unknown', 4),
    );
    expect(unknown.at(-1)).toEqual(['2027-05-20', '2027-06-01', 12, 4]);
    // Nobody lives on after the last is gone.
    expect(lives('2027-06-01', leaving('2027-03-11', 'unknown', 20))).toEqual([
      [MARCH, '2027-03-11', 10, 10],
    ]);
    expect(lives('2027-03-05', loss('2027-03-11', 4))).toEqual([[MARCH, '2027-03-05', 10, 10]]);
    expect(lives('2027-03-11', loss('2027-03-11', 4))).toEqual([[MARCH, '2027-03-11', 10, 10]]);
  });

  test('chicks placed later add to both', () => {
    const second = brood('B', 'yard', '2027-03-05', 10).map(
      (row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group: 'A' }] : row),
    );
    expect(lives('2027-03-11', ...second)).toEqual([
      [MARCH, '2027-03-05', 10, 10],
      ['2027-03-05', '2027-03-11', 15, 15],
    ]);
  });

  test('the share of females is of the last sexing, with those sexed that left before it', () => {
    const share = (...rows: Written[]) => femaleShareOf(group([...chicks, ...rows]));
    expect(share()).toBe(0.5);
    expect(share(sexing('2027-05-10', 12, 8))).toBe(0.6);
    expect(share(sexing('2027-05-10', 0, 0, 20))).toBe(0.5);
    expect(share(sexing('2027-05-10', 12, 8), sexing('2027-05-20', 5, 15))).toBe(0.25);
    const leftBefore = (on: string, sex: string) =>
      share(leaving(on, sex, 4), sexing('2027-05-10', 12, 4));
    expect(leftBefore('2027-05-09', 'male')).toBe(0.6);
    expect(leftBefore('2027-05-09', 'female')).toBe(0.8);
    expect(leftBefore('2027-05-09', 'unknown')).toBe(0.75);
    expect(share(sexing('2027-05-10', 12, 8), leaving('2027-05-10', 'male', 4))).toBe(0.6);
  });

  test('are at risk from each placing and leaving on, with the deaths of the first day', () => {
    const spells = (until: string, ...rows: Written[]) =>
      spellsOf(group([...chicks, ...rows]), day(until)).map(({ birds, fromAge, toAge }) => [
        birds,
        fromAge,
        toAge,
      ]);
    expect(spells('2027-03-11')).toEqual([[20, 0, 10]]);
    expect(spells('2027-03-11', loss(MARCH, 2))).toEqual([[20, 0, 10]]);
    expect(spells('2027-03-11', loss('2027-03-02', 2))).toEqual([[20, 0, 10]]);
    expect(spells('2027-03-11', leaving('2027-03-06', 'unknown', 5))).toEqual([
      [20, 0, 5],
      [15, 5, 10],
    ]);
    expect(spells('2027-03-06', leaving('2027-03-06', 'unknown', 5))).toEqual([[20, 0, 5]]);
    expect(spells('2027-03-11', leaving('2027-03-06', 'unknown', 20))).toEqual([[20, 0, 5]]);
    expect(spells(MARCH)).toEqual([[20, 0, 0]]);
  });

  test('eat as long as they live, and from today on as those who live', () => {
    const season = seasonOf(brooded, [
      ...chicks,
      sexing('2027-05-10', 12, 8),
      loss('2027-05-11', 5),
    ]);
    const one = flockOf(season).groups.get('A')!;
    const plain = (eaters: ReturnType<typeof eatersOf>) =>
      eaters.map(({ sex, birds, fromAge, toAge }) => [sex, birds, fromAge, toAge]);
    expect(plain(eatersOf(season, one, day('2027-05-11'))).slice(0, 2)).toEqual([
      ['female', 12, 0, 70],
      ['male', 8, 0, 70],
    ]);
    const ahead = plain(eatersAhead(season, one, nowAt('2027-05-12'), 7));
    expect(ahead.map(([sex, , from, to]) => [sex, from, to])).toEqual([
      ['female', 72, 79],
      ['male', 72, 79],
    ]);
    expect(ahead[0]![1]).toBeCloseTo(9, 9);
    expect(ahead[1]![1]).toBeCloseTo(6, 9);
    const dead = seasonOf(brooded, [...chicks, loss('2027-03-05', 20)]);
    expect(eatersAhead(dead, flockOf(dead).groups.get('A')!, nowAt('2027-05-12'), 7)).toEqual([]);
  });
});

describe('chicks that wait', () => {
  const opened = (on: string, hatched: number, more = {}): Written => [
    'hatch',
    on,
    { set: 'S1', pen: 'orchard', hatched, ...more },
  ];
  const set: Written[] = [
    ['set', '2027-02-08', { set: 'S1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 40 }],
    ['transfer', '2027-02-26', { set: 'S1', pen: 'orchard', hatcher: 'lower', moved: 40 }],
  ];
  const placed = (on: string, count: number, more = {}): Written => [
    'group',
    on,
    { group: 'A', set: 'S1', pen: 'orchard', brooder: 'barn', chicks: count, ...more },
  ];
  const waiting = (rows: readonly Written[], now: string, time = '08:00', file = brooded) =>
    waitingChicks(seasonOf(file, [...set, ...rows]), { ...nowAt(now), time }).map(
      ({ chicks: count, since, low, high, verdict }) => [
        count,
        since.day,
        since.time,
        low,
        high,
        verdict,
      ],
    );

  test('from the first opening of which some are left, the sound ones alone', () => {
    const two = [opened('2027-03-01T08:00', 10, { weak: 2 }), opened('2027-03-01T20:00', 5)];
    expect(waiting(two, '2027-03-02')).toEqual([[13, MARCH, '08:00', 24, 24, 'warn']]);
    expect(waiting([...two, placed('2027-03-01T10:00', 7)], '2027-03-02')).toEqual([
      [6, MARCH, '08:00', 24, 24, 'warn'],
    ]);
    expect(waiting([...two, placed('2027-03-01T10:00', 8)], '2027-03-02')).toEqual([
      [5, MARCH, '20:00', 12, 12, 'fine'],
    ]);
    expect(waiting([...two, placed('2027-03-01T21:00', 13)], '2027-03-02')).toEqual([]);
    expect(waiting([opened('2027-03-01T08:00', 2, { weak: 2 })], '2027-03-02')).toEqual([]);
    // A group of another pen's chicks takes none of these; one that names no pen does.
    expect(waiting([...two, placed('2027-03-01T21:00', 13, { pen: '' })], '2027-03-02')).toEqual(
      [],
    );
  });

  test('are warned of at a day, to be seen to at two, past the limit at three', () => {
    // Warned of after 24 hours, fed within 48, alive for 72 (seeds/brooding.yaml).
    const verdict = (now: string, time: string) =>
      waiting([opened('2027-03-01T08:00', 9)], now, time)[0]!.at(-1);
    expect(verdict('2027-03-02', '07:59')).toBe('fine');
    expect(verdict('2027-03-02', '08:00')).toBe('warn');
    expect(verdict('2027-03-03', '07:59')).toBe('warn');
    expect(verdict('2027-03-03', '08:00')).toBe('act');
    expect(verdict('2027-03-04', '07:59')).toBe('act');
    expect(verdict('2027-03-04', '08:00')).toBe('past-limit');
  });

  test('of two shares from the earlier opening', () => {
    const second: Written[] = [
      ['set', '2027-02-08', { set: 'S1', pen: 'yard', setter: 'cabinet', tray: 2, eggs: 40 }],
      ['transfer', '2027-02-26', { set: 'S1', pen: 'yard', hatcher: 'lower', moved: 40 }],
      ['hatch', '2027-03-01T06:00', { set: 'S1', pen: 'yard', hatched: 4 }],
    ];
    const rows = [...second, opened('2027-03-01T08:00', 9)];
    expect(waiting(rows, '2027-03-02')).toEqual([[13, MARCH, '06:00', 26, 26, 'warn']]);
    const [one] = waitingChicks(seasonOf(brooded, [...set, ...rows]), nowAt('2027-03-02'));
    expect(one!.pens).toEqual(['orchard', 'yard']);
  });

  test('are told for a week in a book that does not say where birds go', () => {
    const bare = brooded.replace(/brooders:\n(?: {2}\w+: .*\n)+/, '');
    const rows = [opened('2027-03-01T08:00', 9)];
    expect(waiting(rows, '2027-03-08', '08:00', bare)).toHaveLength(1);
    expect(waiting(rows, '2027-03-08', '08:01', bare)).toEqual([]);
    expect(waiting(rows, '2027-03-08', '08:01')).toHaveLength(1);
  });

  test('of a group without a brooder until they are sold, moved or lost', () => {
    const toGo = placed('2027-03-01T09:00', 9, { brooder: '' });
    const rows = [opened('2027-03-01T08:00', 9), toGo];
    const gone = (...more: Written[]) =>
      waiting([...rows, ...more], '2027-03-02').map(([count]) => count);
    expect(gone()).toEqual([9]);
    expect(gone(leaving('2027-03-01T10:00', 'unknown', 4))).toEqual([5]);
    expect(gone(leaving('2027-03-01T10:00', 'unknown', 4), loss('2027-03-01T11:00', 1))).toEqual([
      4,
    ]);
    expect(gone(['move', '2027-03-01T10:00', { group: 'A', to: 'barn', birds: 9 }])).toEqual([]);
  });

  test('how long those waited that were placed, by the opening they came of', () => {
    const waits = (...rows: Written[]) =>
      waitsOf(seasonOf(brooded, [...set, ...rows])).map(
        ({ chicks: count, placedOn, low, high }) => [count, placedOn, low, high],
      );
    const two = [opened('2027-03-01T08:00', 8), opened('2027-03-01T20:00', 5)];
    expect(waits(...two, placed('2027-03-01T22:00', 8), placed('2027-03-02T08:00', 5))).toEqual([
      [8, MARCH, 14, 14],
      [5, '2027-03-02', 12, 12],
    ]);
    expect(waits(...two, placed('2027-03-01T22:00', 7), placed('2027-03-02T08:00', 6))).toEqual([
      [7, MARCH, 14, 14],
      [6, '2027-03-02', 24, 24],
    ]);
    // More than came out, and a group written before them, waited for nothing.
    expect(waits(...two, placed('2027-03-01T22:00', 13))).toHaveLength(1);
    expect(waits(opened('2027-03-01T08:00', 8), placed('2027-03-01T08:00', 8))).toEqual([
      [8, MARCH, 0, 0],
    ]);
    expect(waits(opened('2027-03-01T08:00', 8), placed('2027-03-01T07:59', 8))).toEqual([]);
  });

  test('hours between two entries, of which one has no minute', () => {
    const between = (a: string | null, b: string | null) =>
      hoursBetween(
        { day: day(MARCH), time: a },
        { day: day('2027-03-02'), time: b },
        'Europe/London',
      );
    expect(between('08:00', '09:00')).toEqual({ low: 25, high: 25 });
    expect(between(null, '09:00')).toEqual({ low: 9, high: 33 });
    expect(between('08:00', null)).toEqual({ low: 16, high: 40 });
    expect(
      hoursBetween({ day: day(MARCH), time: null }, { day: day(MARCH), time: null }, 'UTC'),
    ).toEqual({ low: 0, high: 24 });
  });

  test('with their hen are told apart from those of a machine', () => {
    const hen = brooded.replace(
      'hatchers:',
      '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
    );
    const sat: Written[] = [
      ['set', '2027-02-08', { set: 'S1', pen: 'orchard', setter: 'hazel', eggs: 9 }],
      ['set', '2027-02-08', { set: 'S1', pen: 'yard', setter: 'hazel', eggs: 5 }],
      ['hatch', '2027-03-02', { set: 'S1', pen: 'orchard', hatched: 6 }],
    ];
    const told = (...rows: Written[]) => chicksWithHens(seasonOf(hen, [...sat, ...rows]));
    expect(told()).toEqual([
      { set: 'S1', hen: 'hazel', pens: ['orchard'], chicks: 6, since: '2027-03-02' },
    ]);
    const second: Written = ['hatch', '2027-03-01', { set: 'S1', pen: 'yard', hatched: 4 }];
    expect(told(second)).toMatchObject([
      { pens: ['orchard', 'yard'], chicks: 10, since: '2027-03-01' },
    ]);
    expect(
      told([
        'group',
        '2027-03-03',
        { group: 'A', set: 'S1', pen: 'orchard', brooder: 'hazel', chicks: 6 },
      ]),
    ).toEqual([]);
    expect(chicksWithHens(seasonOf(brooded, [...set, opened('2027-03-01T08:00', 9)]))).toEqual([]);
  });
});

test('birds that count towards goals are those living, housed, or at table, by line', () => {
  const rows: Written[] = [
    ...chicks,
    sexing('2027-05-10', 12, 8),
    leaving('2027-06-20', 'male', 5, 'table'),
    leaving('2027-06-20', 'female', 2, 'layer'),
    leaving('2027-06-21', 'female', 1, 'sold'),
    ...brood('B', 'yard', '2027-03-05', 10, 'hoop'),
  ];
  const birds = birdSummary(seasonOf(brooded, rows), nowAt('2027-06-22'));
  expect(birds.ways).toEqual({ table: 5, layer: 2, sold: 1 });
  expect(birds.counting.sussex).toEqual({ pullets: 11, cockerels: 8, birds: 12 });
  expect(birds.counting.wyandotte).toEqual({ pullets: 5, cockerels: 5, birds: 10 });
  expect(birds.counting.plain).toEqual({ pullets: 0, cockerels: 0, birds: 0 });
  expect(birds.groups.map((one) => [one.group, one.lines, one.pullets, one.cockerels])).toEqual([
    ['A', ['sussex'], 9, 3],
    ['B', ['wyandotte'], 5, 5],
  ]);
  expect(birdSummary(seasonOf(brooded, []), nowAt(MARCH)).over).toEqual([]);
  expect(birdSummary(seasonOf(brooded, chicks), nowAt(MARCH)).over).toEqual([
    { day: MARCH, living: [20] },
  ]);
  expect(birdSummary(seasonOf(brooded, chicks), nowAt('2027-02-28')).over).toEqual([]);
});
