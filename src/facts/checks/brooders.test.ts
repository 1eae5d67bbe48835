// Who may live under one roof: the day before, on and after each bound, and each kind beside each.
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { addDays, type Day } from '../../text/day.ts';
import {
  agesApart,
  flockBalance,
  heldTooLong,
  keptApart,
  lookAlike,
  waterfowlWithChicks,
} from './brooders.ts';
import type { Check } from './check.ts';

/** The season with ducks in it, quail besides, and fields that are no brooders. */
const yaml = brooded
  .replace('pens:', '  reed: {species: duck}\n  coot: {species: goose}\npens:')
  .replace(
    'setters:',
    '  pond: {line: reed, hens: 9, males: 3, joined: 2027-01-10}\n  mere: {line: coot, hens: 9, males: 3, joined: 2027-01-10}\nsetters:',
  )
  .replace('bobwhite: 90}', 'bobwhite: 90, duck: 90, goose: 90}')
  .replace('bobwhite: 900}', 'bobwhite: 900, duck: 900, goose: 900}')
  .replace('  grass:', '  field: {area: 900}\n  grass:');

const told = (check: Check, rows: readonly Written[], now: string, file = yaml) =>
  check({ season: seasonOf(file, rows), now: nowAt(now) });
const messages = (...args: Parameters<typeof told>) => told(...args).map((one) => one.message);
const MARCH = '2027-03-01';

describe('kinds under one roof', () => {
  const pair = (one: string, other: string) => [
    ...brood('A', one, MARCH, 20),
    ...brood('B', other, MARCH, 20),
  ];
  // Orchard and yard are chickens, wood turkeys, heath quail, pond ducks, mere geese.
  test.each([
    ['orchard', 'yard', [], []],
    ['orchard', 'wood', [], ['error']],
    ['wood', 'orchard', [], ['error']],
    ['orchard', 'heath', [], ['warning']],
    ['heath', 'wood', [], ['warning']],
    ['pond', 'orchard', ['error'], []],
    ['orchard', 'pond', ['error'], []],
    ['pond', 'wood', ['error'], []],
    ['pond', 'heath', ['error'], []],
    ['pond', 'mere', [], []],
  ])('%s with %s', (one, other, water, apart) => {
    const rows = pair(one, other);
    expect(told(waterfowlWithChicks, rows, '2027-03-02').map((f) => f.severity)).toEqual(water);
    expect(told(keptApart, rows, '2027-03-02').map((f) => f.severity)).toEqual(apart);
  });

  test('from the day the second came, and each pair of kinds once', () => {
    const rows = [
      ...brood('A', 'orchard', MARCH, 20),
      ...brood('B', 'wood', '2027-03-03', 9),
      ...brood('C', 'yard', '2027-03-04', 9),
    ];
    const found = told(keptApart, rows, '2027-03-05');
    expect(found.map((one) => [one.message, one.set])).toEqual([
      ['barn: chicken and turkey together from 2027-03-03', 'SB'],
      ['barn: turkey and chicken together from 2027-03-04', 'SC'],
    ]);
    const later = [...brood('B', 'wood', MARCH, 9), ...brood('A', 'orchard', '2027-03-03', 20)];
    expect(told(keptApart, later, '2027-03-05').map((one) => one.set)).toEqual(['SA']);
  });

  test('two lines of one kind beside another are one pair, and within a group too', () => {
    const mixed: Written[] = [
      ...brood('A', 'orchard', MARCH, 20),
      ...brood('C', 'yard', MARCH, 9).map(
        (row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group: 'A' }] : row),
      ),
    ];
    expect(messages(keptApart, [...mixed, ...brood('B', 'wood', MARCH, 9)], MARCH)).toHaveLength(1);
    const within: Written[] = [
      ...brood('A', 'orchard', MARCH, 20),
      ...brood('B', 'wood', MARCH, 9).map(
        (row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group: 'A' }] : row),
      ),
    ];
    expect(messages(keptApart, within, MARCH)).toEqual([
      'barn: chicken and turkey together from 2027-03-01',
    ]);
    expect(messages(keptApart, mixed, MARCH)).toEqual([]);
  });

  test('not in two brooders, nor one after the other', () => {
    const chicks = brood('A', 'orchard', MARCH, 20);
    expect(
      messages(keptApart, [...chicks, ...brood('B', 'wood', MARCH, 9, 'hoop')], MARCH),
    ).toEqual([]);
    const gone = (on: string): Written[] => [
      ...chicks,
      ['move', on, { group: 'A', to: 'out', birds: 20 }],
      ...brood('B', 'wood', '2027-03-10', 9),
    ];
    expect(messages(keptApart, gone('2027-03-10'), '2027-03-11')).toEqual([]);
    expect(messages(keptApart, gone('2027-03-11'), '2027-03-12')).toHaveLength(1);
  });
});

describe('turkeys on ground that chickens used', () => {
  const moved = (group: string, on: string, to: string, birds = 20): Written => [
    'move',
    on,
    { group, to, birds },
  ];
  const both = [...brood('T', 'wood', MARCH, 20, 'hoop'), ...brood('C', 'orchard', MARCH, 20)];
  const found = (...moves: Written[]) => messages(keptApart, [...both, ...moves], '2027-07-01');
  const chickens = moved('C', '2027-05-10', 'grass');

  test('on the day they came there, and later; not before, nor on other ground', () => {
    const been = ['grass: turkeys of T go where chickens of C have been'];
    expect(found(chickens, moved('T', '2027-05-09', 'grass'))).toEqual([]);
    expect(found(chickens, moved('T', '2027-05-10', 'grass'))).toEqual(been);
    expect(
      found(chickens, moved('C', '2027-06-01', 'out'), moved('T', '2027-06-20', 'grass')),
    ).toEqual(been);
    expect(found(chickens, moved('T', '2027-06-20', 'field'))).toEqual([]);
  });

  test('not in a brooder nor on grass outside, which the book does not tell apart', () => {
    expect(found(moved('C', '2027-05-20', 'out'), moved('T', '2027-06-01', 'out'))).toEqual([]);
    const barn = [moved('C', '2027-05-20', 'grass'), moved('T', '2027-06-01', 'barn')];
    expect(found(...barn)).toEqual([]);
  });

  test('where turkeys were, chickens and other turkeys may go', () => {
    expect(found(moved('T', '2027-05-09', 'grass'), moved('C', '2027-06-10', 'grass'))).toEqual([]);
    const second = brood('U', 'wood', '2027-03-02', 9, 'hoop');
    expect(
      messages(
        keptApart,
        [
          ...both,
          ...second,
          moved('T', '2027-05-09', 'grass'),
          moved('U', '2027-06-10', 'grass', 9),
        ],
        '2027-07-01',
      ),
    ).toEqual([]);
  });

  test('a group of several kinds is of each', () => {
    const into = (rows: readonly Written[], group: string) =>
      rows.map(
        (row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group }] : row),
      );
    const mixed = [
      ...brood('T', 'wood', MARCH, 20, 'hoop'),
      ...into(brood('H', 'heath', MARCH, 5, 'hoop'), 'T'),
      ...brood('C', 'orchard', MARCH, 20),
      ...into(brood('D', 'heath', MARCH, 5), 'C'),
    ];
    const rows = [
      ...mixed,
      moved('C', '2027-05-10', 'grass', 25),
      moved('T', '2027-06-10', 'grass', 25),
    ];
    expect(messages(keptApart, rows, '2027-07-01')).toContain(
      'grass: turkeys of T go where chickens of C have been',
    );
  });
});

describe('ages under one roof', () => {
  // A week until the younger are four weeks old, two weeks then (seeds/brooding.yaml).
  const old = brood('A', 'orchard', MARCH, 20);
  const joined = (hatched: string, on: string): Written[] => [
    ...old,
    ...brood('B', 'orchard', hatched, 20, 'hoop'),
    ['move', on, { group: 'B', to: 'barn', birds: 20 }],
  ];
  const found = (rows: readonly Written[]) => messages(agesApart, rows, '2027-04-30');

  test.each([
    ['2027-03-08', '2027-03-09', 0],
    ['2027-03-09', '2027-03-10', 1],
    // The younger are 27, then 28 days old.
    ['2027-03-09', '2027-04-05', 1],
    ['2027-03-09', '2027-04-06', 0],
    ['2027-03-15', '2027-04-12', 0],
    ['2027-03-16', '2027-04-13', 1],
  ])('hatched on %s and put together on %s', (hatched, on, count) => {
    const rows = [...joined(hatched, on)].map((row): Written => row);
    expect(found(rows).filter((one) => one.includes(`from ${on}`))).toHaveLength(count);
  });

  test('whichever is written first', () => {
    const rows = [...brood('B', 'orchard', '2027-03-09', 20), ...brood('A', 'orchard', MARCH, 20)];
    expect(found(rows)).toEqual([
      'barn: birds 8 days apart in age together from 2027-03-09; 7 at most is common practice',
    ]);
    expect(told(agesApart, rows, '2027-04-01')[0]).toMatchObject({
      set: 'SB',
      severity: 'warning',
    });
  });

  test('within a group of two hatches', () => {
    const within = (hatched: string): Written[] => [
      ...old,
      ...brood('B', 'orchard', hatched, 20).map(
        (row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group: 'A' }] : row),
      ),
    ];
    expect(found(within('2027-03-08'))).toEqual([]);
    expect(found(within('2027-03-09'))).toHaveLength(1);
  });
});

describe('look-alikes', () => {
  const season = (downA: string, downB: string) =>
    yaml.replace('down: yellow}', `${downA}}`).replace('down: yellow}', `${downB}}`);
  const pair = (pens = ['orchard', 'yard'], marks = ['', '']) => [
    ...brood('A', pens[0]!, MARCH, 20, 'barn', marks[0]),
    ...brood('B', pens[1]!, MARCH, 20, 'barn', marks[1]),
  ];
  const found = (file: string, rows: readonly Written[]) =>
    told(lookAlike, rows, '2027-03-02', file).map((one) => [one.severity, one.set, one.pen]);

  test.each([
    ['down: yellow', 'down: Yellow', ['error']],
    ['down: yellow', 'down: black', []],
    ['down: yellow', 'points: 1', ['warning']],
    ['points: 1', 'down: yellow', ['warning']],
    ['points: 1', 'points: 1', ['warning']],
  ])('%s beside %s', (one, other, severities) => {
    const file = season(one, other).replaceAll(', points: 1', '');
    expect(found(file, pair())).toEqual(severities.map((s) => [s, 'SB', 'yard']));
  });

  test('of one line, or of two kinds, nobody need tell apart', () => {
    expect(found(yaml, pair(['orchard', 'orchard']))).toEqual([]);
    const kinds = yaml.replace(
      'norfolk: {species: turkey}',
      'norfolk: {species: turkey, down: yellow}',
    );
    expect(found(kinds, pair(['orchard', 'wood']))).toEqual([]);
  });

  test('a mark on one tells them apart, the same mark on both does not', () => {
    expect(found(yaml, pair(undefined, ['', 'toe 1']))).toEqual([]);
    expect(found(yaml, pair(undefined, ['toe 1', 'toe 2']))).toEqual([]);
    expect(found(yaml, pair(undefined, ['toe 1', 'toe 1']))).toHaveLength(1);
  });

  test('told once of two shares however often they meet, about those that came later', () => {
    const rows: Written[] = [
      ...brood('A', 'orchard', MARCH, 20),
      ...brood('B', 'yard', MARCH, 20),
      ['move', '2027-03-03', { group: 'B', to: 'hoop', birds: 20 }],
      ['move', '2027-03-05', { group: 'B', to: 'barn', birds: 20 }],
    ];
    expect(told(lookAlike, rows, '2027-03-06')).toHaveLength(1);
    const [late, early] = [brood('A', 'orchard', '2027-03-03', 20), brood('B', 'yard', MARCH, 20)];
    for (const both of [
      [...late, ...early],
      [...early, ...late],
    ])
      expect(told(lookAlike, both, '2027-03-04').map((one) => one.set)).toEqual(['SA']);
    // Each of three lines with each other.
    const three = [...pair(), ...brood('C', 'lane', MARCH, 20)];
    expect(told(lookAlike, three, '2027-03-02')).toHaveLength(3);
  });

  test('within a group', () => {
    const rows: Written[] = [
      ...brood('A', 'orchard', MARCH, 20),
      ...brood('B', 'yard', MARCH, 20).map(
        (row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group: 'A' }] : row),
      ),
    ];
    expect(told(lookAlike, rows, '2027-03-02')).toHaveLength(1);
  });
});

describe('chicks that wait', () => {
  // Chickens must be fed within 48 hours, ducklings within 24 (seeds/brooding.yaml).
  const hatched = (pen: string, on: string): Written[] =>
    brood('A', pen, on, 20).filter((row) => row[0] !== 'group');
  const placed = (pen: string, out: string, on: string): Written[] => [
    ...hatched(pen, out),
    ['group', on, { group: 'A', set: 'SA', pen, brooder: 'barn', chicks: 20 }],
  ];
  const at = (now: string, time: string) => ({ ...nowAt(now), time });
  const waiting = (rows: readonly Written[], now: string, time: string, file = yaml) =>
    heldTooLong({ season: seasonOf(file, rows), now: at(now, time) }).map((one) => one.message);

  test.each([
    ['orchard', '2027-03-03', '07:59', 0],
    ['orchard', '2027-03-03', '08:00', 1],
    ['pond', '2027-03-02', '07:59', 0],
    ['pond', '2027-03-02', '08:00', 1],
  ])('of %s, taken off on the 1st at eight, on %s at %s', (pen, now, time, count) => {
    expect(waiting(hatched(pen, '2027-03-01T08:00'), now, time)).toHaveLength(count);
  });

  test('a hatch without a minute may be of the last of its day', () => {
    const rows = hatched('orchard', MARCH);
    expect(waiting(rows, '2027-03-03', '23:59')).toEqual([]);
    expect(waiting(rows, '2027-03-04', '00:00')).toEqual([
      'SA: 20 chicks taken off on 2027-03-01 and in no group; 48 hours at the least',
    ]);
  });

  test('a tick settles them, of their own set alone', () => {
    const ticked = (task: string): Written[] => [
      ...hatched('orchard', MARCH),
      ['tick', '2027-03-04', { task }],
    ];
    expect(waiting(ticked('SA/brood'), '2027-03-05', '08:00')).toEqual([]);
    expect(waiting(ticked('SB/brood'), '2027-03-05', '08:00')).toHaveLength(1);
  });

  test('a book without brooders asks where it has groups alone', () => {
    const bare = yaml.replace(/brooders:\n(?: {2}\w+: .*\n)+/, '');
    const rows = hatched('orchard', MARCH);
    expect(waiting(rows, '2027-03-05', '08:00', bare)).toEqual([]);
    const other: Written[] = [
      ...rows,
      ['set', '2027-02-01', { set: 'SB', pen: 'yard', setter: 'cabinet', tray: 2, eggs: 40 }],
      ['transfer', '2027-02-19', { set: 'SB', pen: 'yard', hatcher: 'lower', moved: 40 }],
      ['hatch', MARCH, { set: 'SB', pen: 'yard', hatched: 5, unpipped: 35, final: 'yes' }],
      ['group', MARCH, { group: 'B', set: 'SB', pen: 'yard', chicks: 5 }],
    ];
    expect(
      waiting(other, '2027-03-05', '08:00', bare).filter((one) => one.startsWith('SA')),
    ).toHaveLength(1);
  });

  test.each([
    ['orchard', '2027-03-03T07:59', 0],
    ['orchard', '2027-03-03T08:00', 1],
    ['pond', '2027-03-02T07:59', 0],
    ['pond', '2027-03-02T08:00', 1],
  ])('of %s, that waited from the 1st at eight until %s', (pen, on, count) => {
    expect(waiting(placed(pen, '2027-03-01T08:00', on), '2027-03-10', '08:00')).toHaveLength(count);
  });

  test('who waited is told with the hours that chicks live on the yolk', () => {
    expect(
      waiting(placed('orchard', '2027-03-01T08:00', '2027-03-03T10:00'), '2027-03-10', '08:00'),
    ).toEqual([
      'SA orchard: the first of 20 chicks waited 50 hours or more; 48 at most, and 72 is the limit of survival',
    ]);
  });
});

test('what the book of birds could not count in is a conflict', () => {
  const rows: Written[] = [
    ...brood('A', 'orchard', MARCH, 20),
    ['loss', addDays(MARCH as Day, 1), { group: 'A', birds: 21 }],
  ];
  expect(told(flockBalance, rows, '2027-03-04').map((one) => one.code)).toEqual(['out-of-balance']);
  expect(told(flockBalance, rows.slice(0, -1), '2027-03-04')).toEqual([]);
});
