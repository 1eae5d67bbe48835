import { expect, test } from 'vitest';
import { built, hill, seasonOf, type Written } from '../../tests/support/season.ts';

const eggs: Written[] = [
  ['eggs', '2027-02-20', { pen: 'orchard', kept: 6 }],
  ['eggs', '2027-03-02', { pen: 'orchard', kept: 10 }],
  ['eggs', '2027-03-04', { pen: 'orchard', kept: 10 }],
];
const set: Written = ['set', '2027-03-06T18:00', { set: 'A1', pen: 'orchard', tray: 1, eggs: 15 }];
const share = (written: readonly Written[]) => seasonOf(hill, written).sets.get('A1')!.shares[0]!;

test('the freshest eggs go first', () => {
  expect(share([...eggs, set]).drawn).toEqual([
    { laid: '2027-03-02', age: 4, eggs: 5 },
    { laid: '2027-03-04', age: 2, eggs: 10 },
  ]);
});

test('eggs past the storage limit are drawn when the younger do not suffice', () => {
  const all = share([...eggs, ['set', '2027-03-06', { set: 'A1', pen: 'orchard', eggs: 22 }]]);
  expect(all.drawn[0]).toEqual({ laid: '2027-02-20', age: 14, eggs: 2 });
  expect(all.notKept).toBe(0);
  const more = share([...eggs, ['set', '2027-03-06', { set: 'A1', pen: 'orchard', eggs: 30 }]]);
  expect(more.notKept).toBe(4);
});

test('laid_from and laid_to say which eggs, and what is left stays in store', () => {
  const written: Written[] = [
    ...eggs,
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', eggs: 8, laid_from: '2027-03-03' }],
  ];
  expect(share(written).drawn).toEqual([{ laid: '2027-03-04', age: 2, eggs: 8 }]);
  expect(seasonOf(hill, written).lots.map((lot) => lot.left)).toEqual([6, 10, 2]);
  const early = share([
    ...eggs,
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', eggs: 12, laid_to: '2027-03-02' }],
  ]);
  expect(early.drawn.every((one) => one.laid <= '2027-03-02')).toBe(true);
});

test('stage, live eggs and what is not accounted for follow the rows', () => {
  const candled: Written[] = [...eggs, set, ['candling', '2027-03-13', { set: 'A1', clear: 2 }]];
  expect(share(candled)).toMatchObject({ stage: 'in-setter', live: 13, hatcher: null });
  const moved: Written[] = [
    ...candled,
    ['transfer', '2027-03-24', { set: 'A1', moved: 11, quit: 1 }],
  ];
  expect(share(moved)).toMatchObject({
    stage: 'in-hatcher',
    live: 11,
    hatcher: 'lower',
    tally: { missingAtTransfer: 1 },
  });
  const opened: Written[] = [...moved, ['hatch', '2027-03-27', { set: 'A1', hatched: 8 }]];
  expect(share(opened)).toMatchObject({
    stage: 'in-hatcher',
    live: 3,
    tally: { missingAtHatch: null },
  });
  const closed: Written[] = [
    ...opened,
    ['hatch', '2027-03-28', { set: 'A1', hatched: 1, unpipped: 1, final: 'yes' }],
  ];
  expect(share(closed)).toMatchObject({
    stage: 'finished',
    live: 0,
    tally: { missingAtHatch: 1 },
    finishedOn: '2027-03-28',
  });
});

test('rows that name something unknown are told and left out of the sums', () => {
  const { faults, season } = built(hill, [
    ...eggs,
    set,
    ['candling', '2027-03-13', { set: 'A7', clear: 2 }],
    ['candling', '2027-03-13', { set: 'A1', pen: 'yard', clear: 2 }],
  ]);
  expect(faults.map((one) => [one.code, one.at.file, one.at.line])).toEqual([
    ['unknown-name', 'log/candlings.csv', 2],
    ['unknown-name', 'log/candlings.csv', 3],
  ]);
  expect(season.sets.get('A1')!.shares[0]!.live).toBe(15);
});

test.each<[string, Written, string]>([
  [
    'another day',
    ['set', '2027-03-07', { set: 'A1', pen: 'yard', tray: 2, eggs: 5 }],
    'name-taken',
  ],
  [
    'another species',
    ['set', '2027-03-06', { set: 'A1', pen: 'pond', tray: 2, eggs: 5 }],
    'wrong-species',
  ],
  [
    'the same tray',
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 5 }],
    'name-taken',
  ],
  [
    'no such tray',
    ['set', '2027-03-06', { set: 'A1', pen: 'yard', tray: 4, eggs: 5 }],
    'unknown-name',
  ],
])('a set row of %s is refused', (_, row, code) => {
  expect(built(hill, [set, row]).faults.map((one) => one.code)).toEqual([code]);
});

test('a row without a pen is refused where a set has two shares', () => {
  const { faults } = built(hill, [
    set,
    ['set', '2027-03-06T18:00', { set: 'A1', pen: 'yard', tray: 1, eggs: 9 }],
    ['candling', '2027-03-13', { set: 'A1', clear: 2 }],
  ]);
  expect(faults.map((one) => one.code)).toEqual(['pen-needed']);
});
