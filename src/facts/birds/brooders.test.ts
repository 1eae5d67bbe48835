// Who is in which brooder, and what nights are to be expected: the day before, on and after.
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { day, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import type { WeatherDay } from '../../season/model.ts';
import { addDays, type Day } from '../../text/day.ts';
import {
  brooderSpansOf,
  nightsOf,
  normalsOf,
  occupantsOn,
  roofHeatOf,
  roomOf,
  staysOf,
} from './brooders.ts';
import { flockOf } from './groups.ts';
import { movingOut } from './moving-out.ts';
import { type MonthNormal, type NightOn, nightsModel } from './nights.ts';

const MARCH = '2027-03-01';
const chicks = brood('A', 'orchard', MARCH, 20);
const move = (on: string, to: string, birds = 20, group = 'A'): Written => [
  'move',
  on,
  { group, to, birds },
];

describe('stays', () => {
  const stays = (rows: readonly Written[], now: string) => {
    const season = seasonOf(brooded, rows);
    return staysOf(season, flockOf(season).groups.values(), nowAt(now), nightsOf(season)).map(
      ({ group, brooder, from, to, isOpen }) => [group.name, brooder, from, to, isOpen],
    );
  };

  test('end when they are written to, or when birds are expected out', () => {
    expect(stays(chicks, MARCH)).toEqual([['A', 'barn', MARCH, '2027-04-12', true]]);
    expect(stays([...chicks, move('2027-03-10', 'hoop')], '2027-03-11')).toEqual([
      ['A', 'barn', MARCH, '2027-03-10', false],
      ['A', 'hoop', '2027-03-10', '2027-04-12', true],
    ]);
    expect(stays([...chicks, move('2027-03-10', 'out')], '2027-03-11')).toEqual([
      ['A', 'barn', MARCH, '2027-03-10', false],
    ]);
    // Moved on the day they came: they were never there.
    expect(stays([...chicks, move(MARCH, 'hoop')], '2027-03-11').map(([, place]) => place)).toEqual(
      ['hoop'],
    );
    // Some stay: the stay goes on.
    expect(stays([...chicks, move('2027-03-10', 'hoop', 5)], '2027-03-11')).toEqual([
      ['A', 'barn', MARCH, '2027-04-12', true],
      ['A', 'hoop', '2027-03-10', '2027-04-12', true],
    ]);
  });

  test('of birds that are still there hold today, whatever was expected', () => {
    expect(stays(chicks, '2027-04-11')[0]![3]).toBe('2027-04-12');
    expect(stays(chicks, '2027-04-12')[0]![3]).toBe('2027-04-13');
    expect(stays(chicks, '2027-02-01')[0]![3]).toBe('2027-04-12');
  });

  test('stand in the order in which they began', () => {
    const both = [...brood('B', 'yard', '2027-03-03', 5), ...chicks];
    expect(stays(both, '2027-03-05').map(([group]) => group)).toEqual(['A', 'B']);
    const three = [
      ...brood('B', 'yard', '2027-03-03', 5),
      ...brood('C', 'lane', '2027-03-02', 5),
      ...chicks,
    ];
    expect(stays(three, '2027-03-05').map(([group]) => group)).toEqual(['A', 'C', 'B']);
  });

  test('are as written up to today, and planned from tomorrow on', () => {
    const spans = (rows: readonly Written[], now: string, file = brooded) =>
      brooderSpansOf(seasonOf(file, rows), nowAt(now)).map(
        ({ brooder, group, from, to, birds, state }) => [brooder, group, from, to, birds, state],
      );
    const lost = [...chicks, ['loss', '2027-03-04', { group: 'A', birds: 3 }] as Written];
    expect(spans(lost, '2027-03-05')).toEqual([
      ['barn', 'A', MARCH, '2027-03-06', 20, 'actual'],
      ['barn', 'A', '2027-03-06', '2027-04-12', 17, 'planned'],
    ]);
    expect(spans(chicks, '2027-04-12')).toEqual([['barn', 'A', MARCH, '2027-04-13', 20, 'actual']]);
    expect(spans([...chicks, move('2027-03-10', 'out')], '2027-03-20')).toEqual([
      ['barn', 'A', MARCH, '2027-03-10', 20, 'actual'],
    ]);
    const bare = brooded.replace(/brooders:\n(?: {2}\w+: .*\n)+/, '');
    expect(spans([], MARCH, bare)).toEqual([]);
  });
});

describe('the birds under a roof on a day', () => {
  const into = (rows: readonly Written[], group: string) =>
    rows.map((row): Written => (row[0] === 'group' ? [row[0], row[1], { ...row[2], group }] : row));
  const under = (rows: readonly Written[], brooder: string, on: string) => {
    const season = seasonOf(brooded, rows);
    const stays = staysOf(season, flockOf(season).groups.values(), nowAt(on), nightsOf(season));
    return occupantsOn(season, stays, brooder, day(on)).map(({ kind, ageDays, birds }) => [
      kind.species,
      ageDays,
      birds,
    ]);
  };

  test('from the day they came until the day they left', () => {
    const out = [...chicks, move('2027-03-10', 'out')];
    expect(under(out, 'barn', '2027-02-28')).toEqual([]);
    expect(under(out, 'barn', MARCH)).toEqual([['chicken', 0, 20]]);
    expect(under(out, 'barn', '2027-03-09')).toEqual([['chicken', 8, 20]]);
    expect(under(out, 'barn', '2027-03-10')).toEqual([]);
    expect(under(out, 'hoop', '2027-03-09')).toEqual([]);
  });

  test('of a group put together of parts, by the share of each that can be there', () => {
    const two = [...chicks, ...into(brood('B', 'yard', '2027-03-05', 10), 'A')];
    expect(under(two, 'barn', '2027-03-04')).toEqual([['chicken', 3, 20]]);
    expect(under(two, 'barn', '2027-03-05')).toEqual([
      ['chicken', 4, 20],
      ['chicken', 0, 10],
    ]);
    const lost: Written[] = [...two, ['loss', '2027-03-06', { group: 'A', birds: 15 }]];
    expect(under(lost, 'barn', '2027-03-06').map(([, , birds]) => birds)).toEqual([10, 5]);
    // The younger were put into the other brooder: the older are where they were.
    const apart = [...chicks, ...into(brood('B', 'yard', '2027-03-05', 10, 'hoop'), 'A')];
    expect(under(apart, 'barn', '2027-03-06')).toEqual([['chicken', 5, 20]]);
    expect(under(apart, 'hoop', '2027-03-06')).toEqual([['chicken', 1, 10]]);
    // Once some were moved there, any may be.
    const moved = [...apart, move('2027-03-07', 'hoop', 6)];
    expect(under(moved, 'hoop', '2027-03-06')).toEqual([['chicken', 1, 10]]);
    expect(under(moved, 'hoop', '2027-03-07').map(([, age]) => age)).toEqual([6, 2]);
    // Who came after a move was not moved.
    const before = [
      ...chicks,
      move('2027-03-03', 'hoop', 6),
      ...into(brood('B', 'yard', '2027-03-05', 10), 'A'),
    ];
    expect(under(before, 'hoop', '2027-03-06')).toEqual([['chicken', 5, 6]]);
    const same = [
      ...chicks,
      ...into(brood('B', 'yard', '2027-03-05', 10), 'A'),
      move('2027-03-05', 'hoop', 6),
    ];
    expect(under(same, 'hoop', '2027-03-06')).toHaveLength(2);
  });

  test('need the heat of the youngest, until none needs any', () => {
    const season = seasonOf(brooded, chicks);
    const stays = staysOf(
      season,
      flockOf(season).groups.values(),
      nowAt('2027-05-01'),
      nightsOf(season),
    );
    const heat = roofHeatOf(season, stays, 'barn');
    expect(heat(day(MARCH))).toMatchObject({ species: 'chicken', ageDays: 0 });
    expect(heat(day('2027-04-11'))).toMatchObject({ ageDays: 41 });
    expect(heat(day('2027-04-12'))).toBeNull();
    expect(roofHeatOf(season, stays, 'hoop')(day(MARCH))).toBeNull();
  });
});

test('a brooder in °F and ft² offers as much in °C and m²', () => {
  const units = (line: string, more = '') => {
    const season = seasonOf(
      brooded.replace(/ {2}barn: .*/, `  barn: ${line}`).replace('lines:', `${more}lines:`),
    );
    return roomOf(season, season.brooders.get('barn')!);
  };
  const line =
    '{area: 10, house_low: 50, heat: {kind: hover, count: 2, area: 4, watts: 60}, feeder_cm: 90}';
  const metric = units(line);
  expect(metric).toEqual({
    area_m2: 10,
    heat: { kind: 'hover', count: 2, watts: 60, area_m2: 4, places: null },
    feeder_cm: 90,
    drinker_cm: null,
    house_c: 50,
  });
  // NIST SP 811: a square foot is 0.09290304 m²; 50 °F is 10 °C.
  const imperial = units(line, 'units: {temperature: F, area: ft2}\n');
  expect(imperial.area_m2).toBeCloseTo(0.9290304, 9);
  expect(imperial.heat!.area_m2).toBeCloseTo(0.37161216, 9);
  expect(imperial.house_c).toBeCloseTo(10, 9);
  expect(units('{area: 10}')).toMatchObject({ heat: null, feeder_cm: null, house_c: null });
  expect(units('{area: 1, heat: {kind: plate, places: 30}}').heat).toMatchObject({
    watts: null,
    area_m2: null,
    places: 30,
  });
});

test('normals are told in °C, month by month', () => {
  const normals = (unit: string) =>
    normalsOf(
      seasonOf(
        brooded.replace(
          'lines:',
          `units: {temperature: ${unit}}\nnormals:\n  mar: {low: 41, high: 59, low_10: 32}\n  apr: {low: 50}\nlines:`,
        ),
      ),
    );
  const inC = normals('F');
  expect(inC).toHaveLength(12);
  expect(inC[2]!.low).toBeCloseTo(5, 9);
  expect(inC[2]!.high).toBeCloseTo(15, 9);
  expect(inC[2]!.low_10).toBeCloseTo(0, 9);
  expect(inC[3]).toEqual({ low: 10, high: null, low_10: null });
  expect(inC[0]).toBeNull();
  expect(normals('C')[3]!.low).toBe(50);
});

describe('nights', () => {
  const none = Array<MonthNormal | null>(12).fill(null);
  const month = (low: number, more = {}): MonthNormal => ({
    low,
    high: low + 8,
    low_10: null,
    ...more,
  });
  const withMonths = (of: Readonly<Record<number, MonthNormal>>) =>
    none.map((one, at) => of[at + 1] ?? one);
  const past = (
    from: string,
    lows: readonly (number | null)[],
    high: number | null = null,
  ): WeatherDay[] => lows.map((low, index) => ({ day: addDays(from as Day, index), low, high }));

  test('are as written, else by the normals, else by past nights, else not known', () => {
    const written = past('2027-03-10', [3], 9);
    expect(nightsModel(written, withMonths({ 3: month(1) }))(day('2027-03-10'))).toMatchObject({
      source: 'written',
      low: 3,
      high: 9,
    });
    expect(nightsModel(written, withMonths({ 3: month(1) }))(day('2027-03-11'))).toMatchObject({
      source: 'normals',
      low: 1,
      high: 9,
    });
    expect(
      nightsModel(past('2027-03-10', [null], 9), withMonths({ 3: month(1) }))(day('2027-03-10'))!
        .source,
    ).toBe('normals');
    expect(nightsModel(written, none)(day('2027-03-11'))).toBeNull();
  });

  test('of fourteen past nights within ten days the mean is taken, of thirteen none', () => {
    const on = (count: number, at = '2027-03-10') =>
      nightsModel(
        past(
          '2026-03-05',
          Array.from({ length: count }, (_, n) => n),
          12,
        ),
        none,
      )(day(at));
    expect(on(13)).toBeNull();
    expect(on(14)).toMatchObject({ source: 'past nights', low: 6.5, high: 12 });
    // From the 5th to the 18th: on the 8th of March the last of them is ten days off.
    expect(on(14, '2027-03-08')).not.toBeNull();
    expect(on(14, '2027-03-07')).toBeNull();
    expect(on(14, '2027-03-15')).not.toBeNull();
    expect(on(14, '2027-03-16')).toBeNull();
    const noHigh = nightsModel(
      past('2026-03-05', Array<number>(14).fill(2)),
      none,
    )(day('2027-03-10'));
    expect(noHigh).toMatchObject({ low: 2, high: null });
    const some = [...past('2026-03-05', Array<number>(13).fill(2)), ...past('2026-03-18', [2], 10)];
    expect(nightsModel(some, none)(day('2027-03-10'))!.high).toBe(10);
  });

  test('round the turn of the year', () => {
    const turn = nightsModel(
      past(
        '2025-12-27',
        Array.from({ length: 14 }, (_, n) => n),
      ),
      none,
    );
    expect(turn(day('2027-01-01'))).toMatchObject({ low: 6.5 });
  });

  test('a tenth were colder, of fourteen nights and more, whatever their order; else the normal’s', () => {
    const tenth = (lows: readonly number[]) =>
      nightsModel(
        past('2026-03-01', lows),
        withMonths({ 3: month(5, { low_10: -9 }) }),
      )(day('2027-03-08'))!.low_10;
    expect(tenth(Array.from({ length: 13 }, (_, n) => n))).toBe(-9);
    expect(tenth([3, 11, 2, 9, 8, 0, 7, 6, 5, 4, 10, 12, 13, 1])).toBe(1);
    expect(nightsModel([], withMonths({ 3: month(5) }))(day('2027-03-08'))!.low_10).toBeNull();
    expect(nightsModel(past('2027-03-08', [4]), none)(day('2027-03-08'))!.low_10).toBeNull();
  });

  test('are drawn straight between the middles of two months', () => {
    // March has 31 days: its middle is the 16th. April has 30, its middle between the 15th and 16th.
    const model = nightsModel(
      [],
      withMonths({ 2: month(0), 3: month(10, { low_10: 4 }), 4: month(20, { low_10: 14 }) }),
    );
    const low = (on: string) => model(day(on))!.low;
    expect(low('2027-03-16')).toBe(10);
    expect(low('2027-03-31')).toBeCloseTo(10 + (10 * 15) / 31, 9);
    expect(low('2027-03-01')).toBeCloseTo(10 - (10 * 15) / 31, 9);
    expect(model(day('2027-03-31'))!.low_10).toBeCloseTo(4 + (10 * 15) / 31, 9);
    // Beside a gap the month's own stands.
    expect(low('2027-04-30')).toBe(20);
    expect(model(day('2027-05-01'))).toBeNull();
    // What the neighbour does not say is the month's own; what it does not say itself stays unsaid.
    expect(model(day('2027-03-01'))!.low_10).toBe(4);
    expect(model(day('2027-02-27'))!.low_10).toBeNull();
    const turn = nightsModel([], withMonths({ 12: month(2), 1: month(0) }));
    expect(turn(day('2027-01-01'))!.low).toBeGreaterThan(0.9);
    expect(turn(day('2027-12-31'))!.low).toBeLessThan(1.1);
  });
});

// Chickens bear nights of 15 °C from 28 days, 10 from 42, 5 from 56; small groups and slow feathers a
// week later; fully feathered at 35 to 42 days (seeds/brooding.yaml).
describe('moving out', () => {
  const nights =
    (from: string, low: number, before = -5): NightOn =>
    (on) => ({
      source: 'written',
      low: on < from ? before : low,
      high: null,
      low_10: on < from ? before : low - 2,
    });
  const out = (
    nightOn: NightOn,
    birds = 20,
    isSlow = false,
    kind: { species: string; class?: string } = { species: 'chicken' },
  ) => movingOut(kind, day(MARCH), birds, isSlow, nightOn);
  const aged = (days: number) => addDays(MARCH as Day, days);

  test('on the first of seven nights on end that suit the age', () => {
    expect(out(nights(MARCH, 15))).toMatchObject({
      youngest: aged(28),
      earliest: aged(28),
      heldBy: 'age',
      nightLow: 15,
      slowDays: 0,
    });
    expect(out(nights(aged(28), 15)).heldBy).toBe('age');
    expect(out(nights(aged(29), 15))).toMatchObject({
      earliest: aged(29),
      heldBy: 'nights',
      nightLow: 15,
    });
    expect(out(nights(MARCH, 14.9))).toMatchObject({ earliest: aged(42), nightLow: 10 });
    expect(out(nights(aged(50), 10))).toMatchObject({ earliest: aged(50), nightLow: 10 });
    expect(out(nights(MARCH, 9.9)).earliest).toBe(aged(56));
    // One cold night begins the week anew.
    const cold: NightOn = (on) =>
      on === aged(30)
        ? { source: 'written', low: 14, high: null, low_10: null }
        : nights(MARCH, 15)(on);
    expect(out(cold).earliest).toBe(aged(31));
    expect(out(nights(MARCH, -9))).toMatchObject({ earliest: null, heldBy: 'unknown' });
    expect(out(() => null)).toMatchObject({
      earliest: null,
      safe: null,
      heldBy: 'unknown',
      nightLow: 15,
    });
  });

  test('is safe by the night that nine in ten stay above', () => {
    expect(out(nights(MARCH, 17)).safe).toBe(aged(28));
    expect(out(nights(MARCH, 16)).safe).toBe(aged(42));
  });

  test('of small groups and slow feathers a week later', () => {
    expect([14, 15].map((birds) => out(nights(MARCH, 15), birds).earliest)).toEqual([
      aged(35),
      aged(28),
    ]);
    expect(out(nights(MARCH, 15), 0).slowDays).toBe(0);
    expect(out(nights(MARCH, 10), 20, true)).toMatchObject({ earliest: aged(49), slowDays: 7 });
    expect(out(nights(MARCH, 15)).feathered).toEqual({ from: aged(35), to: aged(42) });
    expect(out(nights(MARCH, 15), 20, true).feathered).toEqual({ from: aged(42), to: aged(49) });
    // Meat types feather and grow faster: 18 °C from 21 days.
    expect(out(nights(MARCH, 18), 20, false, { species: 'chicken', class: 'meat' }).earliest).toBe(
      aged(21),
    );
  });
});
