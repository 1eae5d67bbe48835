// Figures that are most likely slips, rows written twice, days left out: the last that is not told,
// and the next.
import { expect, test } from 'vitest';
import { built, hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import type { Check } from './check.ts';
import { dayNotWritten, unknownOrder, unlikelyFigure } from './likely.ts';
import { penNotReady, tooFewMales } from './pens.ts';
import { impossibleReading } from './readings.ts';
import { withdrawal } from './treatments.ts';
import { twinRows, twinsOf } from './twins.ts';

const faults = (check: Check, rows: readonly Written[], yaml = hill) =>
  check({ season: seasonOf(yaml, rows), now: nowAt('2027-12-31') });
const messages = (...args: Parameters<typeof faults>) => faults(...args).map((one) => one.message);

const eggs = (on: string, laid: number | '', kept: number, more = {}): Written => [
  'eggs',
  on,
  { pen: 'orchard', laid, kept, ...more },
];

// Nine hens lay an egg a day each, gathered over four days at the most, and one is found late.
test.each<[string, Written[], string[]]>([
  ['the first eggs of four days', [eggs('2027-03-01', 37, 0)], []],
  ['one egg more', [eggs('2027-03-01', 38, 0)], ['38 eggs of 9 hens in 4 days']],
  ['kept where laid is not said', [eggs('2027-03-01', '', 38)], ['38 eggs of 9 hens in 4 days']],
  ['laid, not kept', [eggs('2027-03-01', 38, 1)], ['38 eggs of 9 hens in 4 days']],
  ['the eggs of a day', [eggs('2027-03-01', 1, 0), eggs('2027-03-02', 10, 0)], []],
  [
    'one more than of a day',
    [eggs('2027-03-01', 1, 0), eggs('2027-03-02', 11, 0)],
    ['11 eggs of 9 hens in a day'],
  ],
  ['a second gathering of a day', [eggs('2027-03-01', 1, 0), eggs('2027-03-01', 10, 0)], []],
  [
    'two days',
    [eggs('2027-03-01', 1, 0), eggs('2027-03-03', 20, 0)],
    ['20 eggs of 9 hens in 2 days'],
  ],
  [
    'after a week it is four days',
    [eggs('2027-03-01', 1, 0), eggs('2027-03-08', 38, 0)],
    ['38 eggs of 9 hens in 4 days'],
  ],
  ['hens counted that day', [eggs('2027-03-01', 38, 0, { hens: 10 })], []],
  [
    'no hens that day by the book',
    [
      ['pen-change', '2027-02-28', { pen: 'orchard', change: 'removed', birds: 9, sex: 'female' }],
      eggs('2027-03-01', 9, 0),
    ],
    [],
  ],
])('%s', (_, rows, told) => {
  expect(messages(unlikelyFigure, rows)).toEqual(told.map((one) => `orchard: ${one}`));
});

test('each pen’s days are its own, and of bought eggs nobody counts hens', () => {
  const other: Written = ['eggs', '2027-03-02', { pen: 'yard', laid: 33, kept: 0 }];
  expect(messages(unlikelyFigure, [eggs('2027-03-01', 1, 0), other])).toEqual([]);
  const bought = hill.replace(
    'hens: 9, males: 1, joined: 2027-01-30}',
    'bought: {from: Elm Row, on: 2027-03-01, eggs: 60}}',
  );
  expect(messages(unlikelyFigure, [eggs('2027-03-01', 60, 60)], bought)).toEqual([]);
});

// Chicken eggs are of 50 to 70 g (seeds/species.yaml), and may stray by a factor of 1.6.
test.each([
  [10, 313, 0],
  [10, 312, 1],
  [10, 1120, 0],
  [10, 1121, 1],
])('%i eggs of %i g', (count, mass, told) => {
  const set: Written = [
    'set',
    '2027-03-06',
    { set: 'A1', pen: 'orchard', tray: 1, eggs: count, mass_g: mass },
  ];
  const bare: Written = ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: count }];
  const weighed: Written = [
    'weighing',
    '2027-03-12',
    { set: 'A1', pen: 'orchard', eggs: count, mass_g: mass },
  ];
  expect(faults(unlikelyFigure, [set])).toHaveLength(told);
  expect(faults(unlikelyFigure, [bare, weighed])).toHaveLength(told);
  expect(faults(unlikelyFigure, [bare, weighed, weighed])).toHaveLength(2 * told);
});

test('days without eggs between those that have some are told, with where they are', () => {
  const on = (...days: number[]) =>
    days.map((one) => eggs(`2027-03-${String(one).padStart(2, '0')}`, 3, 3));
  expect(messages(dayNotWritten, on(1, 2, 3))).toEqual([]);
  expect(messages(dayNotWritten, on(1, 1))).toEqual([]);
  expect(messages(dayNotWritten, on(1, 3))).toEqual([
    'orchard: eggs are not written down of 1 day (after Mon\u00a02027-03-01)',
  ]);
  expect(messages(dayNotWritten, on(1, 3, 6))).toEqual([
    'orchard: eggs are not written down of 3 days (after Mon\u00a02027-03-01, 2 after Wed\u00a02027-03-03)',
  ]);
  expect(messages(dayNotWritten, on(1, 3, 5, 7, 9, 11))[0]).toMatch(/5 days \(.*03-09\)$/);
  expect(messages(dayNotWritten, on(1, 3, 5, 7, 9, 11, 13))[0]).toMatch(/6 days \(.*03-09, …\)$/);
  const [fault] = faults(dayNotWritten, on(1, 3, 4));
  expect([fault!.at.line, fault!.pen]).toEqual([4, 'orchard']);
  const both: Written[] = [...on(1), ['eggs', '2027-03-02', { pen: 'yard', kept: 1 }], ...on(3)];
  expect(messages(dayNotWritten, both)).toHaveLength(1);
  const bought = hill.replace(
    'hens: 9, males: 1, joined: 2027-01-30}',
    'bought: {from: Elm Row, on: 2027-03-01, eggs: 60}}',
  );
  expect(messages(dayNotWritten, on(1, 3), bought)).toEqual([]);
});

test('an order must stand in the season, of birds and of eggs', () => {
  const out = (order: string): Written => [
    'eggs-out',
    '2027-03-03',
    { pen: 'orchard', eggs: 2, way: 'sold', order },
  ];
  const rows = (order: string) => [eggs('2027-03-01', 9, 9), out(order)];
  const ordered = `${hill}orders:\n  - {for: Market, line: sussex, want: chicks, count: 5, by: 2027-05-01}\n`;
  expect(messages(unknownOrder, rows(''))).toEqual([]);
  expect(messages(unknownOrder, rows('Market'))).toEqual([
    'order: "Market" is not among orders: of season.yaml',
  ]);
  expect(messages(unknownOrder, rows('Market'), ordered)).toEqual([]);
  expect(faults(unknownOrder, rows('Fair'), ordered).map((one) => [one.about, one.hint])).toEqual([
    ['Fair', 'orders: Market'],
  ]);
});

test('a reading that no machine gives, in a setter and in a hatcher', () => {
  const read = (machine: string, cells: object): Written => [
    'reading',
    '2027-03-08T08:00',
    { machine, ...cells },
  ];
  const told = (machine: string, cells: object, yaml = hill) =>
    messages(impossibleReading, [read(machine, cells)], yaml);
  expect(told('cabinet', { dry: 37.5, rh: 80 })).toEqual([]);
  expect(told('cabinet', { dry: 99.5 })).toEqual([
    expect.stringMatching(/^cabinet: dry: expected a temperature from .* found 99.5$/),
  ]);
  // Above 80 % a setter's humidity is most likely a wet bulb in °F (seeds/alarms.yaml).
  expect(told('cabinet', { dry: 37.5, rh: 80.1 })).toHaveLength(1);
  expect(told('lower', { dry: 37.5, rh: 86 })).toEqual([]);
  // Where eggs hatch in the setter it may be as damp as a hatcher.
  const one = hill.replace(/hatchers:\n.*\n/, '');
  expect(told('cabinet', { dry: 37.5, rh: 86 }, one)).toEqual([]);
});

test('rows that say the same twice are told in the order written, once for each repetition', () => {
  const same = eggs('2027-03-01', 9, 9);
  expect(messages(twinRows, [same, eggs('2027-03-01', 9, 8)])).toEqual([]);
  expect(messages(twinRows, [same, same])).toEqual([
    'eggs orchard of 2027-03-01 stands twice: 0000000000 (log/eggs.csv:2) and 0000000001',
  ]);
  const three = twinsOf(seasonOf(hill, [same, same, same]));
  expect(three.map((one) => [one.first.entry, one.again.entry])).toEqual([
    ['0000000000', '0000000001'],
    ['0000000000', '0000000002'],
  ]);
  expect(faults(twinRows, [same, same])[0]).toMatchObject({
    about: '0000000001',
    pen: 'orchard',
    set: null,
  });
});

test('by whom, when it was written and with what note makes no other fact', () => {
  const later = eggs('2027-03-01T18:30', 9, 9, { by: 'kim', note: 'mild' });
  expect(messages(twinRows, [eggs('2027-03-01T07:00', 9, 9), later])).toHaveLength(1);
  // Of two seconds the earlier is the first, wherever it stands; of one second the lesser entry.
  const at = (recorded: string, entry: string) => eggs('2027-03-01', 9, 9, { recorded, entry });
  const first = (...rows: Written[]) => twinsOf(seasonOf(hill, rows))[0]!.first.entry;
  const [nine, ten] = ['2027-03-01T09:00:00Z', '2027-03-01T10:00:00Z'];
  expect(first(at(ten, 'a000000000'), at(nine, 'b000000000'))).toBe('b000000000');
  expect(first(at(nine, 'b000000000'), at(nine, 'a000000000'))).toBe('a000000000');
  expect(first(at(nine, 'a000000000'), at(nine, 'b000000000'))).toBe('a000000000');
});

test('of rows not in their file yet, that in the file is the first', () => {
  const season = seasonOf(hill, [eggs('2027-03-01', 9, 9), eggs('2027-03-01', 9, 9)]);
  const [a, b] = season.rows.eggs;
  const pending = (row: typeof a) => ({
    ...row!,
    recordedAt: 0,
    at: { ...row!.at, line: Number.NaN },
  });
  const told = (...rows: readonly (typeof a)[]) => {
    const own = { ...season, rows: { ...season.rows, eggs: rows as typeof season.rows.eggs } };
    return twinRows({ season: own, now: nowAt('2027-12-31') }).map((one) => [
      one.about,
      one.message,
    ]);
  };
  const written = { ...b!, recordedAt: 0 };
  const says = 'eggs orchard of 2027-03-01 stands twice';
  for (const rows of [
    [pending(a), written],
    [written, pending(a)],
  ])
    expect(told(...rows)).toEqual([
      ['0000000000', `${says}: 0000000001 (log/eggs.csv:3) says the same`],
    ]);
  expect(told(pending(a), pending(b))).toEqual([
    ['0000000001', `${says} in what is to be written`],
  ]);
});

test('what is read at a minute is a twin at that minute alone, but a set is at its day', () => {
  const read = (time: string): Written => [
    'reading',
    `2027-03-08T${time}`,
    { machine: 'cabinet', dry: 37.5 },
  ];
  expect(messages(twinRows, [read('08:00'), read('09:00')])).toEqual([]);
  expect(messages(twinRows, [read('08:00'), read('08:00')])).toEqual([
    expect.stringContaining('reading cabinet of 2027-03-08T08:00 stands twice'),
  ]);
  const set = (time: string): Written => [
    'set',
    `2027-03-06T${time}`,
    { set: 'A1', pen: 'orchard', tray: 1, eggs: 9 },
  ];
  const { season } = built(hill, [set('08:00'), set('09:00')]);
  expect(twinsOf(season).map((one) => [one.record, one.again.entry])).toEqual([
    ['set', '0000000001'],
  ]);
  expect(twinRows({ season, now: nowAt('2027-12-31') })[0]).toMatchObject({
    message: expect.stringContaining('set A1 orchard of 2027-03-06T09:00 stands twice'),
    set: 'A1',
    pen: 'orchard',
  });
});

test('a tick or an acceptance twice is harmless, and an accepted twin is not told', () => {
  const tick: Written = ['tick', '2027-03-08T08:00', { task: 'A1/damp-up' }];
  expect(messages(twinRows, [tick, tick])).toEqual([]);
  const same = eggs('2027-03-01', 9, 9);
  const accepted = (code: string, about: string): Written => [
    'acceptance',
    '2027-03-02',
    { code, about, why: 'two baskets' },
  ];
  expect(messages(twinRows, [same, same, accepted('twin-rows', '0000000001')])).toEqual([]);
  expect(messages(twinRows, [same, same, accepted('twin-rows', '0000000009')])).toHaveLength(1);
  expect(messages(twinRows, [same, same, accepted('unlikely-figure', '0000000001')])).toHaveLength(
    1,
  );
  expect(messages(twinRows, [same, same, same, accepted('twin-rows', '0000000000')])).toHaveLength(
    1,
  );
});

// The day of treatment is none of the label's days: seven days from the 1st are clear on the 9th.
test('eggs and meat inside a withdrawal, of their own pen or group, on the last day and the next', () => {
  const treated = (cells: object): Written => [
    'treatment',
    '2027-03-01',
    { group_or_pen: 'orchard', product: 'as labelled', ...cells },
  ];
  const told = (cells: object, on: string, laid: number | '', kept: number) =>
    faults(withdrawal, [treated(cells), eggs(on, laid, kept)]).map((one) => one.severity);
  const both = { egg_withdrawal_days: 7, meat_withdrawal_days: 30 };
  expect(told(both, '2027-02-28', 9, 5)).toEqual([]);
  expect(told(both, '2027-03-01', 9, 5)).toEqual(['warning']);
  expect(told(both, '2027-03-08', 9, 5)).toEqual(['warning']);
  expect(told(both, '2027-03-09', 9, 5)).toEqual([]);
  // Eggs that are all kept, and of which it is not known that any were not, are eaten by nobody.
  expect(told(both, '2027-03-08', 9, 9)).toEqual([]);
  expect(told(both, '2027-03-08', '', 9)).toEqual([]);
  expect(told({ meat_withdrawal_days: 30 }, '2027-03-08', 9, 5)).toEqual([]);
  expect(told({ egg_withdrawal_days: 0 }, '2027-03-01', 9, 5)).toEqual([]);
  expect(told({}, '2027-03-08', 9, 5)).toEqual(['warning']);
  const other: Written = ['eggs', '2027-03-08', { pen: 'yard', laid: 8, kept: 5 }];
  expect(faults(withdrawal, [treated(both), other])).toEqual([]);
});

test('as many hens as the class allows to a male, one more, and no male', () => {
  // Ten to one for dual-purpose chickens (seeds/species.yaml).
  const told = (hens: number, males: number, kind = 'dual-purpose') =>
    faults(
      tooFewMales,
      [],
      hill
        .replace('dual-purpose', kind)
        .replace('hens: 9, males: 1', `hens: ${hens}, males: ${males}`),
    )
      .filter((one) => one.pen === 'orchard')
      .map((one) => [one.severity, one.message.slice('orchard: '.length)]);
  expect(told(10, 1)).toEqual([]);
  expect(told(11, 1)).toEqual([['warning', '11 hens to 1 male; at most 10 to one for sussex']]);
  expect(told(20, 2)).toEqual([]);
  expect(told(21, 2)).toEqual([['warning', '21 hens to 2 males; at most 10 to one for sussex']]);
  expect(told(15, 1, 'light')).toEqual([]);
  expect(told(16, 1, 'light')).toHaveLength(1);
  expect(told(1, 0)).toEqual([['error', '1 hen and no male']]);
  expect(told(0, 0)).toEqual([]);
});

test('eggs of a pen that is not ready are added up by set and pen', () => {
  const rows: Written[] = [
    ['eggs', '2027-02-04', { pen: 'orchard', kept: 5 }],
    ['eggs', '2027-02-05', { pen: 'orchard', kept: 5 }],
    ['eggs', '2027-02-05', { pen: 'yard', kept: 5 }],
    ['eggs', '2027-02-06', { pen: 'orchard', kept: 5 }],
    ['set', '2027-02-07', { set: 'A1', pen: 'orchard', tray: 1, eggs: 15 }],
    ['set', '2027-02-07', { set: 'A1', pen: 'yard', tray: 2, eggs: 5 }],
  ];
  // Joined on 30 January, fertile seven days later.
  expect(messages(penNotReady, rows).map((one) => one.split(' laid')[0])).toEqual([
    'A1: 10 eggs of orchard',
    'A1: 5 eggs of yard',
  ]);
});
