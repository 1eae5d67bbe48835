// Room for birds and for chicks to come: exactly enough, and a little less. Chickens need, per bird,
// 0.0465 m² of floor at first, 0.0697 from day 21 and 0.0929 from day 35, at the least half of that in
// the first week; 5.1 cm of trough from day 21; they leave at 42 days (seeds/brooding.yaml).
import { describe, expect, test } from 'vitest';
import { brood, brooded } from '../../../tests/support/broods.ts';
import { day, nowAt, seasonOf, type Written } from '../../../tests/support/season.ts';
import type { Expected } from '../expected.ts';
import { reasonsAgainst } from './feasible.ts';

const MARCH = '2027-03-01';
const ducks = brooded
  .replace('pens:', '  reed: {species: duck}\npens:')
  .replace('setters:', '  pond: {line: reed, hens: 9, males: 3, joined: 2027-01-10}\nsetters:')
  .replace('bobwhite: 90}', 'bobwhite: 90, duck: 90}')
  .replace('bobwhite: 900}', 'bobwhite: 900, duck: 900}');
/** The season with these brooders and no others. */
const withBrooders = (...lines: string[]) =>
  ducks.replace(
    /brooders:\n(?: {2}\w+: .*\n)+/,
    `brooders:\n${lines.map((one) => `  ${one}\n`).join('')}`,
  );
const overfull = (
  file: string,
  rows: readonly Written[],
  now: string,
  expected: Expected | null = null,
) =>
  reasonsAgainst(seasonOf(file, rows), nowAt(now), expected).filter(
    (one) => one.code === 'brooder-overfull',
  );

describe('birds in a brooder', () => {
  const chicks = brood('A', 'orchard', MARCH, 20);
  const found = (line: string, now = MARCH, rows: readonly Written[] = chicks) =>
    overfull(withBrooders(`barn: {${line}}`), rows, now);

  test('floor for the age at which they leave', () => {
    expect(found('area: 1.858')).toEqual([]);
    expect(found('area: 1.857')).toMatchObject([
      {
        message: 'barn: 20 birds on 2027-04-05 need at least 1.86 m² of floor, and it has 1.86 m²',
        set: 'SA',
        place: 'barn',
        day: '2027-04-05',
        severity: 'error',
        room: 1.857,
      },
    ]);
    expect(found('area: 1.3')[0]).toMatchObject({
      day: '2027-03-22',
      message: 'barn: 20 birds on 2027-03-22 need at least 1.4 m² of floor, and it has 1.3 m²',
    });
    // What was too little at the least is told whenever it was.
    expect(found('area: 1.3', '2027-04-11')[0]!.day).toBe('2027-03-22');
  });

  test('below what is advised is told from today on, until they leave', () => {
    const gone = (on: string): Written[] => [
      ...chicks,
      ['move', on, { group: 'A', to: 'out', birds: 20 }],
    ];
    const tight = (now: string, on = '2027-03-08') =>
      found('area: 0.6', now, gone(on)).map((one) => [one.severity, one.day]);
    expect(tight(MARCH)).toEqual([['warning', '2027-03-01']]);
    expect(tight('2027-03-07')).toEqual([['warning', '2027-03-07']]);
    expect(tight('2027-03-08')).toEqual([]);
    expect(tight(MARCH, '2027-03-09')).toEqual([['error', '2027-03-08']]);
    expect(found('area: 0.93', MARCH, gone('2027-03-08'))).toEqual([]);
    expect(found('area: 0.6', MARCH, gone('2027-03-08'))[0]!.message).toBe(
      'barn: 20 birds on 2027-03-01 need 0.9 m² of floor, and it has 0.6 m²',
    );
  });

  test('places under the heat, feeder and drinker, each on its own', () => {
    const rest = 'area: 9';
    expect(found(`${rest}, heat: {kind: plate, places: 20}`)).toEqual([]);
    expect(found(`${rest}, heat: {kind: plate, places: 19}`).map((one) => one.message)).toEqual([
      'barn: 20 birds on 2027-03-01 need at least 20.0 places under the heat, and it has 19.0',
    ]);
    expect(found(`${rest}, feeder_cm: 102`)).toEqual([]);
    expect(found(`${rest}, feeder_cm: 101`).map((one) => [one.day, one.message])).toEqual([
      [
        '2027-03-22',
        'barn: 20 birds on 2027-03-22 need at least 102 cm of feeder edge, and it has 101 cm',
      ],
    ]);
    expect(found(`${rest}, feeder_cm: 101.6`)[0]!.message).toContain(
      'need at least 102.0 cm of feeder edge, and it has 101.6 cm',
    );
    expect(found(`${rest}, drinker_cm: 38`)).toEqual([]);
    expect(found(`${rest}, drinker_cm: 37.9`)[0]!.message).toContain('38.0 cm of drinker edge');
    expect(found('area: 1.3, feeder_cm: 101')).toHaveLength(2);
  });

  test('of each brooder its own birds, and the set of those that came last', () => {
    const rows = [
      ...chicks,
      ...brood('B', 'yard', '2027-03-03', 20, 'hoop'),
      ...brood('C', 'yard', '2027-03-04', 5),
    ];
    const file = withBrooders('barn: {area: 1.9}', 'hoop: {area: 1.9}', 'shed: {area: 0.1}');
    expect(overfull(file, rows, '2027-03-05').map((one) => [one.place, one.set, one.day])).toEqual([
      ['barn', 'SC', '2027-04-05'],
    ]);
    // Until the last of them leaves: the first to come are out by then, the second still grow.
    const out: Written = ['move', '2027-03-10', { group: 'A', to: 'out', birds: 20 }];
    const second = [...chicks, out, ...brood('C', 'yard', '2027-03-05', 20)];
    expect(
      overfull(withBrooders('barn: {area: 1.857}'), second, '2027-03-11').map((one) => one.day),
    ).toEqual(['2027-04-09']);
    const first = withBrooders('barn: {area: 1.3}', 'hoop: {area: 1.9}');
    const late = [...chicks, ...brood('C', 'yard', '2027-04-01', 5)];
    expect(overfull(first, late, '2027-04-02').map((one) => one.set)).toEqual(['SA']);
  });
});

describe('chicks to come', () => {
  type Coming = [set: string, line: string, hatch: string, mean: number];
  const sets: Written[] = ['S1', 'S2', 'S3'].map((set, index) => [
    'set',
    '2027-02-20',
    { set, pen: index === 1 ? 'pond' : 'orchard', setter: 'cabinet', tray: index + 1, eggs: 40 },
  ]);
  const found = (
    file: string,
    coming: readonly Coming[],
    rows: readonly Written[] = [],
    now = MARCH,
  ) => {
    const season = seasonOf(file, [...sets, ...rows]);
    const expected: Expected = {
      eggsADay: () => 0,
      liveEggs: () => null,
      chicks: () =>
        coming.map(([set, line, hatch, mean]) => ({
          set,
          line: season.lines.get(line)!,
          hatch: day(hatch),
          mean,
        })),
    };
    return reasonsAgainst(season, nowAt(now), expected).filter(
      (one) => one.code === 'brooder-overfull',
    );
  };
  const barn = (line: string) => withBrooders(`barn: {${line}}`);
  const S1: Coming = ['S1', 'sussex', '2027-03-13', 20];

  test('need floor until they leave, and the first day without it is told', () => {
    expect(found(barn('area: 1.858'), [S1])).toEqual([]);
    expect(found(barn('area: 1.8'), [S1])).toMatchObject([
      {
        message:
          'brooders: 20 chicks to come by 2027-04-17 need 1.9 m² of floor, and 1.8 m² is free',
        set: 'S1',
        place: null,
        day: '2027-04-17',
        severity: 'warning',
        room: 1.8,
      },
    ]);
    expect(found(barn('area: 0.01'), [['S1', 'sussex', '2027-03-13', 0]])).toEqual([]);
    // What has hatched already needs room from today on.
    expect(found(barn('area: 0.9'), [['S1', 'sussex', '2027-02-25', 20]])[0]!.day).toBe(MARCH);
  });

  test('are added up over sets, and the newest of them is named', () => {
    const S3: Coming = ['S3', 'sussex', '2027-03-20', 10];
    for (const both of [
      [S1, S3],
      [S3, S1],
    ])
      expect(found(barn('area: 1.86'), both)).toMatchObject([
        {
          set: 'S3',
          day: '2027-04-10',
          message: expect.stringContaining('30 chicks to come by 2027-04-10 need 2.1'),
        },
      ]);
  });

  test('of a line whose every goal is at the hatch need none', () => {
    const needs = (...goals: string[]) =>
      found(
        `${barn('area: 0.1')}goals:\n${goals.map((one) => `  - {${one}, count: 5, by: 2027-12-01}\n`).join('')}`,
        [S1],
      ).length;
    const hatch = 'line: sussex, want: chicks';
    expect(needs(hatch)).toBe(0);
    expect(needs(hatch, 'line: sussex, want: pullets')).toBe(1);
    expect(needs('line: wyandotte, want: chicks')).toBe(1);
    expect(needs('line: wyandotte, want: pullets', hatch)).toBe(0);
    // Orders as goals do; of eggs no chick is wanted.
    const orders = (...wanted: string[]) =>
      found(
        `${barn('area: 0.1')}orders:\n${wanted.map((one) => `  - {for: Ann, line: sussex, ${one}, count: 5, by: 2027-12-01}\n`).join('')}`,
        [S1],
      ).length;
    expect(orders('want: chicks')).toBe(0);
    expect(orders('want: chicks', 'want: pullets')).toBe(1);
    expect(orders('want: eggs')).toBe(1);
  });

  test('have what birds that live there leave free', () => {
    const there = brood('A', 'orchard', '2027-02-22', 10);
    // On 3 April the ten take 0.929 and the twenty, three weeks old, 1.394; two days later the ten leave.
    expect(found(barn('area: 2.33'), [S1], there)).toEqual([]);
    expect(found(barn('area: 2.32'), [S1], there)[0]).toMatchObject({ day: '2027-04-03' });
    // A roof that is too small for those who live there has nothing free, and never less.
    const late: Coming = ['S1', 'sussex', '2027-03-30', 20];
    expect(found(barn('area: 0.92'), [late], there).map((one) => one.message)).toContain(
      'brooders: 20 chicks to come by 2027-03-30 need 0.9 m² of floor, and 0.0 m² is free',
    );
  });

  test('find no roof under which another kind lives', () => {
    const ducklings = brood('D', 'pond', '2027-02-22', 2, 'hoop');
    const two = withBrooders('barn: {area: 1}', 'hoop: {area: 9}');
    expect(found(two, [['S1', 'sussex', '2027-03-13', 9]], ducklings)).toEqual([]);
    const many: Coming = ['S1', 'sussex', '2027-03-13', 30];
    const [one] = found(two, [many], ducklings);
    expect(one!.message).toBe(
      'brooders: 30 chicks to come by 2027-03-13 are chicken, which are kept apart, and no roofs are free for each',
    );
    expect(found(two, [many], brood('D', 'yard', '2027-02-22', 2, 'hoop'))).toEqual([]);
    // Before the ducklings came, and after they went, it is free.
    const gone: Written = ['move', '2027-02-28', { group: 'D', to: 'out', birds: 2 }];
    expect(found(two, [many], [...ducklings, gone])).toEqual([]);
  });

  test('of two kinds share the roofs so that each has enough', () => {
    const both: Coming[] = [S1, ['S2', 'reed', '2027-03-20', 2]];
    expect(found(withBrooders('barn: {area: 1.9}', 'hoop: {area: 1}'), both)).toEqual([]);
    expect(found(withBrooders('hoop: {area: 1}', 'barn: {area: 1.9}'), both)).toEqual([]);
    expect(found(withBrooders('a: {area: 1}', 'b: {area: 1}', 'c: {area: 1}'), both)).toEqual([]);
    const [one] = found(withBrooders('barn: {area: 9}'), both);
    expect(one).toMatchObject({ set: 'S2', day: '2027-03-20' });
    expect(one!.message).toContain(
      '22 chicks to come by 2027-03-20 are chicken and duck, which are kept apart',
    );
    expect(found(withBrooders('a: {area: 1.2}', 'b: {area: 1.2}'), both)[0]!.message).toContain(
      'kept apart',
    );
  });

  test('are not asked of a limit that a roof does not give, and the worst limit is named', () => {
    expect(found(barn('area: 9, feeder_cm: 102'), [S1])).toEqual([]);
    expect(found(barn('area: 9, feeder_cm: 50'), [S1])[0]!.message).toContain(
      '76.0 cm of feeder edge',
    );
    const worst = (line: string) => found(barn(line), [S1])[0]!.message;
    expect(worst('area: 0.9, feeder_cm: 10')).toContain('feeder edge');
    expect(worst('area: 0.1, feeder_cm: 49')).toContain('floor');
    expect(worst('area: 9, heat: {kind: plate, places: 19}')).toContain(
      '20.0 places under the heat',
    );
    const unsaid = withBrooders('barn: {area: 5, feeder_cm: 10}', 'hoop: {area: 5}');
    expect(found(unsaid, [S1])).toEqual([]);
  });

  test('of a line that feathers slowly stay longer', () => {
    const nights =
      'normals:\n  mar: {low: 16, high: 20}\n  apr: {low: 16, high: 20}\n  may: {low: 16, high: 20}\nlines:';
    const slow = barn('area: 1.8').replace('lines:', nights);
    // Warm nights let them out at 28 days, slow ones at 35, when they need more floor.
    expect(found(slow, [S1])).toEqual([]);
    const feathers = slow.replace(
      'dual-purpose, down: yellow}',
      'dual-purpose, down: yellow, feathers: slow}',
    );
    expect(found(feathers.replace('area: 1.8', 'area: 1.3'), [S1])).toHaveLength(1);
    expect(found(feathers, [S1])).toEqual([]);
  });
});
