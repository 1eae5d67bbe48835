// What may be there on a day: the last egg, day or place that may, and the next.
import { describe, expect, test } from 'vitest';
import { hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { addDays, type Day } from '../../text/day.ts';
import type { Expected } from '../expected.ts';
import { reasonsAgainst } from './feasible.ts';

const planOf = (yaml: string, ...lines: string[]) =>
  `${yaml}plan:\n${lines.map((one) => `  - {${one}}\n`).join('')}`;
const told = (
  code: string,
  yaml: string,
  now: string,
  rows: readonly Written[] = [],
  expected: Expected | null = null,
) => reasonsAgainst(seasonOf(yaml, rows), nowAt(now), expected).filter((one) => one.code === code);
const messages = (...args: Parameters<typeof told>) => told(...args).map((one) => one.message);
const eggs = (on: string, kept: number, pen = 'orchard'): Written => ['eggs', on, { pen, kept }];
const set = (name: string, on: string, count: number, more = {}): Written => [
  'set',
  on,
  { set: name, pen: 'orchard', tray: 1, eggs: count, ...more },
];

describe('eggs that were set', () => {
  test('too old by a day: how many, how old the oldest, and what is allowed', () => {
    const rows = (on: string) => [
      eggs('2027-03-01', 5),
      eggs('2027-03-02', 4),
      eggs('2027-03-05', 3),
      set('A1', on, 12),
    ];
    expect(told('eggs-too-old', hill, '2027-03-20', rows('2027-03-09'))).toEqual([]);
    expect(told('eggs-too-old', hill, '2027-03-20', rows('2027-03-11'))).toMatchObject([
      {
        message: 'A1: 9 eggs of orchard stored 10 days; 8 allowed',
        set: 'A1',
        pen: 'orchard',
        day: '2027-03-11',
        held: 10,
        room: 8,
      },
    ]);
  });

  test('that were never kept', () => {
    const rows = (count: number) => [eggs('2027-03-05', 10), set('A1', '2027-03-06', count)];
    expect(told('eggs-not-there', hill, '2027-03-20', rows(10))).toEqual([]);
    expect(told('eggs-not-there', hill, '2027-03-20', rows(13))).toMatchObject([
      { set: 'A1', pen: 'orchard', day: '2027-03-06', held: 13, room: 10 },
    ]);
  });

  test('that were sold and were not in store', () => {
    const rows = (count: number): Written[] => [
      eggs('2027-03-05', 10),
      ['eggs-out', '2027-03-06', { pen: 'orchard', eggs: count, way: 'sold' }],
    ];
    expect(told('eggs-not-there', hill, '2027-03-20', rows(10))).toEqual([]);
    expect(told('eggs-not-there', hill, '2027-03-20', rows(11))).toMatchObject([
      {
        message: 'orchard: 11 eggs sold, and 10 in store',
        pen: 'orchard',
        about: '0000000001',
        day: '2027-03-06',
        held: 11,
        room: 10,
      },
    ]);
  });
});

describe('eggs that are planned', () => {
  const plan = (on: string, shares = '{orchard: 4, yard: 3}') =>
    planOf(hill, `set: A1, on: ${on}, trays: [1], shares: ${shares}`);

  test('for today are counted in store, by pen, and later ones as expected', () => {
    const rows = [eggs('2027-03-09', 3), eggs('2027-03-09', 3, 'yard')];
    expect(messages('eggs-not-there', plan('2027-03-10'), '2027-03-10', rows)).toEqual([
      'A1: 4 eggs of orchard planned for today, and 3 in store',
    ]);
    const expected: Expected = { eggsADay: () => 1, liveEggs: () => null, chicks: () => [] };
    expect(
      messages('eggs-not-there', plan('2027-03-11', '{orchard: 6}'), '2027-03-10', rows, expected),
    ).toEqual([
      'A1: 6 eggs of orchard planned for 2027-03-11, and 4 expected to be there, not too old',
    ]);
    expect(told('eggs-not-there', plan('2027-03-10'), '2027-03-10', rows)[0]).toMatchObject({
      held: 4,
      room: 3,
      severity: 'warning',
      hint: null,
    });
  });

  test('after the end of the lay say so', () => {
    // Young geese lay for 122 days from their first eggs (seeds/species.yaml).
    const geese = hill
      .replace('{species: duck}', '{species: goose}')
      .replace('duck: 30}', 'duck: 30, goose: 30}')
      .replace('duck: 40}', 'duck: 40, goose: 40}');
    const rows = [eggs('2027-02-10', 3, 'pond')];
    const end = addDays('2027-02-10' as Day, 122);
    const hint = (on: Day) =>
      told(
        'eggs-not-there',
        planOf(geese, `set: A1, on: ${on}, trays: [1], shares: {pond: 4}`),
        on,
        rows,
      )[0]!.hint;
    expect(hint(addDays(end, -1))).toBeNull();
    expect(hint(end)).toContain('pond');
  });
});

describe('eggs off the road', () => {
  const posted = hill.replace(
    'orchard: {line: sussex, hens: 9, males: 1, joined: 2027-01-30}',
    'orchard: {line: sussex, bought: {from: Elm Row, on: 2027-03-10, eggs: 30, road_days: 2, days_old: 1}}',
  );
  // They stand for a day first (seeds/work.yaml).
  test('are set on the day they came, or the day after', () => {
    const rows = (on: string) => [eggs('2027-03-10', 30), set('A1', on, 20)];
    expect(told('eggs-not-rested', posted, '2027-03-20', rows('2027-03-10'))).toMatchObject([
      {
        message: 'A1: eggs of orchard go in on 2027-03-10, straight off the road',
        set: 'A1',
        pen: 'orchard',
        day: '2027-03-10',
        severity: 'warning',
      },
    ]);
    expect(told('eggs-not-rested', posted, '2027-03-20', rows('2027-03-11'))).toEqual([]);
  });

  test('are planned for that day', () => {
    const plan = (on: string, pen = 'orchard') =>
      planOf(posted, `set: A1, on: ${on}, trays: [1], shares: {${pen}: 20}`);
    expect(messages('eggs-not-rested', plan('2027-03-10'), '2027-03-01')).toEqual([
      'A1: eggs of orchard go in on 2027-03-10, straight off the road',
    ]);
    expect(told('eggs-not-rested', plan('2027-03-11'), '2027-03-01')).toEqual([]);
    expect(told('eggs-not-rested', plan('2027-03-10', 'yard'), '2027-03-01')).toEqual([]);
  });

  test('that were fetched need no rest', () => {
    const fetched = posted.replace('road_days: 2', 'road_days: 0');
    const rows = [eggs('2027-03-10', 30), set('A1', '2027-03-10', 20)];
    expect(told('eggs-not-rested', fetched, '2027-03-20', rows)).toEqual([]);
    const plan = planOf(fetched, 'set: A1, on: 2027-03-10, trays: [1], shares: {orchard: 20}');
    expect(told('eggs-not-rested', plan, '2027-03-01')).toEqual([]);
  });
});

describe('a hatcher', () => {
  const open = hill.replace('clean_days: 1', 'clean_days: 2, one_set_at_a_time: false');
  const line = (name: string, on: string, tray: number, more = '') =>
    `set: ${name}, on: ${on}, trays: [${tray}], shares: {orchard: 9}${more}`;

  // Moved on day 18, empty on day 22 after the last opening on the day before.
  test('is taken, then not clean, then free, each from its day on', () => {
    const slow = hill.replace('clean_days: 1', 'clean_days: 2');
    const beside = (on: string) =>
      reasonsAgainst(
        seasonOf(planOf(slow, line('A1', '2027-03-06', 1), line('A2', on, 2))),
        nowAt('2027-03-01'),
        null,
      ).map((one) => [one.code, one.set, one.day]);
    expect(beside('2027-03-09')).toEqual([
      ['hatcher-taken', 'A2', '2027-03-27'],
      ['mixed-stage', 'A2', '2027-03-27'],
    ]);
    expect(beside('2027-03-10')).toEqual([['hatcher-not-clean', 'A2', '2027-03-28']]);
    expect(beside('2027-03-11')).toEqual([['hatcher-not-clean', 'A2', '2027-03-29']]);
    expect(beside('2027-03-12')).toEqual([]);
  });

  test('says which is moved in while which hatches, whatever the order of the plan and their names', () => {
    const shared = (...lines: string[]) =>
      messages('mixed-stage', planOf(open, ...lines), '2027-03-01');
    const said = ['lower: B1 hatches on 2027-03-27 and A1 on 2027-03-28'];
    expect(shared(line('B1', '2027-03-06', 1), line('A1', '2027-03-07', 2))).toEqual(said);
    expect(shared(line('A1', '2027-03-07', 2), line('B1', '2027-03-06', 1))).toEqual(said);
    expect(shared(line('A1', '2027-03-06', 2), line('B1', '2027-03-06', 1))).toEqual([]);
    // Of two moved on one day the first by name was there first.
    const taken = (...lines: string[]) =>
      told('hatcher-taken', planOf(hill, ...lines), '2027-03-01').map((one) => one.set);
    expect(taken(line('A1', '2027-03-06', 1), line('B1', '2027-03-06', 2))).toEqual(['B1']);
    expect(taken(line('B1', '2027-03-06', 1), line('A1', '2027-03-06', 2))).toEqual(['B1']);
  });

  test('holds what it says of each kind', () => {
    const none = hill.replace('holds: {chicken: 60, duck: 40}', 'holds: {duck: 40}');
    const rows = [eggs('2027-03-05', 20), set('A1', '2027-03-06', 20)];
    expect(told('hatcher-overfull', hill, '2027-03-20', rows)).toEqual([]);
    const moved: Written[] = [
      ...rows,
      ['transfer', '2027-03-24', { set: 'A1', hatcher: 'lower', moved: 18 }],
    ];
    expect(told('hatcher-overfull', none, '2027-03-24', moved)).toMatchObject([
      {
        message: 'lower: season.yaml does not say how many chicken eggs it holds',
        place: 'lower',
        day: '2027-03-24',
        hint: 'add chicken to holds of lower',
      },
    ]);
  });

  const live = (of: Readonly<Record<string, number>>, variance = 0): Expected => ({
    eggsADay: () => 100,
    liveEggs: (name) => ({ mean: of[name]!, variance }),
    chicks: () => [],
  });
  const full = (lines: string[], expected: Expected) =>
    told('hatcher-overfull', planOf(open, ...lines), '2027-03-01', [], expected);
  /** A set of more eggs than any of these live. */
  const many = (name: string, tray: number) =>
    line(name, '2027-03-06', tray).replace('orchard: 9', 'orchard: 90');
  const pair = [many('A1', 1), many('A2', 2)];

  test('of sets together, exactly full and one egg more', () => {
    expect(full(pair, live({ A1: 30, A2: 30 }))).toEqual([]);
    const over = full(pair, live({ A1: 30, A2: 33 }));
    expect(over.map((one) => one.message)).toContain(
      'lower: on 2027-03-24 A1 (30) and A2 (33) need 105 % of its room',
    );
    expect(over[0]).toMatchObject({ severity: 'error', room: 1, held: 1.05 });
    // Ten standard deviations of the one in twenty: 1.6449 × 5 of 60 is 14 % more.
    const maybe = full(pair, live({ A1: 30, A2: 26.4 }, 12.5));
    expect(maybe[0]).toMatchObject({
      severity: 'warning',
      message: 'lower: on 2027-03-24 A1 (30) and A2 (26) need 108 % of its room one time in twenty',
    });
  });

  test('of a set alone, exactly full, likely and one time in twenty', () => {
    expect(full(pair.slice(0, 1), live({ A1: 60 }))).toEqual([]);
    expect(full(pair.slice(0, 1), live({ A1: 61 }))[0]).toMatchObject({
      message: 'lower: 61 live chicken eggs of A1, and it holds 60',
      held: 61,
      room: 60,
    });
    expect(full(pair.slice(0, 1), live({ A1: 60 }, 4))[0]).toMatchObject({
      severity: 'warning',
      message:
        'lower: 60 live chicken eggs of A1 are expected; one time in twenty 63 or more, and it holds 60',
    });
  });

  test('names six sets of many', () => {
    const beside = (count: number) => {
      const wide = open.replace('trays: 3', 'trays: 9');
      const lines = Array.from({ length: count }, (_, n) => many(`A${n + 1}`, n + 1));
      const expected: Expected = { ...live({}), liveEggs: () => ({ mean: 20, variance: 0 }) };
      return told('hatcher-overfull', planOf(wide, ...lines), '2027-03-01', [], expected).map(
        (one) => one.message,
      );
    };
    const six = 'A1 (20) and A2 (20) and A3 (20) and A4 (20) and A5 (20) and A6 (20)';
    expect(beside(6)).toContain(`lower: on 2027-03-24 ${six} need 200 % of its room`);
    expect(beside(7)).toContain(
      `lower: on 2027-03-24 ${six} and 1 more sets need 233 % of its room`,
    );
  });
});

describe('a tray', () => {
  test('is told of the set that was planned, not of the one that lies there', () => {
    const plan = (on: string) =>
      planOf(hill, `set: A2, on: ${on}, trays: [1], shares: {orchard: 5}`);
    const rows = [eggs('2027-03-05', 20), set('A1', '2027-03-06', 9)];
    const found = (on: string, now: string) =>
      told('tray-taken', plan(on), now, rows).map((one) => [one.set, one.day, one.place]);
    expect(found('2027-03-08', '2027-03-07')).toEqual([['A2', '2027-03-08', 'cabinet tray 1']]);
    // Both from one day on: what is done was there first.
    expect(found('2027-03-06', '2027-03-06')).toEqual([['A2', '2027-03-06', 'cabinet tray 1']]);
    expect(found('2027-03-24', '2027-03-07')).toEqual([]);
  });

  test('holds what it says of each kind', () => {
    const none = hill.replace('tray_holds: {chicken: 40, duck: 30}', 'tray_holds: {duck: 30}');
    const rows = [eggs('2027-03-05', 20), set('A1', '2027-03-06', 9)];
    expect(told('tray-overfull', none, '2027-03-08', rows)).toMatchObject([
      {
        message: 'cabinet: season.yaml does not say how many chicken eggs a tray holds',
        place: 'cabinet tray 1',
        held: 9,
        room: null,
        hint: 'add chicken to tray_holds of cabinet',
      },
    ]);
    const full = (count: number) =>
      told('tray-overfull', hill, '2027-03-08', [
        eggs('2027-03-05', 60),
        set('A1', '2027-03-06', count),
      ]);
    expect(full(40)).toEqual([]);
    expect(full(41)).toMatchObject([{ held: 41, room: 40, place: 'cabinet tray 1' }]);
  });

  // Ducks and turkeys take 28 days and are moved on the 25th (seeds/species.yaml, with its sources).
  test('is shared by sets of one day whose kinds have one term and one size', () => {
    const two = (turkeys: number, on = '2027-03-06', size = 30) =>
      planOf(
        hill
          .replace(
            'harlequin: {species: duck',
            'bronze: {species: turkey}\n  harlequin: {species: duck',
          )
          .replace(
            'pens:\n',
            'pens:\n  wood: {line: bronze, hens: 9, males: 1, joined: 2027-01-30}\n',
          )
          .replace('duck: 30}', `duck: 30, turkey: ${size}}`),
        'set: H1, on: 2027-03-06, trays: [1], shares: {pond: 18}',
        `set: T1, on: ${on}, trays: [1], shares: {wood: ${turkeys}}`,
      );
    const found = (yaml: string) =>
      ['tray-taken', 'tray-overfull'].flatMap((code) =>
        told(code, yaml, '2027-03-01').map((one) => [one.set, one.message]),
      );
    expect(found(two(12))).toEqual([]);
    expect(found(two(13))).toEqual([
      ['T1', 'cabinet tray 1: 18 duck eggs of H1 and 13 turkey eggs of T1, and it holds 30'],
    ]);
    // Of another day, or another size, each has its own.
    expect(found(two(12, '2027-03-07'))).toHaveLength(1);
    expect(found(two(12, '2027-03-06', 31))).toHaveLength(1);
  });
});

test('under a hen no work falls on a day off', () => {
  const hen = hill.replace(
    'hatchers:',
    '  hazel: {broody: true, tray_holds: {chicken: 20}}\nhatchers:',
  );
  const off = `${hen}days_off: {transfer: [wed], hatch: [sat]}\n`;
  const plan = planOf(
    off,
    'set: A1, on: 2027-03-06, setter: hazel, trays: [1], shares: {orchard: 9}',
  );
  expect(told('day-off', plan, '2027-03-01')).toEqual([]);
  const rows: Written[] = [
    eggs('2027-03-05', 9),
    set('A1', '2027-03-06', 9, { setter: 'hazel', tray: '' }),
  ];
  expect(told('day-off', off, '2027-03-08', rows)).toEqual([]);
});

test('a day off is told while a share still has eggs to move, or chicks to come', () => {
  const off = `${hill}days_off: {transfer: [wed], hatch: [sat]}\n`;
  const second: Written = ['set', '2027-03-06', { set: 'A1', pen: 'yard', tray: 2, eggs: 9 }];
  const rows = [
    eggs('2027-03-05', 20),
    eggs('2027-03-05', 9, 'yard'),
    set('A1', '2027-03-06', 9),
    second,
  ];
  const found = (...more: Written[]) => messages('day-off', off, '2027-03-20', [...rows, ...more]);
  const [transfer, hatch] = [
    'A1 is moved to the hatcher on wed 2027-03-24, a day off',
    'A1 hatches on sat 2027-03-27, a day off',
  ];
  const clear = (pen: string): Written => ['candling', '2027-03-13', { set: 'A1', pen, clear: 9 }];
  const moved = (pen: string): Written => ['transfer', '2027-03-20', { set: 'A1', pen, moved: 9 }];
  expect(found()).toEqual([transfer, hatch]);
  expect(found(clear('orchard'))).toEqual([transfer, hatch]);
  expect(found(clear('orchard'), clear('yard'))).toEqual([]);
  expect(found(moved('orchard'))).toEqual([transfer, hatch]);
  expect(found(moved('orchard'), moved('yard'))).toEqual([hatch]);
});
