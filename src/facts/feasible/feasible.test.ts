import { describe, expect, test } from 'vitest';
import { day, hill, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import { expectedIn } from '../../judge/rates/expected-chicks.ts';
import { farmRates } from '../../judge/rates/rates.ts';
import { addDays } from '../../text/day.ts';
import type { Expected } from '../expected.ts';
import { reasonsAgainst } from './feasible.ts';
import { partOfRoom } from './hatchers.ts';

const planOf = (...lines: string[]) =>
  `${hill}plan:\n${lines.map((one) => `  - {${one}}\n`).join('')}`;

/** What is expected if nobody lays, nothing dies and no chick comes, but for what is given. */
const expecting = (given: Partial<Expected> = {}): Expected => ({
  eggsADay: () => 100,
  liveEggs: () => null,
  chicks: () => [],
  ...given,
});

const told = (
  yaml: string,
  at: string,
  expected: Expected | null = expecting(),
  rows: readonly Written[] = [],
) =>
  reasonsAgainst(seasonOf(yaml, rows), nowAt(at), expected).map(
    ({ code, set, place, day: on, held, room }) => ({ code, set, place, day: on, held, room }),
  );
const codes = (...args: Parameters<typeof told>) => told(...args).map((one) => one.code);

/** By the farm's own rates, as check and plan ask. */
const byRates = (yaml: string, at: string, rows: readonly Written[] = []) => {
  const season = seasonOf(yaml, rows);
  const now = nowAt(at);
  const rates = () => farmRates(season, [], now.day);
  return reasonsAgainst(season, now, expectedIn(season, now, rates));
};

describe('eggs that are to be there', () => {
  const three = planOf('set: A1, on: 2027-03-13, trays: [1], shares: {orchard: 42}')
    .replace('hens: 9', 'hens: 3')
    .replace('chicken: 40, duck', 'chicken: 60, duck');

  test('42 eggs from three hens are not expected', () => {
    const found = byRates(three, '2027-03-01').filter((one) => one.code === 'eggs-not-there');
    expect(found).toHaveLength(1);
    // Nine days of three hens, eight of them young enough on the day and one more: 27 at the most.
    expect(found[0]!.held).toBe(42);
    expect(found[0]!.room).toBeLessThanOrEqual(27);
    expect(found[0]!.room).toBeGreaterThan(5);
    expect(byRates(three.replace('orchard: 42', 'orchard: 5'), '2027-03-01')).toEqual([]);
  });

  test('as many as are there, and one more', () => {
    const rows: Written[] = [['eggs', '2027-03-08', { pen: 'orchard', kept: 10 }]];
    const asked = (eggs: number, on: string) =>
      codes(
        planOf(`set: A1, on: ${on}, trays: [1], shares: {orchard: ${eggs}}`),
        '2027-03-10',
        expecting({ eggsADay: () => 2 }),
        rows,
      );
    // Ten in store, and two a day from the 11th.
    expect(asked(10, '2027-03-10')).toEqual([]);
    expect(asked(11, '2027-03-10')).toEqual(['eggs-not-there']);
    expect(asked(12, '2027-03-11')).toEqual([]);
    expect(asked(13, '2027-03-11')).toEqual(['eggs-not-there']);
    // Eight days may be stored: on the 16th those of the 8th go, on the 17th they are too old.
    expect(asked(22, '2027-03-16')).toEqual([]);
    expect(asked(14, '2027-03-17')).toEqual([]);
    expect(asked(15, '2027-03-17')).toEqual(['eggs-not-there']);
  });

  test('two sets do not take the same eggs', () => {
    const both = planOf(
      'set: A1, on: 2027-03-12, trays: [1], shares: {orchard: 4}',
      'set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 3}',
    );
    const found = told(both, '2027-03-10', expecting({ eggsADay: () => 2 })).filter(
      (one) => one.code === 'eggs-not-there',
    );
    expect(found).toEqual([
      { code: 'eggs-not-there', set: 'A2', place: null, day: '2027-03-13', held: 3, room: 2 },
    ]);
  });

  test('without expectations only today’s sets are asked about', () => {
    const asked = (on: string) =>
      codes(planOf(`set: A1, on: ${on}, trays: [1], shares: {orchard: 4}`), '2027-03-10', null);
    expect(asked('2027-03-10')).toEqual(['eggs-not-there']);
    expect(asked('2027-03-11')).toEqual([]);
  });
});

describe('room in a hatcher is for live eggs', () => {
  const full = planOf('set: A1, on: 2027-03-13, trays: [1], shares: {orchard: 36}').replace(
    'holds: {chicken: 60',
    'holds: {chicken: 30',
  );
  const live = (mean: number, variance: number) =>
    told(full, '2027-03-01', expecting({ liveEggs: () => ({ mean, variance }) })).filter(
      (one) => one.code === 'hatcher-overfull',
    );

  test('36 eggs of which so few live that 30 places do', () => {
    expect(live(25, 4)).toEqual([]);
    // One chance in twenty lies 1.645 standard deviations up: 30 − 1.6449 × 2 = 26.71.
    expect(live(26.7, 4)).toEqual([]);
    expect(live(26.72, 4)).toHaveLength(1);
    expect(live(30, 0)).toEqual([]);
    expect(live(31, 0)).toEqual([
      {
        code: 'hatcher-overfull',
        set: 'A1',
        place: 'lower',
        day: '2027-03-31',
        held: 31,
        room: 30,
      },
    ]);
  });

  test('no more eggs are moved than are set: one by one, 59, 60 and 61 for 60 places', () => {
    const set = (eggs: number) =>
      codes(
        planOf(`set: A1, on: 2027-03-13, trays: [1, 2], shares: {orchard: ${eggs}}`),
        '2027-03-01',
        expecting({ liveEggs: () => ({ mean: eggs * 0.97, variance: eggs }) }),
      );
    expect([59, 60, 61].map(set)).toEqual([[], [], ['hatcher-overfull']]);
    // Two sets that hatch there together, 30 and 30 or 30 and 31.
    const shared = (second: number) =>
      codes(
        planOf(
          'set: A1, on: 2027-03-13, trays: [1], shares: {orchard: 30}',
          `set: A2, on: 2027-03-13, trays: [2], shares: {orchard: ${second}}`,
        ).replace('clean_days: 1', 'clean_days: 1, one_set_at_a_time: false'),
        '2027-03-01',
        expecting({ liveEggs: () => ({ mean: 29.1, variance: 30 }) }),
      );
    // Told of each of the two.
    expect([30, 31].map(shared)).toEqual([[], ['hatcher-overfull', 'hatcher-overfull']]);
  });

  test('it is an error where it is likelier than not', () => {
    const severity = (mean: number) =>
      reasonsAgainst(
        seasonOf(full),
        nowAt('2027-03-01'),
        expecting({ liveEggs: () => ({ mean, variance: 4 }) }),
      ).map((one) => one.severity);
    expect([severity(29), severity(31)]).toEqual([['warning'], ['error']]);
  });

  test('kinds share it in parts of their room', () => {
    const half = { mean: 15, variance: 0, most: 30, holds: 30 };
    expect(partOfRoom([half, { mean: 20, variance: 0, most: 40, holds: 40 }]).mean).toBe(1);
    const { mean, high } = partOfRoom([{ ...half, variance: 9 }]);
    expect([mean, high]).toEqual([0.5, 0.5 + (1.6449 * 3) / 30]);
    expect(partOfRoom([])).toEqual({ mean: 0, high: 0 });
  });

  test('what is moved is counted as it was', () => {
    const rows: Written[] = [
      ['eggs', '2027-03-05', { pen: 'orchard', kept: 40 }],
      ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 36 }],
      ['transfer', '2027-03-24', { set: 'A1', moved: 31 }],
    ];
    const yaml = full.split('plan:')[0]!;
    expect(codes(yaml, '2027-03-25', null, rows)).toEqual(['hatcher-overfull']);
  });
});

describe('a machine that is closed', () => {
  const closed = (machine: 'cabinet' | 'lower', from: string, to: string) =>
    planOf('set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}').replace(
      machine === 'cabinet' ? 'duck: 30}}' : 'clean_days: 1}',
      machine === 'cabinet'
        ? `duck: 30}, closed: [{from: ${from}, to: ${to}}]}`
        : `clean_days: 1, closed: [{from: ${from}, to: ${to}}]}`,
    );
  // In the tray from the 6th to the 23rd of March, in the hatcher from the 24th to the 27th.
  test.each([
    ['cabinet', '2027-03-01', '2027-03-05', []],
    ['cabinet', '2027-03-01', '2027-03-06', ['machine-closed']],
    ['cabinet', '2027-03-23', '2027-03-30', ['machine-closed']],
    ['cabinet', '2027-03-24', '2027-03-30', []],
    ['lower', '2027-03-20', '2027-03-23', []],
    ['lower', '2027-03-20', '2027-03-24', ['machine-closed']],
    ['lower', '2027-03-27', '2027-03-27', ['machine-closed']],
    ['lower', '2027-03-28', '2027-03-30', []],
  ] as const)('%s from %s to %s', (machine, from, to, expected) => {
    expect(codes(closed(machine, from, to), '2027-03-01')).toEqual(expected);
  });

  test('in the past was done', () => {
    const rows: Written[] = [
      ['eggs', '2027-03-05', { pen: 'orchard', kept: 30 }],
      ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: 30 }],
    ];
    const yaml = closed('cabinet', '2027-03-08', '2027-03-10').split('plan:')[0]!;
    expect(codes(yaml, '2027-03-10', null, rows)).toEqual(['machine-closed']);
    expect(codes(yaml, '2027-03-11', null, rows)).toEqual([]);
  });
});

describe('the setting season', () => {
  const asked = (on: string, more = '', pen = '') =>
    codes(
      `${planOf(`set: A1, on: ${on}, trays: [1], shares: {orchard: 30}`).replace(
        'males: 1, joined: 2027-01-30}\n  yard',
        `males: 1, joined: 2027-01-30${pen}}\n  yard`,
      )}${more}`,
      '2027-01-01',
    ).filter((code) => code === 'out-of-season');
  const OUT = ['out-of-season'];

  test('as the keeper gives it, both days within', () => {
    const setting = 'setting: {from: 2027-02-20, to: 2027-05-31}\n';
    expect(asked('2027-02-19', setting)).toEqual(OUT);
    expect(asked('2027-02-20', setting)).toEqual([]);
    expect(asked('2027-05-31', setting)).toEqual([]);
    expect(asked('2027-06-01', setting)).toEqual(OUT);
  });

  test('else from the day the pen is fertile until its last eggs are too old', () => {
    // Joined on 30 January, fertile seven days later; stored up to eight days (the season's).
    expect(asked('2027-02-05')).toEqual(OUT);
    expect(asked('2027-02-06')).toEqual([]);
    const parted = ', parted: 2027-05-01';
    expect(asked('2027-05-08', '', parted)).toEqual([]);
    expect(asked('2027-05-09', '', parted)).toEqual(OUT);
  });
});

describe('brooders, with the chicks to come', () => {
  const brooder = 'brooders:\n  barn: {area: 0.7}\n';
  const two = `${planOf(
    'set: A1, on: 2027-03-06, trays: [1], shares: {orchard: 30}',
    'set: A2, on: 2027-03-13, trays: [2], shares: {orchard: 30}',
  )}${brooder}`;

  test('a season in feet is told in feet', () => {
    const inFeet = two
      .replace('area: 0.7', 'area: 7.5')
      .replace('lines:', 'units: {area: ft2}\nlines:');
    const said = (yaml: string) =>
      byRates(yaml, '2027-02-27').find((one) => one.code === 'brooder-overfull')!.message;
    const [metres, feet] = [two, inFeet].map((yaml) => {
      const [, need, unit, have] = /need ([\d.]+) (.*) of floor, and ([\d.]+) .* is free/.exec(
        said(yaml),
      )!;
      return { need: Number(need), have: Number(have), unit };
    });
    expect([metres!.unit, feet!.unit]).toEqual(['m²', 'ft²']);
    // 7.5 ft² of 0.3048² m².
    expect([metres!.have, feet!.have]).toEqual([0.7, 7.5]);
    expect(feet!.need / metres!.need).toBeCloseTo(1 / 0.3048 ** 2, 0);
  });

  test('two sets that need twice the brooder', () => {
    const found = byRates(two, '2027-02-27').filter((one) => one.code === 'brooder-overfull');
    expect(found).toHaveLength(1);
    expect(found[0]!.held!).toBeGreaterThan(found[0]!.room!);
    expect(
      byRates(two.replace('area: 0.7', 'area: 12'), '2027-02-27').filter(
        (one) => one.code === 'brooder-overfull',
      ),
    ).toEqual([]);
  });

  const season = seasonOf(two);
  const sussex = season.lines.get('sussex')!;
  const harlequin = season.lines.get('harlequin')!;
  const chicks = (...all: [string, 'sussex' | 'harlequin', string, number][]) =>
    expecting({
      chicks: () =>
        all.map(([set, line, hatch, mean]) => ({
          set,
          line: line === 'sussex' ? sussex : harlequin,
          hatch: day(hatch),
          mean,
        })),
    });
  const over = (yaml: string, expected: Expected) => {
    // The lines of this season are others than those of the season they were made in.
    const own = seasonOf(yaml);
    const mine = {
      ...expected,
      chicks: () =>
        expected.chicks().map((one) => ({ ...one, line: own.lines.get(one.line.name)! })),
    };
    return reasonsAgainst(own, nowAt('2027-02-27'), mine).filter(
      (one) => one.code === 'brooder-overfull',
    );
  };

  test('chicks wanted at the hatch alone leave with it', () => {
    const goals = (at: string) =>
      `${two}goals:\n  - {line: sussex, want: chicks, at: ${at}, count: 10, by: 2027-08-01}\n`;
    const many = chicks(['A1', 'sussex', '2027-03-27', 60]);
    expect(over(goals('hatch'), many)).toEqual([]);
    expect(over(goals('table'), many)).toHaveLength(1);
  });

  test('kinds kept apart need a roof each', () => {
    const roofs = (count: number) =>
      `${two.replace(brooder, '')}brooders:\n${Array.from({ length: count }, (_, i) => `  b${i}: {area: 4}\n`).join('')}`;
    const both = chicks(['A1', 'sussex', '2027-03-27', 10], ['A2', 'harlequin', '2027-03-27', 10]);
    const [found] = over(roofs(1), both);
    expect(found!.message).toContain('kept apart');
    expect(over(roofs(2), both)).toEqual([]);
  });

  test('a brooder that is closed holds none', () => {
    const open = two.replace('area: 0.7', 'area: 12');
    const last = addDays(day('2027-03-27'), 3);
    const some = chicks(['A1', 'sussex', '2027-03-27', 20]);
    expect(over(open, some)).toEqual([]);
    const shut = open.replace('area: 12', `area: 12, closed: [{from: ${last}, to: ${last}}]`);
    expect(over(shut, some).map((one) => [one.day, one.room])).toEqual([[last, 0]]);
  });
});
