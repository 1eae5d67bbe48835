// What comes back every day while there is reason for it: the day before, on and after.
import { expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { dailyTasks, machinesInUse } from './daily-tasks.ts';

const tasks = (rows: readonly Written[], now: string, file = hill) =>
  dailyTasks(seasonOf(file, rows), nowAt(now));
const ids = (...args: Parameters<typeof tasks>) => tasks(...args).map((one) => one.id);
const collected = (...args: Parameters<typeof tasks>) =>
  tasks(...args)
    .filter((one) => one.kind === 'collect')
    .map((one) => one.place);
const set = (on: string, more = {}): Written => [
  'set',
  on,
  { set: 'A1', pen: 'orchard', tray: 1, eggs: 9, ...more },
];
const ALL = ['orchard', 'yard', 'pond'];

test('eggs are collected from each pen that is together, until they are written down', () => {
  expect(tasks([], '2027-02-01')[0]).toMatchObject({
    id: 'eggs/2027-02-01/orchard',
    due: '2027-02-01',
    until: '2027-02-01',
    daily: true,
    settle: 'add eggs orchard --laid N --kept N',
  });
  expect(collected([], '2027-01-29')).toEqual([]);
  expect(collected([], '2027-01-30')).toEqual(ALL);
  const parted = hill.replace('joined: 2027-01-30}', 'joined: 2027-01-30, parted: 2027-03-10}');
  expect(collected([], '2027-03-09', parted)).toEqual(ALL);
  expect(collected([], '2027-03-10', parted)).toEqual(['yard', 'pond']);
  expect(collected([], '2027-03-01', hill.replace('hens: 9', 'hens: 0'))).toEqual(['yard', 'pond']);
  const eggs = (on: string): Written => ['eggs', on, { pen: 'yard', kept: 5 }];
  expect(collected([eggs('2027-03-01')], '2027-03-01')).toEqual(['orchard', 'pond']);
  expect(collected([eggs('2027-02-28')], '2027-03-01')).toEqual(ALL);
});

test('where nothing is planned, for a fortnight after the last set', () => {
  expect(collected([set('2027-03-06')], '2027-03-20')).toEqual(ALL);
  expect(collected([set('2027-03-06')], '2027-03-21')).toEqual([]);
  const second = set('2027-03-08', { set: 'A2', tray: 2 });
  expect(collected([set('2027-03-06'), second], '2027-03-22')).toEqual(ALL);
});

test('where sets are planned, until the last of them is set', () => {
  const plan = `${hill}plan:\n  - {set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 9}}\n  - {set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 9}}\n`;
  expect(collected([], '2027-03-13', plan)).toEqual(ALL);
  expect(collected([], '2027-03-14', plan)).toEqual([]);
  const early = set('2027-03-12', { set: 'A2', tray: 2 });
  expect(collected([set('2027-03-06'), early], '2027-03-13', plan)).toEqual([]);
  expect(collected([set('2027-03-06')], '2027-03-13', plan)).toEqual(ALL);
});

test('stored eggs are turned from their fourth day on, as often as the keeper says', () => {
  const rows: Written[] = [
    ['eggs', '2027-03-01', { pen: 'orchard', kept: 5 }],
    ['eggs', '2027-03-03', { pen: 'orchard', kept: 4 }],
  ];
  const turns = (now: string, times: number) =>
    tasks(rows, now, hill.replace('max_days: 8', `max_days: 8, turns_per_day: ${times}`))
      .filter((one) => one.kind === 'turn')
      .map((one) => [one.title, one.why]);
  expect(turns('2027-03-04', 1)).toEqual([]);
  expect(turns('2027-03-05', 0)).toEqual([]);
  expect(turns('2027-03-05', 1)).toEqual([
    ['Turn 9 stored eggs (once)', 'the oldest is 4 days old'],
  ]);
  const titles = (times: number) => turns('2027-03-05', times).map(([title]) => title);
  expect(titles(2)).toEqual(['Turn 9 stored eggs (am)', 'Turn 9 stored eggs (pm)']);
  expect(titles(3)).toEqual([1, 2, 3].map((turn) => `Turn 9 stored eggs (${turn})`));
});

test('a machine with eggs in it is read once a day and watered, one that is empty is not', () => {
  const read = (on: string, more = {}): Written => [
    'reading',
    on,
    { machine: 'cabinet', dry: 37.5, ...more },
  ];
  const machine = (now: string, ...rows: Written[]) =>
    ids([set('2027-03-06'), ...rows], now).filter((id) => /^(cabinet|lower)/.test(id));
  const day = '2027-03-08';
  const [reading, water] = [`cabinet/${day}/read`, `cabinet/${day}/water`];
  expect(machine(day)).toEqual([reading, water]);
  expect(machine(day, read(`${day}T08:00`))).toEqual([water]);
  expect(machine(day, read('2027-03-07T08:00'))).toEqual([reading, water]);
  expect(machine(day, read(`${day}T08:00`, { event: 'door' }))).toEqual([reading, water]);
  expect(machine(day, read(`${day}T08:00`, { machine: 'lower' }))).toEqual([reading, water]);
  expect(machine(day, ['candling', day, { set: 'A1', clear: 9 }])).toEqual([]);
  const moved: Written = ['transfer', '2027-03-24', { set: 'A1', moved: 9 }];
  expect(machine('2027-03-24', moved)).toEqual(['lower/2027-03-24/read', 'lower/2027-03-24/water']);
  const closed: Written = ['hatch', '2027-03-27', { set: 'A1', hatched: 9, final: 'yes' }];
  expect(machine('2027-03-27', moved, closed)).toEqual([]);
});

test('where eggs hatch in the setter it is read until they are out', () => {
  const single = hill.replace(/hatchers:\n.*\n/, '');
  const moved: Written = ['transfer', '2027-03-24', { set: 'A1', moved: 9 }];
  const used = (...rows: Written[]) =>
    machinesInUse(seasonOf(single, [set('2027-03-06'), ...rows]));
  expect(used(moved)).toEqual(['cabinet']);
  // And turned no more.
  const byHand = single.replace('duck: 30}}', 'duck: 30}, turns: hand}');
  const turns = (...rows: Written[]) =>
    ids([set('2027-03-06'), ...rows], '2027-03-25', byHand).includes('cabinet/2027-03-25/turn');
  expect([turns(), turns(moved)]).toEqual([true, false]);
  expect(used(moved, ['hatch', '2027-03-27', { set: 'A1', hatched: 4 }])).toEqual(['cabinet']);
  expect(used(moved, ['hatch', '2027-03-27', { set: 'A1', hatched: 9, final: 'yes' }])).toEqual([]);
});

test('eggs are turned by hand where the machine does not', () => {
  const by = (turns: string) =>
    ids(
      [set('2027-03-06')],
      '2027-03-08',
      hill.replace('duck: 30}}', `duck: 30}, turns: ${turns}}`),
    );
  expect(by('hand')).toContain('cabinet/2027-03-08/turn');
  expect(by('automatic')).not.toContain('cabinet/2027-03-08/turn');
  expect(ids([set('2027-03-06')], '2027-03-08')).not.toContain('cabinet/2027-03-08/turn');
});

test('a hen with eggs is let off, and is no machine', () => {
  const hen = hill.replace(
    'hatchers:',
    '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
  );
  const sat: Written = [
    'set',
    '2027-03-06',
    { set: 'A1', pen: 'orchard', setter: 'hazel', eggs: 9 },
  ];
  const told = (now: string, ...rows: Written[]) =>
    tasks([sat, ...rows], now, hen).filter((one) => one.kind !== 'collect');
  expect(told('2027-03-08')).toMatchObject([
    { id: 'hazel/2027-03-08/off', place: 'hazel', settle: 'add tick hazel/2027-03-08/off' },
  ]);
  expect(
    told('2027-03-27', ['hatch', '2027-03-27', { set: 'A1', hatched: 9, final: 'yes' }]),
  ).toEqual([]);
  expect(told('2027-03-14', ['candling', '2027-03-13', { set: 'A1', clear: 9 }])).toEqual([]);
});

test('machines in use, by name, each once', () => {
  const two = hill.replace('setters:', 'setters:\n  attic: {trays: 2, tray_holds: {chicken: 40}}');
  const rows: Written[] = [
    set('2027-03-06', { setter: 'cabinet' }),
    set('2027-03-06', { setter: 'cabinet', tray: 2, pen: 'yard' }),
    set('2027-03-07', { set: 'A2', setter: 'attic', tray: 1 }),
    set('2027-02-20', { set: 'A0', setter: 'attic', tray: 2 }),
    ['transfer', '2027-03-10', { set: 'A0', moved: 9 }],
  ];
  expect(machinesInUse(seasonOf(two, rows))).toEqual(['attic', 'cabinet', 'lower']);
});
