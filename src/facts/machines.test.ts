// What eggs in a machine want, how a power cut found them, the water they lose, and days off.
import { describe, expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../tests/support/season.ts';
import { isDayOff, workingDay } from './days-off.ts';
import { milestonesOfShare } from './hatch-time.ts';
import { bandsOn, machineStays } from './machine-bands.ts';
import { cutMeaning, cutsOf } from './power.ts';
import { readingSlip } from './readings.ts';
import { postedPrior, seedPrior } from './stages.ts';
import { courseOf } from './water-loss.ts';

const set = (name: string, on: string, pen = 'orchard', more = {}): Written => [
  'set',
  on,
  { set: name, pen, tray: 1, eggs: 20, ...more },
];
const A1 = set('A1', '2027-03-06');
const moved: Written = ['transfer', '2027-03-24', { set: 'A1', moved: 18 }];
const opened = (hatched: number, more = {}, on = '2027-03-27'): Written => [
  'hatch',
  on,
  { set: 'A1', hatched, ...more },
];

describe('which eggs are in which machine', () => {
  const stays = (...rows: Written[]) =>
    machineStays(seasonOf(hill, rows)).map((one) => [one.machine, one.set.name, one.from, one.to]);

  test('in the setter until they are moved, in the hatcher until they are out', () => {
    expect(stays(A1, moved)[0]).toEqual(['cabinet', 'A1', '2027-03-06', '2027-03-24']);
    const closed = opened(16, { unpipped: 2, final: 'yes' });
    expect(stays(A1, moved, closed)).toEqual([
      ['cabinet', 'A1', '2027-03-06', '2027-03-24'],
      ['lower', 'A1', '2027-03-24', '2027-03-28'],
    ]);
    // Nobody closed it: three days past its last opening, and no longer.
    expect(stays(A1, moved)[1]).toEqual(['lower', 'A1', '2027-03-24', '2027-03-31']);
    expect(stays(A1)).toEqual([['cabinet', 'A1', '2027-03-06', '2027-03-31']]);
    expect(stays(A1, ['candling', '2027-03-13', { set: 'A1', clear: 20 }])).toEqual([
      ['cabinet', 'A1', '2027-03-06', '2027-03-14'],
    ]);
  });

  test('a set in two trays of one machine is in it once, under a hen in none', () => {
    expect(
      stays(
        set('A1', '2027-03-06', 'orchard', { eggs: 10 }),
        set('A1', '2027-03-06', 'orchard', { tray: 2, eggs: 9 }),
      ),
    ).toHaveLength(1);
    const hen = hill.replace(
      'hatchers:',
      '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
    );
    expect(
      machineStays(
        seasonOf(hen, [set('A1', '2027-03-06', 'orchard', { setter: 'hazel', tray: '' })]),
      ),
    ).toEqual([]);
  });
});

describe('what they want', () => {
  const bands = (machine: string, on: string, rows: readonly Written[], file = hill) => {
    const season = seasonOf(file, rows);
    return bandsOn(season, machineStays(season), machine, day(on));
  };

  // Chickens: 37.2 to 37.8 °C and 50 to 61 % in the setter, 36.6 and 72 to 84 % in the hatcher.
  test('in the setter and in the hatcher, from the day they come to the day before they leave', () => {
    const rows = [A1, moved, opened(16, { unpipped: 2, final: 'yes' })];
    expect(bands('cabinet', '2027-03-05', rows)).toBeNull();
    expect(bands('cabinet', '2027-03-06', rows)).toMatchObject({
      sets: ['A1'],
      temperature: { low: 37.2, high: 37.8, aim: 37.5, isShared: true },
      humidity: { low: 50, high: 61, aim: 58, isShared: true },
    });
    expect(bands('cabinet', '2027-03-23', rows)!.wants[0]).toMatchObject({
      stage: 'setter',
      species: 'chicken',
    });
    expect(bands('cabinet', '2027-03-24', rows)).toBeNull();
    expect(bands('lower', '2027-03-27', rows)!.wants[0]!.stage).toBe('hatcher');
    expect(bands('lower', '2027-03-28', rows)).toBeNull();
    const before = bands('lower', '2027-03-24', [A1, moved])!;
    expect(before.humidity).toEqual({ low: 72, high: 84, aim: 78, isShared: true });
    expect(before.temperature.low).toBeCloseTo(36.6, 9);
    expect(before.temperature).toMatchObject({ high: 37.8, aim: 36.9 });
    // Once chicks are out it may be cooler.
    expect(bands('lower', '2027-03-27', [A1, moved, opened(5)])!.temperature.low).toBe(35);
  });

  test('where eggs hatch in the setter it is a hatcher from the day of transfer on', () => {
    const single = hill.replace(/hatchers:\n.*\n/, '');
    expect(bands('cabinet', '2027-03-23', [A1], single)!.wants[0]!.stage).toBe('setter');
    expect(bands('cabinet', '2027-03-24', [A1], single)!.wants[0]!.stage).toBe('hatcher');
    expect(bands('cabinet', '2027-03-24', [A1, moved], single)).toMatchObject({
      wants: [{ stage: 'hatcher' }],
    });
  });

  test('still air is warmer, at the tops of the eggs', () => {
    const still = hill
      .replace('duck: 30}}', 'duck: 30}, air: still}')
      .replace('clean_days: 1', 'clean_days: 1, air: still');
    expect(bands('cabinet', '2027-03-07', [A1], still)!.temperature).toMatchObject({
      low: 37.8,
      high: 38.9,
      aim: 38.6,
    });
    expect(bands('lower', '2027-03-24', [A1, moved], still)!.temperature.aim).toBe(38.6);
  });

  test('sets of one kind and stage want one thing, of two what both can bear', () => {
    const two = bands('cabinet', '2027-03-08', [A1, set('A2', '2027-03-07', 'yard', { tray: 2 })])!;
    expect(two.sets).toEqual(['A1', 'A2']);
    expect(two.wants.map((one) => one.sets)).toEqual([['A1', 'A2']]);
    const kinds = bands('cabinet', '2027-03-08', [
      A1,
      set('D1', '2027-03-07', 'pond', { tray: 2 }),
    ])!;
    expect(kinds.wants.map((one) => one.species)).toEqual(['chicken', 'duck']);
    const [a, b] = kinds.wants;
    expect(kinds.humidity.low).toBe(Math.max(a!.humidity.low, b!.humidity.low));
    expect(kinds.humidity.high).toBe(Math.min(a!.humidity.high, b!.humidity.high));
    expect(kinds.humidity.isShared).toBe(true);
    // One set at its end beside one at its beginning: no humidity suits both.
    const single = hill.replace(/hatchers:\n.*\n/, '');
    const apart = bands(
      'cabinet',
      '2027-03-25',
      [A1, set('A2', '2027-03-20', 'yard', { tray: 2 })],
      single,
    )!;
    expect(apart.humidity).toEqual({ low: 50, high: 84, aim: 68, isShared: false });
  });
});

describe('a power cut', () => {
  const cut = (minutes: number | '', more = {}, on = '2027-03-08T08:00'): Written => [
    'reading',
    on,
    { machine: 'cabinet', event: 'power-off', minutes, ...more },
  ];
  const cuts = (rows: readonly Written[], file = hill) => cutsOf(seasonOf(file, rows));

  test('is short up to three hours, and reckoned for a room of 15 °C where nothing is written', () => {
    expect(cuts([A1, cut(180)])[0]).toMatchObject({
      machine: 'cabinet',
      hours: 3,
      isShort: true,
      roomC: 15,
      isRoomKnown: false,
      isReckoned: true,
      entry: '0000000001',
    });
    expect(cuts([A1, cut(181)])[0]!.isShort).toBe(false);
    // Newton: 15 + 22.5 / e after six hours.
    expect(cuts([A1, cut(360)])[0]!.lowestC).toBeCloseTo(15 + 22.5 / Math.E, 9);
    expect(cuts([A1, cut('')])[0]).toMatchObject({ hours: null, lowestC: null, isShort: false });
    expect(cuts([A1, cut(360, { dry: 20, room: 10 })])[0]).toMatchObject({
      lowestC: 20,
      isReckoned: false,
      roomC: 10,
      isRoomKnown: true,
    });
    expect(cuts([A1])).toEqual([]);
    const f = cuts(
      [A1, cut(360, { dry: 68, room: 50 })],
      hill.replace('lines:', 'units: {temperature: F}\nlines:'),
    )[0]!;
    expect([f.lowestC, f.roomC]).toEqual([20, 10]);
  });

  test('found eggs young, half way or late, each to be looked at again', () => {
    const on = (date: string) =>
      cuts([A1, moved, cut(400, {}, date), cut(400, { machine: 'lower' }, date)]).flatMap((one) =>
        one.sets.map(({ day: at, stage, candle }) => [one.machine, at, stage, candle]),
      );
    const candle = (from: string, to: string) => ({ from, to });
    expect(on('2027-03-05')).toEqual([]);
    // Young to day 6, late beyond two thirds of the 21 days (seeds/power.yaml).
    expect(on('2027-03-12')).toEqual([['cabinet', 6, 'young', candle('2027-03-16', '2027-03-19')]]);
    expect(on('2027-03-13')).toEqual([
      ['cabinet', 7, 'middle', candle('2027-03-17', '2027-03-20')],
    ]);
    expect(on('2027-03-17')).toEqual([
      ['cabinet', 11, 'middle', candle('2027-03-21', '2027-03-24')],
    ]);
    // The look of the transfer comes by then.
    expect(on('2027-03-18')).toEqual([['cabinet', 12, 'middle', null]]);
    expect(on('2027-03-20')).toEqual([['cabinet', 14, 'middle', null]]);
    expect(on('2027-03-21')).toEqual([['cabinet', 15, 'late', null]]);
    expect(on('2027-03-23')).toEqual([['cabinet', 17, 'late', null]]);
    expect(on('2027-03-24')).toEqual([['lower', 18, 'late', null]]);
  });

  test('is told in words, with what to do', () => {
    const told = (rows: readonly Written[], file = hill) => cutMeaning(cuts(rows, file)[0]!, 'C');
    expect(told([A1, cut(400, {}, '2027-03-05')])).toEqual({
      lines: ['no eggs were in the machine'],
      next: [],
    });
    expect(told([A1, cut(180)])).toEqual({
      lines: ['up to 3 hours do no great harm: keep the machine shut'],
      next: [],
    });
    expect(told([A1, cut(1200)])).toEqual({
      lines: [
        'reckoned for a room of 15 °C, as none is written, it fell to 16 °C: growth stood still, which young eggs bear best',
        'A1 (day 2): young embryos bear cold better than heat',
        expect.stringMatching(/^the hatch is expected \d+ hours later$/),
      ],
      next: [
        'bring it up no higher than its usual figure: too hot afterwards is worse than the cold',
        'candle A1 from 2027-03-12 on: what died then shows',
      ],
    });
    const late = told([A1, cut('', { dry: 27, room: 12 }, '2027-03-22T08:00')]);
    expect(late.lines).toEqual([
      'it fell to 27 °C: growth went on slowly and out of step',
      'A1 (day 16): late eggs make heat of their own and suffer most from long cold or no air',
      'how long it lasted is not written',
    ]);
    expect(late.next).toHaveLength(2);
    expect(told([A1, cut('', { dry: 26.9 })]).lines[0]).toBe(
      'it fell to 27 °C: growth stood still, which young eggs bear best',
    );
    expect(told([A1, cut(1200, { room: 12 })]).lines[0]).toMatch(
      /^reckoned for a room of 12 °C, it fell to/,
    );
    const both = told([A1, set('A2', '2027-02-26', 'yard', { tray: 2 }), cut('')]);
    expect(both.lines).toEqual([
      'A1 (day 2): young embryos bear cold better than heat',
      'A2 (day 10): likely a delay',
      'how long it lasted is not written',
    ]);
  });
});

describe('water lost by a share', () => {
  const weighed = (on: string, eggs: number, mass: number, more = {}): Written => [
    'weighing',
    on,
    { set: 'A1', pen: 'orchard', eggs, mass_g: mass, ...more },
  ];
  const course = (...rows: Written[]) => {
    const season = seasonOf(hill, rows);
    return courseOf(season, season.sets.get('A1')!.shares[0]!).map(
      ({ day: at, lost, atTransfer, beyond }) => [
        at,
        ...[lost, atTransfer, beyond].map((one) => Math.round(one * 1000) / 1000),
      ],
    );
  };
  const heavy = set('A1', '2027-03-06', 'orchard', { eggs: 10, mass_g: 600 });

  test('on a straight line from the mass at setting, from the fourth day on', () => {
    // 600 g that lose 12 % in 18 days lose 4 % by day 6; the band is 10 to 14 % (seeds/species.yaml).
    expect(course(heavy, weighed('2027-03-12', 10, 576))).toEqual([[6, 4, 12, 0]]);
    expect(course(heavy, weighed('2027-03-09', 10, 588))).toEqual([]);
    expect(course(heavy, weighed('2027-03-10', 10, 584))).toEqual([[4, 2.667, 12, 0]]);
    expect(course(heavy, weighed('2027-03-12', 10, 568))).toEqual([[6, 5.333, 16, 2]]);
    expect(course(heavy, weighed('2027-03-12', 10, 584))).toEqual([[6, 2.667, 8, -2]]);
    expect(course(heavy, weighed('2027-03-12', 10, 572))).toEqual([[6, 4.667, 14, 0]]);
    expect(course(heavy, weighed('2027-03-12', 10, 580))).toEqual([[6, 3.333, 10, 0]]);
  });

  test('against the first weighing of as many eggs, where there is one', () => {
    // Eight eggs of 57.6 g on day 6, and of 55.2 g on day 12: 0.4 g a day of 60 g.
    const rows = [heavy, weighed('2027-03-12', 8, 460.8), weighed('2027-03-18', 8, 441.6)];
    expect(course(...rows).at(-1)).toEqual([12, 8, 12, 0]);
    // Of another number by the means, from the setting.
    expect(course(heavy, weighed('2027-03-12', 8, 460.8))).toEqual([[6, 4, 12, 0]]);
    expect(course(...[rows[0]!, rows[2]!, rows[1]!])).toEqual(course(...rows));
    // Without a mass at setting the first weighing says nothing yet.
    const bare = set('A1', '2027-03-06', 'orchard', { eggs: 10 });
    expect(course(bare, weighed('2027-03-12', 10, 576))).toEqual([]);
    expect(course(bare, weighed('2027-03-12', 10, 576), weighed('2027-03-18', 10, 552))).toEqual([
      [12, 8, 12, 0],
    ]);
  });

  test('of its own weighings, and those of the set where it has one share', () => {
    const of = (pen: string) => weighed('2027-03-12', 10, 576, { pen });
    expect(course(heavy, of(''))).toHaveLength(1);
    const yard = set('A1', '2027-03-06', 'yard', { tray: 2, eggs: 5, mass_g: 300 });
    expect(course(heavy, yard, of('yard'))).toEqual([]);
    expect(course(heavy, yard, of('orchard'))).toHaveLength(1);
    expect(course(heavy, weighed('2027-03-05', 10, 610), weighed('2027-03-12', 10, 576))).toEqual([
      [6, 4, 12, 0],
    ]);
    const trays = [
      set('A1', '2027-03-06', 'orchard', { eggs: 5, mass_g: 300 }),
      set('A1', '2027-03-06', 'orchard', { tray: 2, eggs: 5, mass_g: 300 }),
    ];
    expect(course(...trays, of('orchard'))).toEqual([[6, 4, 12, 0]]);
    const half = set('A1', '2027-03-06', 'orchard', { tray: 2, eggs: 5 });
    expect(course(trays[0]!, half, of('orchard'))).toEqual([]);
  });
});

// From 5 to 45 °C a machine may show, and a setter up to 80 % (seeds/alarms.yaml).
test.each([
  [{ dry: 5 }, 'C', null],
  [{ dry: 4.9 }, 'C', ['dry', 'a temperature from 5 to 45 °C', null]],
  [{ dry: 45 }, 'C', null],
  [
    { dry: 99.5 },
    'C',
    ['dry', 'a temperature from 5 to 45 °C', '99.5 °F is 37.5 °C: write --dry 37.5'],
  ],
  [{ wet: 86 }, 'C', ['wet', 'a temperature from 5 to 45 °C', '86 °F is 30 °C: write --wet 30']],
  [{ dry: 85.9 }, 'C', ['dry', 'a temperature from 5 to 45 °C', null]],
  [
    { dry: 107.6 },
    'C',
    ['dry', 'a temperature from 5 to 45 °C', '107.6 °F is 42 °C: write --dry 42'],
  ],
  [{ dry: 107.7 }, 'C', ['dry', 'a temperature from 5 to 45 °C', null]],
  [
    { dry: 37.5 },
    'F',
    ['dry', 'a temperature from 41 to 113 °F', '37.5 °C is 99.5 °F: write --dry 99.5'],
  ],
  [{ dry: 99.5 }, 'F', null],
  [{ rh: 80 }, 'C', null],
  [
    { rh: 86 },
    'C',
    [
      'rh',
      'a humidity of at most 80 % in a setter',
      'a wet bulb in °F? write it beside its dry bulb: --wet 30',
    ],
  ],
  [
    { rh: 86 },
    'F',
    [
      'rh',
      'a humidity of at most 80 % in a setter',
      'a wet bulb in °F? write it beside its dry bulb: --wet 86',
    ],
  ],
  [{ dry: 99.5, event: 'power-off' }, 'C', null],
] as const)('a reading of %j in °%s', (cells, unit, slip) => {
  const found = readingSlip({ dry: null, wet: null, rh: null, event: null, ...cells }, unit, true);
  expect(found && [found.column, found.expected, found.hint]).toEqual(slip);
  if ('rh' in cells)
    expect(readingSlip({ dry: null, wet: null, event: null, ...cells }, unit, false)).toBeNull();
});

test('a day off by weekday or by date, for its own work, and the next working day', () => {
  const season = seasonOf(
    `${hill}days_off: {set: [sat], candle: [mon, tue], dates: [2027-03-10]}\n`,
  );
  const off = (labour: 'set' | 'candle', on: string) => isDayOff(season, labour, day(on));
  expect([
    off('set', '2027-03-06'),
    off('candle', '2027-03-06'),
    off('candle', '2027-03-10'),
  ]).toEqual([true, false, true]);
  const work = (from: string, until: string) => workingDay(season, 'candle', day(from), day(until));
  expect(work('2027-03-07', '2027-03-12')).toBe('2027-03-07');
  expect(work('2027-03-08', '2027-03-12')).toBe('2027-03-11');
  expect(work('2027-03-08', '2027-03-11')).toBe('2027-03-11');
  expect(work('2027-03-08', '2027-03-10')).toBe('2027-03-08');
});

test('posted eggs hatch so much worse that the hatch of eggs set is the one published', () => {
  const { fertile, candled, transferred } = Object.fromEntries(
    (['fertile', 'candled', 'transferred'] as const).map((stage) => [
      stage,
      seedPrior('chicken', stage).mean,
    ]),
  ) as Record<string, number>;
  const posted = postedPrior('chicken');
  // Half of posted eggs hatch (seeds/rates.yaml, with its source).
  expect(posted.mean * fertile! * candled! * transferred!).toBeCloseTo(0.5, 9);
  expect(posted.mean).toBeLessThan(seedPrior('chicken', 'hatched').mean);
  expect(posted.strength).toBe(seedPrior('chicken', 'hatched').strength);
  expect(() => seedPrior('dodo', 'hatched')).toThrow('no rates for "dodo"');
});

test('a long power cut moves the hatch of the eggs that lay in that machine on that day', () => {
  const closed = opened(16, { unpipped: 2, final: 'yes' });
  const hours = (on: string, machine = 'cabinet', minutes: number | '' = 600, file = hill) => {
    const rows = [A1, moved, closed];
    const cut: Written = ['reading', `${on}T08:00`, { machine, event: 'power-off', minutes }];
    const expected = (all: readonly Written[]) => {
      const season = seasonOf(file, all);
      return milestonesOfShare(season.sets.get('A1')!.shares[0]!, season).expected.middle;
    };
    return expected([...rows, cut]) > expected(rows);
  };
  expect([hours('2027-03-05'), hours('2027-03-06')]).toEqual([false, true]);
  expect([hours('2027-03-23'), hours('2027-03-24')]).toEqual([true, false]);
  expect([hours('2027-03-23', 'lower'), hours('2027-03-24', 'lower')]).toEqual([false, true]);
  expect([hours('2027-03-27', 'lower'), hours('2027-03-28', 'lower')]).toEqual([true, false]);
  // Up to three hours do no great harm (seeds/power.yaml); of one nobody timed it is not known.
  expect([hours('2027-03-08', 'cabinet', 180), hours('2027-03-08', 'cabinet', 181)]).toEqual([
    false,
    true,
  ]);
  expect(hours('2027-03-08', 'cabinet', '')).toBe(false);
  const single = hill.replace(/hatchers:\n.*\n/, '');
  expect(hours('2027-03-25', 'cabinet', 600, single)).toBe(true);
});
