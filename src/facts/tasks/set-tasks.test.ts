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

// Chickens: candled on day 7, within three days; moved on day 18; damped within a day; watched from
// day 20; hatched on day 21; opened for the last time a day later (seeds/species.yaml, work.yaml).
const two: Written[] = [
  ['set', '2027-03-06T18:00', { set: 'A1', pen: 'orchard', tray: 1, eggs: 12 }],
  ['set', '2027-03-06T18:00', { set: 'A1', pen: 'yard', tray: 2, eggs: 8 }],
];
const candled = (pen: string, clear: number, on = '2027-03-13'): Written => [
  'candling',
  on,
  { set: 'A1', pen, clear },
];
const moved = (pen: string, count: number, on = '2027-03-24'): Written => [
  'transfer',
  on,
  { set: 'A1', pen, moved: count },
];
const opened = (pen: string, hatched: number, more = {}, on = '2027-03-27'): Written => [
  'hatch',
  on,
  { set: 'A1', pen, hatched, ...more },
];
const tasks = (rows: readonly Written[], now: string, file = hill, time = '07:00') =>
  setTasks(seasonOf(file, rows), { ...nowAt(now), time });
const ids = (...args: Parameters<typeof tasks>) => tasks(...args).map((one) => one.id);
const one = (id: string, ...args: Parameters<typeof tasks>) =>
  tasks(...args).find((task) => task.id === id);
const planned = (on = '2027-03-06', more = '') =>
  `${hill}plan:\n  - {set: A1, on: ${on}, setter: cabinet, trays: [1], shares: {orchard: 12, yard: 8}}\n${more}`;
const ALL = ['candle-1', 'transfer', 'damp-up', 'watch', 'hatch', 'last-opening', 'clean'].map(
  (kind) => `A1/${kind}`,
);

test('the life of a planned set, each work in its window', () => {
  const told = tasks([], '2027-03-01', planned());
  expect(
    told.map(({ id, due, until, count, pen, place }) => [id, due, until, count, pen, place]),
  ).toEqual([
    ['A1/set', '2027-03-06', '2027-03-06', 20, null, 'cabinet tray 1'],
    ['A1/candle-1', '2027-03-13', '2027-03-16', 20, null, 'cabinet tray 1'],
    ['A1/transfer', '2027-03-24', '2027-03-24', 20, null, 'lower'],
    ['A1/damp-up', '2027-03-24', '2027-03-25', 20, null, 'lower'],
    ['A1/watch', '2027-03-26', '2027-03-26', 20, null, 'lower'],
    ['A1/hatch', '2027-03-27', '2027-03-28', 20, null, 'lower'],
    ['A1/last-opening', '2027-03-28', '2027-03-28', 20, null, 'lower'],
    ['A1/clean', '2027-03-28', '2027-03-28', null, null, 'lower'],
  ]);
  expect(told[0]).toMatchObject({
    title: 'Set 20 in cabinet tray 1 as A1: orchard 12, yard 8',
    settle: 'add set A1 --as-planned',
  });
});

test('a set that was not set is asked for three days, told once more, and has nothing to candle', () => {
  expect(ids([], '2027-03-06', planned())).toEqual(['A1/set', ...ALL]);
  expect(tasks([], '2027-03-07', planned()).map((task) => [task.id, task.title])).toEqual([
    ['A1/set', 'A1 was not set on 2027-03-06: 20 eggs (orchard 12, yard 8)'],
  ]);
  expect(ids([], '2027-03-09', planned())).toEqual(['A1/set']);
  expect(tasks([], '2027-03-10', planned())).toMatchObject([
    { id: 'plan/2027-03-10/missed', daily: true, count: 1, title: 'A1 not set as planned' },
  ]);
});

test('of many sets that were missed four are named', () => {
  const missed = (count: number) => {
    const lines = Array.from(
      { length: count },
      (_, n) => `  - {set: A${n + 1}, on: 2027-02-0${n + 1}, trays: [1], shares: {orchard: 1}}\n`,
    );
    return tasks([], '2027-03-10', `${hill}plan:\n${lines.join('')}`).map((task) => task.title);
  };
  expect(missed(4)).toEqual(['A1, A2, A3, A4 not set as planned']);
  expect(missed(5)).toEqual(['A1, A2, A3, A4 and 1 more not set as planned']);
});

test('the life of a set, by the record that settles each work', () => {
  expect(ids(two, '2027-03-12')).toEqual(ALL);
  const candle = one('A1/candle-1', two, '2027-03-16');
  expect(candle).toMatchObject({
    place: 'cabinet tray 1, 2',
    pen: null,
    count: 20,
    title: 'Candle 20 eggs of A1 (orchard, yard)',
    settle: 'add candling A1 --pen orchard --clear N --quit N',
  });
  expect(one('A1/candle-1', two, '2027-03-17')!.title).toMatch(/^A1 was not candled at day 7: 20/);
  const [first, second] = [candled('orchard', 2), candled('yard', 8)];
  expect(one('A1/candle-1', [...two, first], '2027-03-14')).toMatchObject({
    count: 8,
    pen: 'yard',
  });
  expect(ids([...two, first, second], '2027-03-14')).not.toContain('A1/candle-1');
  // Nothing lives in the second share: the first alone is moved.
  const transfer = one('A1/transfer', [...two, first, second], '2027-03-24');
  expect(transfer).toMatchObject({
    count: 10,
    pen: 'orchard',
    title: 'Move 10 of A1 (orchard) to lower; last look, turning stops',
    settle: 'add transfer A1 --pen orchard --moved N',
  });
  expect(one('A1/transfer', [...two, first, second], '2027-03-25')!.title).toMatch(
    /^A1 is still in the setter by the book: move 10 to lower now/,
  );
  const at = [...two, first, second, moved('orchard', 10)];
  expect(ids(at, '2027-03-24')).toEqual(ALL.slice(2));
  expect(ids([...at, opened('orchard', 0)], '2027-03-27')).toEqual([ALL[2], ...ALL.slice(4)]);
  expect(ids([...at, opened('orchard', 7)], '2027-03-27')).toEqual(ALL.slice(5));
  const closed = [...at, opened('orchard', 7, { unpipped: 3, final: 'yes' })];
  expect(tasks(closed, '2027-03-27').map(({ id, due }) => [id, due])).toEqual([
    ['A1/clean', '2027-03-27'],
  ]);
});

test('a look two days before its day counts, one sooner does not', () => {
  const looked = (on: string) =>
    ids([...two, candled('orchard', 2, on), candled('yard', 1, on)], '2027-03-14').includes(
      'A1/candle-1',
    );
  expect(looked('2027-03-10')).toBe(true);
  expect(looked('2027-03-11')).toBe(false);
});

test('from the day of transfer on nobody is asked for the look before it', () => {
  expect(ids(two, '2027-03-23')).toContain('A1/candle-1');
  expect(ids(two, '2027-03-24')).not.toContain('A1/candle-1');
});

test('a reading of the hatcher from the day of transfer on settles the damping', () => {
  const read = (on: string, machine = 'lower', more = {}): Written => [
    'reading',
    on,
    { machine, dry: 37, rh: 70, ...more },
  ];
  const damp = (...rows: Written[]) => ids([...two, ...rows], '2027-03-25').includes('A1/damp-up');
  expect(damp()).toBe(true);
  expect(damp(read('2027-03-23T20:00'))).toBe(true);
  expect(damp(read('2027-03-24T08:00'))).toBe(false);
  expect(damp(read('2027-03-24T08:00', 'cabinet'))).toBe(true);
  expect(damp(read('2027-03-24T08:00', 'lower', { event: 'door' }))).toBe(true);
  expect(one('A1/damp-up', two, '2027-03-24')!.settle).toBe('add reading lower --dry N --rh N');
});

test('a hatch that is over and was never closed is closed first, and all else is let go', () => {
  const at = [...two, moved('orchard', 12), moved('yard', 8)];
  expect(ids(at, '2027-03-28')).toEqual([ALL[2], ...ALL.slice(4)]);
  const [close, ...others] = tasks(at, '2027-04-01');
  expect(others).toEqual([]);
  expect(close).toMatchObject({
    id: 'A1/last-opening',
    count: 20,
    title: 'A1 was never closed: write what hatched, pipped and did not',
    settle: 'add hatch A1 --pen orchard --hatched N --pipped N --unpipped N --final yes',
  });
  // Eggs that were never moved are not moved then.
  expect(ids(two, '2027-04-01')).toEqual(['A1/last-opening']);
});

test('the hatch says when it is expected, and its day where that is another', () => {
  const title = (rows: readonly Written[]) => one('A1/hatch', rows, '2027-03-24')!.title;
  expect(title(two)).toBe('Hatch of A1 in lower: up to 20 chicks, about 18:00');
  expect(title(two.map(([name, , cells]): Written => [name, '2027-03-06', cells]))).toBe(
    'Hatch of A1 in lower: up to 20 chicks',
  );
  expect(
    one(
      'A1/hatch',
      [...two, moved('orchard', 12), moved('yard', 8), opened('yard', 6)],
      '2027-03-27',
    ),
  ).toMatchObject({
    count: 14,
    settle: 'add hatch A1 --pen orchard --hatched N',
  });
});

test('the last opening says from when, on its day and before that hour', () => {
  const at = [
    ...two,
    moved('orchard', 12),
    moved('yard', 8),
    opened('orchard', 5, {}, '2027-03-27T06:00'),
  ];
  // Sixty hours after the first chicks, over the change of the clocks.
  const close = (now: string, time: string) => one('A1/last-opening', at, now, hill, time)!;
  expect(close('2027-03-29', '07:00')).toMatchObject({ due: '2027-03-29', until: '2027-03-29' });
  expect(close('2027-03-28', '07:00').title).toMatch(/^Close A1 in lower: up to 15 left/);
  expect(close('2027-03-29', '18:59').title).toMatch(
    /^Close A1 in lower from 19:00: up to 15 left/,
  );
  expect(close('2027-03-29', '19:00').title).toMatch(/^Close A1 in lower: up to 15 left/);
});

test('a hatcher is cleaned after its set, for as long as it takes, until the next set is moved in', () => {
  const closed = [
    ...two,
    moved('orchard', 12),
    moved('yard', 8),
    opened('orchard', 12, { final: 'yes' }),
    opened('yard', 8, { final: 'yes' }, '2027-03-28'),
  ];
  const slow = hill.replace('clean_days: 1', 'clean_days: 3');
  expect(one('A1/clean', closed, '2027-03-29', slow)).toMatchObject({
    due: '2027-03-28',
    until: '2027-03-30',
    place: 'lower',
    settle: 'add tick A1/clean',
  });
  expect(
    one('A1/clean', closed, '2027-03-29', hill.replace('clean_days: 1', 'clean_days: 0')),
  ).toMatchObject({
    until: '2027-03-28',
  });
  const next = (on: string): Written[] => [
    ...closed,
    ['set', '2027-03-10', { set: 'A2', pen: 'yard', tray: 3, eggs: 5 }],
    ['transfer', on, { set: 'A2', moved: 5 }],
  ];
  // It is full, or was made ready for the next.
  expect(ids(next('2027-03-27'), '2027-03-29')).not.toContain('A1/clean');
  expect(ids(next('2027-03-28'), '2027-03-29')).not.toContain('A1/clean');
});

test('without a hatcher the eggs stay where they are', () => {
  const single = hill.replace(/hatchers:\n.*\n/, '');
  const told = tasks([...two, candled('orchard', 2), candled('yard', 1)], '2027-03-24', single);
  expect(told.map((task) => [task.id, task.place, task.count])).toEqual([
    ['A1/transfer', 'cabinet tray 1, 2', 17],
    ['A1/damp-up', 'cabinet tray 1, 2', 17],
    ['A1/watch', 'cabinet tray 1, 2', 17],
    ['A1/hatch', 'cabinet tray 1, 2', 17],
    ['A1/last-opening', 'cabinet tray 1, 2', 17],
    ['A1/clean', 'cabinet tray 1, 2', null],
  ]);
  expect(told[0]!.title).toBe('Last look at 17 eggs of A1 (orchard, yard); stop turning');
  expect(told[1]!.settle).toBe('add tick A1/damp-up');
});

test('under a hen nobody moves, damps, watches or cleans', () => {
  const hen = hill.replace(
    'hatchers:',
    '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
  );
  const rows: Written[] = [
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', setter: 'hazel', eggs: 12 }],
  ];
  const told = tasks(rows, '2027-03-07', hen);
  expect(told.map(({ id, place, count }) => [id, place, count])).toEqual([
    ['A1/candle-1', 'hazel', 12],
    ['A1/hatch', 'hazel', 12],
    ['A1/last-opening', 'hazel', 12],
  ]);
  expect(told[1]!.title).toBe('Hatch of A1 under hazel: up to 12 chicks');
  const plan = `${hen}plan:\n  - {set: A1, on: 2027-03-06, setter: hazel, trays: [1], shares: {orchard: 12}}\n`;
  expect(tasks([], '2027-03-01', plan)[0]!.title).toBe('Set 12 under hazel as A1: orchard 12');
});

test('after a long power cut the eggs are looked at again, until they were or the window is gone', () => {
  const cut = (minutes: number): Written => [
    'reading',
    '2027-03-15T08:00',
    { machine: 'cabinet', event: 'power-off', minutes, room: 10 },
  ];
  const looks = (now: string, ...rows: Written[]) =>
    tasks([...two, candled('orchard', 2), candled('yard', 1), ...rows], now)
      .filter((task) => task.id === 'A1/candle-power-03-15')
      .map(({ due, until, count, place, settle }) => ({ due, until, count, place, settle }));
  expect(looks('2027-03-16')).toEqual([]);
  expect(looks('2027-03-16', cut(10))).toEqual([]);
  const [look] = looks('2027-03-16', cut(1200));
  expect(look).toMatchObject({
    count: 17,
    place: 'cabinet tray 1, 2',
    settle: 'add candling A1 --pen orchard --clear N --quit N',
  });
  // Four to six days later (seeds/power.yaml): the day before that a look tells nothing yet.
  expect([look!.due, look!.until]).toEqual(['2027-03-19', '2027-03-21']);
  expect(looks('2027-03-19', cut(1200), candled('orchard', 1, '2027-03-18'))).toHaveLength(1);
  expect(looks('2027-03-19', cut(1200), candled('orchard', 1, '2027-03-19'))).toEqual([]);
  const dead = [candled('orchard', 10, '2027-03-16'), candled('yard', 7, '2027-03-16')];
  expect(looks('2027-03-19', cut(1200), ...dead)).toEqual([]);
});

test('what is left of a set of two pens is named by its pen, and so is the command that settles it', () => {
  const two: Written[] = [
    ['eggs', '2027-03-05', { pen: 'orchard', kept: 12 }],
    ['eggs', '2027-03-05', { pen: 'yard', kept: 9 }],
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 12 }],
    ['set', '2027-03-06', { set: 'A1', pen: 'yard', setter: 'cabinet', tray: 1, eggs: 9 }],
  ];
  const task = (more: Written[], now: string, id: string) =>
    setTasks(seasonOf(hill, [...two, ...more]), nowAt(now)).find((one) => one.id === id)!;
  const candled: Written = ['candling', '2027-03-13', { set: 'A1', pen: 'orchard', clear: 2 }];
  expect(task([candled], '2027-03-13', 'A1/candle-1')).toMatchObject({
    title: 'Candle 9 eggs of A1 (yard)',
    settle: 'add candling A1 --pen yard --clear N --quit N',
  });
  const moved: Written = ['transfer', '2027-03-24', { set: 'A1', pen: 'orchard', moved: 12 }];
  expect(task([moved], '2027-03-24', 'A1/transfer')).toMatchObject({
    title: 'Move 9 of A1 (yard) to lower; last look, turning stops',
    settle: 'add transfer A1 --pen yard --moved N',
  });
});

test('a hatcher is not cleaned after one set while another hatches in it', () => {
  const two: Written[] = [
    ['set', '2027-03-06', { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 30 }],
    ['set', '2027-03-09', { set: 'A2', pen: 'yard', setter: 'cabinet', tray: 2, eggs: 20 }],
    ['transfer', '2027-03-24', { set: 'A1', hatcher: 'lower', moved: 30 }],
    ['transfer', '2027-03-27', { set: 'A2', hatcher: 'lower', moved: 20 }],
    ['hatch', '2027-03-28', { set: 'A1', hatched: 24, unpipped: 6, final: 'yes' }],
  ];
  const cleaned = (more: Written[], now: string) =>
    setTasks(seasonOf(hill, [...two, ...more]), nowAt(now))
      .filter(({ kind }) => kind === 'clean')
      .map(({ id }) => id);
  expect(cleaned([], '2027-03-28')).toEqual(['A2/clean']);
  // In another hatcher nothing of it is in the way, nor is a set that is only expected there.
  const other = hill.replace('hatchers:', 'hatchers:\n  upper: {holds: {chicken: 60, duck: 40}}');
  const apart = two.map(
    ([name, on, cells]): Written => [
      name,
      on,
      name === 'transfer' && cells.set === 'A2' ? { ...cells, hatcher: 'upper' } : cells,
    ],
  );
  const cleans = (rows: readonly Written[], file: string) =>
    tasks(rows, '2027-03-28', file).flatMap(({ id, kind }) => (kind === 'clean' ? [id] : []));
  expect(cleans(apart, other)).toEqual(['A1/clean', 'A2/clean']);
  expect(
    cleans(
      two.filter(([, on]) => on !== '2027-03-27'),
      hill,
    ),
  ).toEqual(['A1/clean', 'A2/clean']);
  for (const day of ['2027-03-30', '2027-03-28'])
    expect(
      cleaned([['hatch', day, { set: 'A2', hatched: 18, unpipped: 2, final: 'yes' }]], day),
    ).toEqual(['A2/clean']);
});

test('a cut asks for a look at the sets that lay in that machine, and at no other', () => {
  const file = hill.replace('setters:', 'setters:\n  attic: {trays: 9, tray_holds: {chicken: 40}}');
  const lies = (set: string, setter: string, tray: string): Written => [
    'set',
    '2027-03-06',
    { set, pen: 'orchard', setter, tray, eggs: 9 },
  ];
  const rows: Written[] = [
    lies('A1', 'attic', '9'),
    lies('A1', 'attic', '2'),
    lies('A2', 'cabinet', '1'),
    [
      'reading',
      '2027-03-15T08:00',
      { machine: 'attic', event: 'power-off', minutes: 1200, room: 10 },
    ],
  ];
  const looks = tasks(rows, '2027-03-19', file).filter(({ id }) => id.includes('power'));
  expect(looks.map(({ id, place, settle }) => [id, place, settle])).toEqual([
    ['A1/candle-power-03-15', 'attic tray 2, 9', 'add candling A1 --clear N --quit N'],
  ]);
});

test('a look may wait three days, but not up to the next look or the day of transfer', () => {
  const set: Written = ['set', '2027-03-01', { set: 'A1', pen: 'orchard', tray: 1, eggs: 9 }];
  const candle = (days: string) =>
    tasks(
      [set],
      '2027-03-02',
      hill.replace('class: dual-purpose', `override: {candle_days: ${days}}`),
    )
      .filter(({ kind }) => kind === 'candle')
      .map(({ due, until }) => [due, until]);
  expect(candle('[6, 10]')).toEqual([
    ['2027-03-07', '2027-03-10'],
    ['2027-03-11', '2027-03-14'],
  ]);
  expect(candle('[6, 9]')[0]).toEqual(['2027-03-07', '2027-03-09']);
  // Moved on day 18.
  expect(candle('[14]')).toEqual([['2027-03-15', '2027-03-18']]);
  expect(candle('[15]')).toEqual([['2027-03-16', '2027-03-18']]);
});

test('two cuts of one day ask for one look', () => {
  const set: Written = [
    'set',
    '2027-03-06',
    { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 30 },
  ];
  const cut = (time: string): Written => [
    'reading',
    `2027-03-15T${time}`,
    { machine: 'cabinet', event: 'power-off', minutes: 400, room: 8 },
  ];
  const looks = setTasks(
    seasonOf(hill, [set, cut('03:00'), cut('15:00')]),
    nowAt('2027-03-19'),
  ).filter(({ id }) => id.includes('power'));
  expect(looks.map(({ id }) => id)).toEqual(['A1/candle-power-03-15']);
});

test('a look after a power cut is a task of its own unless the last look at transfer comes in time', () => {
  const set: Written = [
    'set',
    '2027-03-06',
    { set: 'A1', pen: 'orchard', setter: 'cabinet', tray: 1, eggs: 30 },
  ];
  const look = (cut: string) => {
    const power: Written = [
      'reading',
      cut,
      { machine: 'cabinet', event: 'power-off', minutes: 400, room: 8 },
    ];
    return setTasks(seasonOf(hill, [set, power]), nowAt('2027-03-19'))
      .filter(({ id }) => id.includes('power'))
      .map(({ due, until }) => `${due} ${until}`);
  };
  // Moved on 24 March; what died shows four to six days later.
  expect(look('2027-03-17T03:00')).toEqual(['2027-03-21 2027-03-23']);
  for (const cut of ['2027-03-18T03:00', '2027-03-19T03:00']) expect(look(cut)).toEqual([]);
});
