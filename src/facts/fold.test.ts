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

const attic = hill
  .replace('setters:', 'setters:\n  attic: {trays: 1, tray_holds: {chicken: 40}}')
  .replace('hatchers:', 'hatchers:\n  upper: {holds: {chicken: 40}}');
const planOf = (yaml: string, ...lines: string[]) =>
  `${yaml}plan:\n${lines.map((one) => `  - {${one}}\n`).join('')}`;
const told = (yaml: string, rows: readonly Written[]) =>
  built(yaml, rows).faults.map((one) => [one.code, one.at.file.replace(/^log\//, ''), one.at.line]);
const setRow = (on: string, more = {}): Written => [
  'set',
  on,
  { set: 'A1', pen: 'orchard', tray: 1, eggs: 9, ...more },
];

test('planned sets stand in the order of their days and names, as the file says of them', () => {
  const { planned } = seasonOf(
    planOf(
      attic,
      'set: B2, on: 2027-03-13, setter: cabinet, trays: [1], shares: {orchard: 9}',
      'set: B1, on: 2027-03-13, setter: attic, trays: [1], shares: {yard: 9}, hatcher: upper',
      'set: A1, on: 2027-03-20, setter: cabinet, trays: [2], shares: {pond: 9}',
      'set: C1, on: 2027-03-06, setter: cabinet, trays: [2], shares: {orchard: 5, yard: 4}',
    ),
  );
  expect(
    planned.map(({ name, hatcher, speciesName, at }) => [name, hatcher, speciesName, at.line]),
  ).toEqual([
    ['C1', null, 'chicken', 22],
    ['B1', 'upper', 'chicken', 20],
    ['B2', null, 'chicken', 19],
    ['A1', null, 'duck', 21],
  ]);
  expect(planned[0]!.shares.map(({ pen, eggs }) => [pen.name, eggs])).toEqual([
    ['orchard', 5],
    ['yard', 4],
  ]);
});

test('lines, pens and machines are as the file says, with their places', () => {
  const season = seasonOf(hill.replace('class: dual-purpose', 'class: dual-purpose, egg_g: 58'));
  expect([...season.lines.values()].map((one) => one.egg_g)).toEqual([58, null]);
  const pen = season.pens.get('yard')!;
  expect(pen).toMatchObject({
    changes: [],
    age: 'young',
    parted: null,
    bought: null,
    at: { line: 9 },
  });
  expect(season.setters.get('cabinet')!.at.line).toBe(12);
  expect(season.hatchers.get('lower')!.at.line).toBe(14);
});

test('a set that lies in the setter of its plan need not name it', () => {
  const plan = planOf(
    attic,
    'set: A1, on: 2027-03-06, setter: attic, trays: [1], shares: {orchard: 9}',
  );
  const bare = setRow('2027-03-06', { tray: '' });
  expect(told(plan, [bare])).toEqual([]);
  expect(seasonOf(plan, [bare]).sets.get('A1')!.shares[0]!.trays[0]).toMatchObject({
    setter: 'attic',
    tray: 1,
  });
  // Of another set nobody knows where it lies.
  expect(told(plan, [setRow('2027-03-06', { set: 'A2', tray: '' })])).toEqual([
    ['unknown-name', 'sets.csv', 2],
  ]);
  // The attic has one tray.
  expect(told(plan, [setRow('2027-03-06', { tray: 2 })])).toEqual([
    ['unknown-name', 'sets.csv', 2],
  ]);
  expect(told(attic, [setRow('2027-03-06', { setter: 'attic', tray: 1 })])).toEqual([]);
});

test('a tray that is not written is the one of the plan, or the only one', () => {
  const tray = (yaml: string, more = {}) =>
    seasonOf(yaml, [setRow('2027-03-06', { tray: '', ...more })]).sets.get('A1')!.shares[0]!
      .trays[0]!.tray;
  expect(tray(hill)).toBeNull();
  expect(tray(attic, { setter: 'attic' })).toBe(1);
  const plan = (trays: string) =>
    planOf(hill, `set: A1, on: 2027-03-06, trays: [${trays}], shares: {orchard: 9}`);
  expect(tray(plan('2'))).toBe(2);
  expect(tray(plan('2, 3'))).toBeNull();
});

test('a birds’ name of an earlier season is not asked for here', () => {
  const rows: Written[] = [['score', '2027-03-06', { bird: 'N1', trait: 'mass', value: 3 }]];
  expect(told(hill, rows)).toEqual([['unknown-name', 'scores.csv', 2]]);
  expect(told(`${hill}previous: [../2026]\n`, rows)).toEqual([]);
});

test('a name that is planned and not recorded is told so', () => {
  const plan = planOf(
    hill,
    'set: A7, on: 2027-03-06, trays: [1], shares: {orchard: 9}',
    'set: A8, on: 2027-03-13, trays: [1], shares: {orchard: 9}',
  );
  const hint = (set: string, record: 'candling' | 'group' = 'candling') =>
    built(plan, [
      record === 'candling'
        ? ['candling', '2027-03-13', { set, clear: 2 }]
        : ['loss', '2027-03-13', { group: set, birds: 1 }],
    ]).faults[0]!.hint;
  expect(hint('A7')).toBe('A7 is planned but not yet recorded: traybook add set A7 …');
  expect(hint('A9')).toBeNull();
  expect(hint('A7', 'group')).toBeNull();
});

test('the row written first names the set, whatever minute later ones give', () => {
  const row = (pen: string, on: string, recorded: string): Written => [
    'set',
    on,
    { set: 'A1', pen, tray: pen === 'orchard' ? 1 : 2, eggs: 5, recorded },
  ];
  const [nine, ten] = ['2027-03-06T09:00:00Z', '2027-03-06T10:00:00Z'];
  const orchard = (recorded: string) => row('orchard', '2027-03-06', recorded);
  const yard = (recorded: string) => row('yard', '2027-03-07', recorded);
  const refused = (...rows: Written[]) => built(hill, rows).faults.map((one) => one.pen);
  expect(refused(orchard(nine), yard(ten))).toEqual(['yard']);
  expect(refused(orchard(ten), yard(nine))).toEqual(['orchard']);
  expect(refused(yard(nine), orchard(ten))).toEqual(['orchard']);
  // Of one second the row that stands first.
  expect(refused(orchard(nine), yard(nine))).toEqual(['yard']);
  expect(refused(yard(nine), orchard(nine))).toEqual(['orchard']);
});

test('shares stand in the order of the pens, and the set begins with its first minute', () => {
  const rows: Written[] = [
    setRow('2027-03-06T19:00', { pen: 'yard', tray: 2 }),
    setRow('2027-03-06T18:00', { pen: 'orchard', tray: 1 }),
  ];
  const one = seasonOf(hill, rows).sets.get('A1')!;
  expect(one.shares.map(({ pen }) => pen.name)).toEqual(['orchard', 'yard']);
  expect(one.on).toEqual({ day: '2027-03-06', time: '18:00' });
  expect(one.plan).toBeNull();
});

test('of the eggs of a share the oldest stand first, over all its rows', () => {
  const rows: Written[] = [
    ...eggs,
    setRow('2027-03-06', { tray: 1, eggs: 8, laid_from: '2027-03-04' }),
    setRow('2027-03-06', { tray: 2, eggs: 6, laid_to: '2027-03-02' }),
  ];
  const { drawn, trays } = share(rows);
  expect(drawn.map(({ laid }) => laid)).toEqual([...drawn.map(({ laid }) => laid)].sort());
  expect(trays.map((tray) => [tray.tray, tray.eggs])).toEqual([
    [1, 8],
    [2, 6],
  ]);
});

test('a set lies under hens or in machines', () => {
  const hen = hill.replace(
    'hatchers:',
    '  hazel: {broody: true, tray_holds: {chicken: 12}}\nhatchers:',
  );
  const rows = (setter: string): Written[] => [
    setRow('2027-03-06'),
    ['set', '2027-03-06', { set: 'A1', pen: 'yard', setter, eggs: 5 }],
  ];
  expect(told(hen, rows('cabinet'))).toEqual([]);
  expect(built(hen, rows('hazel')).faults.map((one) => [one.code, one.pen])).toEqual([
    ['name-taken', 'yard'],
  ]);
});

test('eggs that left are drawn from the store in the order of time, oldest first', () => {
  const rows: Written[] = [
    ['eggs', '2027-03-02', { pen: 'orchard', kept: 10 }],
    ['eggs', '2027-03-04', { pen: 'orchard', kept: 10 }],
    setRow('2027-03-06', { eggs: 10 }),
    ['eggs-out', '2027-03-05', { pen: 'orchard', eggs: 6, way: 'eaten' }],
  ];
  // Six of the older were eaten the day before the freshest were set.
  expect(seasonOf(hill, rows).lots.map((lot) => [lot.laid, lot.left])).toEqual([
    ['2027-03-02', 4],
    ['2027-03-04', 0],
  ]);
  const { eggsOut } = seasonOf(hill, [
    ...rows.slice(0, 2),
    ['eggs-out', '2027-03-05', { pen: 'orchard', eggs: 25, way: 'eaten' }],
  ]);
  expect(eggsOut.map((one) => one.notKept)).toEqual([5]);
});

test('a transfer names its hatcher where there are two, unless the plan does', () => {
  const rows = (hatcher: string): Written[] => [
    setRow('2027-03-06', { setter: 'cabinet' }),
    ['transfer', '2027-03-24', { set: 'A1', hatcher, moved: 9 }],
  ];
  expect(told(attic, rows(''))).toEqual([['unknown-name', 'transfers.csv', 2]]);
  expect(told(attic, rows('upper'))).toEqual([]);
  const hatcherOf = (yaml: string, hatcher: string) =>
    built(yaml, rows(hatcher)).season.sets.get('A1')!.shares[0]!.hatcher;
  expect(hatcherOf(attic, 'upper')).toBe('upper');
  expect(hatcherOf(attic, '')).toBeNull();
  expect(hatcherOf(hill, '')).toBe('lower');
  const plan = planOf(
    attic,
    'set: A1, on: 2027-03-06, setter: cabinet, trays: [1], shares: {orchard: 9}, hatcher: upper',
  );
  expect(told(plan, rows(''))).toEqual([]);
  expect(hatcherOf(plan, '')).toBe('upper');
  expect(hatcherOf(plan, 'lower')).toBe('lower');
});
