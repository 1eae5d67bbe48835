// What may not come before what: the day before, on and after.
import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { outOfBalance } from './balance.ts';
import { orderOfEvents } from './order.ts';

const set: Written = ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 20 }];
const candled = (on: string): Written => ['candling', on, { set: 'A1', clear: 2 }];
const moved = (on: string): Written => ['transfer', on, { set: 'A1', moved: 20 }];
const opened = (on: string, hatched = 16): Written => [
  'hatch',
  on,
  { set: 'A1', hatched, unpipped: 20 - hatched, final: 'yes' },
];
const told = (rows: readonly Written[], now = '2027-12-31', yaml = hill) =>
  orderOfEvents({ season: seasonOf(yaml, [set, ...rows]), now: nowAt(now) });

test.each<[string, Written[], string[]]>([
  [
    'candled before it was set',
    [candled('2027-03-05')],
    ['candled on 2027-03-05, and it was set on 2027-03-06'],
  ],
  ['candled on the day', [candled('2027-03-06')], []],
  ['candled on the day it was moved', [candled('2027-03-24'), moved('2027-03-24')], []],
  [
    'candled after it was moved',
    [candled('2027-03-25'), moved('2027-03-24')],
    ['candled on 2027-03-25, after it was moved to the hatcher on 2027-03-24'],
  ],
  [
    'moved before it was set',
    [moved('2027-03-05')],
    ['moved to the hatcher on 2027-03-05, and it was set on 2027-03-06'],
  ],
  ['moved on the day', [moved('2027-03-06')], []],
  [
    'opened before it was moved',
    [moved('2027-03-28'), opened('2027-03-27')],
    ['opened on 2027-03-27, and it was moved to the hatcher on 2027-03-28'],
  ],
  ['opened on the day it was moved', [moved('2027-03-27'), opened('2027-03-27')], []],
  ['opened and never moved', [opened('2027-03-27')], ['chicks are recorded, and no transfer']],
  [
    'opened before it was set, and never moved',
    [opened('2027-03-05', 0)],
    ['opened on 2027-03-05, and it was set on 2027-03-06', 'chicks are recorded, and no transfer'],
  ],
  // Chickens hatch from day 20; two days sooner is a slip (seeds/species.yaml, seeds/work.yaml).
  ['chicks on day 18', [moved('2027-03-24'), opened('2027-03-24')], []],
  [
    'chicks on day 17',
    [moved('2027-03-23'), opened('2027-03-23')],
    ['chicks on 2027-03-23, before 2027-03-24; set on 2027-03-06'],
  ],
  ['opened on day 17, and no chick', [moved('2027-03-23'), opened('2027-03-23', 0)], []],
  [
    'a second opening with the first chicks too soon',
    [moved('2027-03-20'), ['hatch', '2027-03-21', { set: 'A1', hatched: 0 }], opened('2027-03-23')],
    ['chicks on 2027-03-23, before 2027-03-24; set on 2027-03-06'],
  ],
])('%s', (_, rows, messages) => {
  const found = told(rows);
  expect(found.map((one) => one.message)).toEqual(messages.map((one) => `A1 orchard: ${one}`));
  expect(found.every((one) => one.set === 'A1' && one.pen === 'orchard')).toBe(true);
});

test('under a hen nothing is moved to a hatcher', () => {
  const yaml = hill.replace(
    'hatchers:',
    '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
  );
  const rows: Written[] = [
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', setter: 'hazel', eggs: 20 }],
    opened('2027-03-27'),
  ];
  const found = orderOfEvents({ season: seasonOf(yaml, rows), now: nowAt('2027-12-31') });
  expect(found).toEqual([]);
});

test('a row of today is in order, one of tomorrow is not', () => {
  expect(told([candled('2027-03-13')], '2027-03-13')).toEqual([]);
  expect(told([candled('2027-03-13')], '2027-03-12').map((one) => one.message)).toEqual([
    'on: 2027-03-13 has not come yet; today is 2027-03-12',
  ]);
});

test('more that came out than went in is an error, fewer a warning, and as many nothing', () => {
  const balance = (moved: number) =>
    outOfBalance({
      season: seasonOf(hill, [set, ['transfer', '2027-03-24', { set: 'A1', moved }]]),
      now: nowAt('2027-03-24'),
    }).map((one) => [one.severity, one.set, one.pen, /: (.*?):/.exec(one.message)![1]]);
  expect(balance(21)).toEqual([['error', 'A1', 'orchard', '1 too many']]);
  expect(balance(20)).toEqual([]);
  expect(balance(19)).toEqual([['warning', 'A1', 'orchard', '1 not accounted for']]);
});
