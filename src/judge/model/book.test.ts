// A season as rows of counts and measures: what each is of, and which set it belongs to.
import { describe, expect, test } from 'vitest';
import { farm, plainFarm, usual } from '../../../tests/support/plain-farm.ts';
import { seasonOf, type Written } from '../../../tests/support/season.ts';
import { bookOf } from './book.ts';

// Sets on the 1st, 8th and 15th of February, all Mondays; the first in the cabinet.
const rows = farm(3, () => usual);
const book = (more: readonly Written[] = [], text = plainFarm) =>
  bookOf(seasonOf(text, [...rows, ...more]));

test('sets, machines, pens and trays of a season', () => {
  expect(book()).toMatchObject({
    sets: [
      { name: 'S1', on: '2027-02-01', eggs: 48 },
      { name: 'S2', on: '2027-02-08', eggs: 48 },
      { name: 'S3', on: '2027-02-15', eggs: 48 },
    ],
    pens: ['orchard', 'yard'],
    setters: ['cabinet', 'attic'],
    hatchers: ['lower', 'upper'],
    trays: ['attic 1', 'attic 2', 'cabinet 1', 'cabinet 2'],
    powerCuts: [],
    earlier: [],
  });
  const hatching = book().counts.filter(({ name }) => name === 'S2');
  for (const one of hatching)
    expect(one).toMatchObject({ set: 1, setter: 'attic', hatcher: 'upper', stored: 0, offset: 0 });
  expect(new Set(hatching.map(({ pen, tray }) => `${pen} ${tray}`))).toEqual(
    new Set(['orchard attic 1', 'yard attic 2']),
  );
});

test('eggs that were not kept are counted by pen and week, and belong to the next set', () => {
  const laid = (on: string, pen: string, all: number, kept: number): Written => [
    'eggs',
    on,
    { pen, laid: all, kept },
  ];
  const unfit = book([
    laid('2027-02-09', 'orchard', 10, 8),
    laid('2027-02-10', 'orchard', 9, 9),
    laid('2027-02-10', 'yard', 5, 5),
    laid('2027-02-15', 'orchard', 10, 7),
    laid('2027-02-23', 'orchard', 10, 6),
    laid('2027-02-24', 'yard', 0, 0),
  ]).counts.filter(({ stream }) => stream === 'unfit');
  expect(unfit.map(({ pen, set, x, n, name, setter }) => [pen, set, x, n, name, setter])).toEqual([
    ['orchard', 2, 2, 19, null, null],
    ['yard', 2, 0, 5, null, null],
    ['orchard', 2, 3, 10, null, null],
    // After the last set: of one that is still to come.
    ['orchard', 3, 4, 10, null, null],
  ]);
});

// Free of loss for a week at least: older eggs count by the weeks beyond it.
test.each([
  [7, 0],
  [14, 1],
  [10.5, 0.5],
])('eggs %d days old: stored %d weeks', (days, weeks) => {
  const day = (age: number) =>
    new Date(Date.UTC(2027, 1, 22) - age * 86_400_000).toISOString().slice(0, 10);
  const [from, to] = [day(Math.ceil(days)), day(Math.floor(days))];
  const rows: Written[] = [
    [
      'set',
      '2027-02-22',
      { set: 'S4', pen: 'yard', setter: 'attic', tray: 1, eggs: 9, laid_from: from, laid_to: to },
    ],
    ['candling', '2027-03-02', { set: 'S4', pen: 'yard', clear: 1 }],
  ];
  const found = bookOf(seasonOf(plainFarm, rows)).counts.find(({ name }) => name === 'S4');
  expect(found!.stored).toBeCloseTo(weeks, 9);
});

test('gauges by the week: the mean of its days from what was aimed at, at the last set by then', () => {
  const read = (on: string, dry: number): Written => ['reading', on, { machine: 'cabinet', dry }];
  const { measures } = book([
    read('2027-02-02T08:00', 37.5),
    read('2027-02-03T08:00', 37.7),
    read('2027-02-16T08:00', 37.9),
  ]);
  const found = measures.filter(({ stream }) => stream === 'temperature');
  expect(found.map(({ set, setter, hatcher, pen }) => [set, setter, hatcher, pen])).toEqual([
    [0, 'cabinet', null, null],
    [2, 'cabinet', null, null],
  ]);
  // Aimed at 37.5 °C: a tenth above it on the mean of two days, four tenths on the third.
  expect(found[0]!.value).toBeCloseTo(0.1, 6);
  expect(found[1]!.value).toBeCloseTo(0.4, 6);
  expect(measures.filter(({ stream }) => stream === 'humidity')).toEqual([]);
  const [hatcher] = book([
    ['reading', '2027-02-20T08:00', { machine: 'lower', dry: 37, rh: 70 }],
  ]).measures.filter(({ stream }) => stream === 'humidity');
  expect(hatcher).toMatchObject({ setter: null, hatcher: 'lower', set: 2 });
});

test('cuts of power that were long and met eggs', () => {
  const cut = (on: string, machine: string, minutes: number): Written => [
    'reading',
    on,
    { machine, event: 'power-off', minutes, room: 5 },
  ];
  const { powerCuts } = book([
    cut('2027-02-03T02:00', 'cabinet', 30),
    cut('2027-02-03T09:00', 'attic', 900),
    cut('2027-02-17T02:00', 'cabinet', 900),
  ]);
  expect(powerCuts).toEqual([{ machine: 'cabinet', on: '2027-02-17', sets: [0, 2] }]);
});

test('water lost, of a set in one machine, from the middle of what is wanted', () => {
  const weighed = (on: string, pen: string, mass_g: number): Written => [
    'weighing',
    on,
    { set: 'S1', pen, eggs: 20, mass_g },
  ];
  const massed = rows.map(
    ([record, on, cells]): Written => [
      record,
      on,
      record === 'set' && cells.set === 'S1' ? { ...cells, mass_g: 1440 } : cells,
    ],
  );
  const of = (...more: Written[]) =>
    bookOf(seasonOf(plainFarm, [...massed, ...more]))
      .measures.filter(({ stream }) => stream === 'loss')
      .map(({ value, set, setter, pen, tray }) => [
        Math.round(value! * 1000) / 1000,
        set,
        setter,
        pen,
        tray,
      ]);
  // Of 60 g an egg 4 % are gone after nine days of eighteen: 8 % by transfer, four short of 10 to 14 %.
  expect(of(weighed('2027-02-10', 'orchard', 1152))).toEqual([[-4, 0, 'cabinet', null, null]]);
  // Of two pens of one set the mean.
  expect(of(weighed('2027-02-10', 'orchard', 1152), weighed('2027-02-10', 'yard', 1128))).toEqual([
    [-2, 0, 'cabinet', null, null],
  ]);
});

test('a weighing near transfer says more than an early one', () => {
  const massed = rows.map(
    ([record, on, cells]): Written => [
      record,
      on,
      record === 'set' && cells.set === 'S1' ? { ...cells, mass_g: 1440 } : cells,
    ],
  );
  const weighed = (on: string, pen: string, mass_g: number): Written => [
    'weighing',
    on,
    { set: 'S1', pen, eggs: 20, mass_g },
  ];
  // Half of the way counts a quarter: 8 % of the one, 12 % (at its end, after eighteen days) of the other.
  const [loss] = bookOf(
    seasonOf(plainFarm, [
      ...massed,
      weighed('2027-02-10', 'orchard', 1152),
      weighed('2027-02-19', 'yard', 1056),
    ]),
  ).measures.filter(({ stream }) => stream === 'loss');
  expect(loss!.value).toBeCloseTo((0.25 * -4 + 0) / 1.25, 6);
});

test('when chicks came, of a set that is over: a day later is a day later', () => {
  const hours = (late: number, keep = (_: Written) => true) =>
    bookOf(
      seasonOf(
        plainFarm,
        farm(3, ({ set }) => ({ ...usual, late: set === 1 ? late : 0 })).filter(keep),
      ),
    )
      .measures.filter(({ stream }) => stream === 'hours')
      .map(({ set, value, setter, tray, pen, hourless }) => ({
        set,
        value: value!,
        setter,
        tray,
        pen,
        hourless,
      }));
  const [on, late] = [hours(0), hours(1)];
  expect(
    on.map(({ set, setter, tray, pen, hourless }) => [set, setter, tray, pen, hourless]),
  ).toEqual([
    [0, 'cabinet', null, null, false],
    [1, 'attic', null, null, false],
    [2, 'cabinet', null, null, false],
  ]);
  expect(late[1]!.value - on[1]!.value).toBeGreaterThan(11);
  expect(late[1]!.value - on[1]!.value).toBeLessThanOrEqual(24);
  expect(late[0]!.value).toBe(on[0]!.value);
  // One share of it is not closed yet: those to come would make it look early.
  const open = hours(
    0,
    ([record, , cells]) => !(record === 'hatch' && cells.set === 'S2' && cells.pen === 'yard'),
  );
  expect(open.map(({ set }) => set)).toEqual([0, 2]);
});

test('eggs that came by post, or hatched under a hen, say nothing of this farm’s machines', () => {
  const text = plainFarm
    .replace(
      '  yard: {line: sussex, hens: 12, males: 2, joined: 2027-01-10}',
      '  yard: {line: sussex, bought: {from: Elder, on: 2027-01-20, road_days: 2}}',
    )
    .replace('hatchers:', '  hazel: {broody: true, tray_holds: {chicken: 12}}\nhatchers:');
  const found = book(
    [
      ['set', '2027-02-22', { set: 'H1', pen: 'orchard', setter: 'hazel', eggs: 9 }],
      ['candling', '2027-03-02', { set: 'H1', pen: 'orchard', clear: 1 }],
    ],
    text,
  );
  expect(new Set(found.counts.map(({ pen }) => pen))).toEqual(new Set(['orchard']));
  expect(found.counts.filter(({ name }) => name === 'H1')).toEqual([]);
  expect(found.setters).toEqual(['cabinet', 'attic']);
});

describe('the males that eggs are of', () => {
  const males = (more: readonly Written[], text = plainFarm, sets = 9) => {
    const season = seasonOf(text, [...farm(sets, () => usual), ...more]);
    const { counts, males: all } = bookOf(season);
    const of = (pen: string) =>
      [...season.sets.keys()].map((set) => {
        const own = new Set(
          counts.filter((row) => row.name === set && row.pen === pen).map((row) => row.males),
        );
        expect(own.size).toBe(1);
        return [...own][0];
      });
    return { orchard: of('orchard'), yard: of('yard'), all };
  };
  const change = (on: string, cells: Record<string, string | number>): Written => [
    'pen-change',
    on,
    { pen: 'orchard', sex: 'male', ...cells },
  ];

  test('are those of the pen: by name, or of this pen and year where one is not known', () => {
    const { orchard, yard, all } = males([]);
    expect(new Set(orchard)).toEqual(new Set(['sussex Oak']));
    expect(new Set(yard)).toEqual(new Set(['2027 yard 2027-01-10']));
    expect(all).toEqual([
      { key: 'sussex Oak', names: ['Oak'] },
      { key: '2027 yard 2027-01-10', names: [] },
    ]);
    const two = plainFarm.replace('males: 2,', 'males: 2, sires: [Yew, Elm],');
    expect(males([], two).all[1]).toEqual({ key: 'sussex Elm Yew', names: ['Elm', 'Yew'] });
    const half = plainFarm.replace('males: 2,', 'males: 2, sires: [Yew],');
    expect(males([], half).all[1]!.names).toEqual([]);
  });

  // Eggs are laid two days before a set, the sets a week apart from the 1st of February on.
  test('are both for three weeks after a change, and the new one’s from then on', () => {
    const { orchard, yard, all } = males([
      change('2027-02-20', { change: 'replaced', bird: 'Elm' }),
    ]);
    expect(orchard).toEqual([
      ...Array(3).fill('sussex Oak'),
      // Laid on the 20th of February, and on the 6th of March; the 13th is three weeks after.
      ...Array(3).fill(null),
      ...Array(3).fill('sussex Elm'),
    ]);
    expect(new Set(yard).size).toBe(1);
    expect(all.map(({ names }) => names)).toEqual([['Oak'], ['Elm'], []]);
  });

  test('so they are where one of two died', () => {
    const two = plainFarm.replace('males: 1,', 'males: 2,').replace('[Oak]', '[Oak, Elm]');
    const { orchard } = males([change('2027-02-20', { change: 'died', bird: 'Oak' })], two);
    expect(orchard).toEqual([
      ...Array(3).fill('sussex Elm Oak'),
      ...Array(3).fill(null),
      ...Array(3).fill('sussex Elm'),
    ]);
  });

  test('of a change of which only the day is known the new ones have no name', () => {
    const text = plainFarm.replace(
      'sires: [Oak]',
      'sires: [Oak], males_changed: [2027-02-20], other_males_until: 2027-01-12',
    );
    const { orchard } = males([], text);
    expect(orchard).toEqual([
      // The 30th of January is within three weeks of the males before.
      null,
      ...Array(2).fill('sussex Oak'),
      ...Array(3).fill(null),
      ...Array(3).fill('2027 orchard 2027-02-20'),
    ]);
  });

  test('of eggs not written down are those who were there as long as an egg may be stored', () => {
    const rows = farm(9, () => usual).filter(([record]) => record !== 'eggs');
    const more = change('2027-02-20', { change: 'replaced', bird: 'Elm' });
    const { counts } = bookOf(seasonOf(plainFarm, [...rows, more]));
    const of = (set: string) =>
      counts.find((row) => row.name === set && row.pen === 'orchard')!.males;
    expect([of('S3'), of('S4'), of('S7'), of('S9')]).toEqual([
      'sussex Oak',
      null,
      null,
      'sussex Elm',
    ]);
    const said = rows.map(
      ([record, on, cells]): Written => [
        record,
        on,
        record === 'set'
          ? { ...cells, laid_from: on.slice(0, 10), laid_to: on.slice(0, 10) }
          : cells,
      ],
    );
    const known = bookOf(seasonOf(plainFarm, [...said, more])).counts;
    expect(known.find((row) => row.name === 'S7' && row.pen === 'orchard')!.males).toBe(
      'sussex Elm',
    );
  });
});

test('the last three seasons are what is expected of this one', () => {
  const season = (sets: number) =>
    seasonOf(
      plainFarm,
      farm(sets, () => usual),
    );
  const { earlier } = bookOf(season(2), [4, 3, 1, 2].map(season));
  expect(earlier.map(({ counts }) => new Set(counts.map(({ name }) => name)).size)).toEqual([
    3, 1, 2,
  ]);
});
