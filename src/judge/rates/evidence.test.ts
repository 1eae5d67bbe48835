import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { day, hill, seasonOf, type Written } from '../../../tests/support/season.ts';
import type { Stage } from '../../facts/stages.ts';
import { type Evidence, evidenceOf, rearedPart, storedSetsOf, unitOf } from './evidence.ts';

const yaml = `${hill}brooders: {barn: {area: 5}}\n`;
const evidence = (written: readonly Written[], today = '2027-12-01', earlier = false) =>
  evidenceOf(seasonOf(yaml, written), day(today), earlier);
const of = (all: readonly Evidence[], stage: Stage, set?: string) =>
  all
    .filter((one) => one.stage === stage && (set === undefined || one.set.endsWith(`/${set}`)))
    .map((one) => ({ unit: one.unit, x: one.x, n: one.n }));

const orchard = 'Cold Ash 2027/pen orchard';
const sussex = 'Cold Ash 2027/line sussex';
const eggs = (on: string, cells: Record<string, number>): Written => [
  'eggs',
  on,
  { pen: 'orchard', ...cells },
];
const A1 = (count = 20, pen = 'orchard'): Written => [
  'set',
  '2027-03-06',
  { set: 'A1', pen, tray: pen === 'orchard' ? 1 : 2, eggs: count },
];

describe('eggs laid and kept', () => {
  test('are summed by weeks of a pen, each week with scatter of its own', () => {
    // Weeks are counted from 1 January 1970, a Thursday: 4 March 2027 begins one.
    const all = evidence([
      eggs('2027-03-04', { laid: 6, kept: 5 }),
      eggs('2027-03-10', { laid: 7, kept: 7 }),
      eggs('2027-03-11', { laid: 5, kept: 4 }),
    ]);
    expect(of(all, 'lay')).toEqual([
      { unit: orchard, x: 13, n: 18 },
      { unit: orchard, x: 5, n: 9 },
    ]);
    expect(of(all, 'kept')).toEqual([
      { unit: orchard, x: 12, n: 13 },
      { unit: orchard, x: 4, n: 5 },
    ]);
  });

  test('go by the hens counted that day, and no hen lays twice', () => {
    expect(of(evidence([eggs('2027-03-05', { laid: 5, kept: 5, hens: 7 })]), 'lay')).toEqual([
      { unit: orchard, x: 5, n: 7 },
    ]);
    expect(of(evidence([eggs('2027-03-05', { laid: 12, kept: 9 })]), 'lay')).toEqual([
      { unit: orchard, x: 9, n: 9 },
    ]);
  });

  test('where only the kept were counted tell of lay by the usual share, of sorting nothing', () => {
    // 5 kept at the usual 85 % are 6 laid.
    const all = evidence([eggs('2027-03-05', { kept: 5 })]);
    expect(of(all, 'lay')).toEqual([{ unit: orchard, x: 6, n: 9 }]);
    expect(of(all, 'kept')).toEqual([]);
  });

  test('before the pen is ready tell of lay, not of sorting', () => {
    // Joined on 30 January; good fertility takes a pen of chickens a week.
    const all = evidence([
      eggs('2027-02-05', { laid: 6, kept: 0 }),
      eggs('2027-02-06', { laid: 6, kept: 5 }),
    ]);
    expect(of(all, 'lay')).toEqual([{ unit: orchard, x: 12, n: 18 }]);
    expect(of(all, 'kept')).toEqual([{ unit: orchard, x: 5, n: 6 }]);
  });
});

describe('a set on its way', () => {
  const candled: Written = ['candling', '2027-03-13', { set: 'A1', clear: 2, quit: 1 }];
  const moved: Written = ['transfer', '2027-03-24', { set: 'A1', moved: 16, quit: 1 }];

  test('says nothing before the first look', () => {
    expect(evidence([A1()])).toEqual([]);
  });

  test('says at each look what it can', () => {
    const first = evidence([A1(), candled]);
    expect(of(first, 'fertile')).toEqual([{ unit: orchard, x: 18, n: 20 }]);
    expect(of(first, 'candled')).toEqual([{ unit: sussex, x: 17, n: 18 }]);
    expect(of(first, 'transferred')).toEqual([]);
    const second = evidence([A1(), candled, moved]);
    expect(of(second, 'transferred')).toEqual([{ unit: sussex, x: 16, n: 17 }]);
    expect(of(second, 'hatched')).toEqual([]);
  });

  test('with openings to come does not yet say how it hatched', () => {
    const opened: Written = ['hatch', '2027-03-27', { set: 'A1', hatched: 10, weak: 1 }];
    expect(of(evidence([A1(), candled, moved, opened]), 'hatched')).toEqual([]);
    const closed: Written = [
      'hatch',
      '2027-03-28',
      { set: 'A1', hatched: 4, weak: 1, unpipped: 2, final: 'yes' },
    ];
    const all = evidence([A1(), candled, moved, opened, closed]);
    expect(of(all, 'hatched')).toEqual([{ unit: sussex, x: 14, n: 16 }]);
    expect(of(all, 'sound')).toEqual([{ unit: sussex, x: 12, n: 14 }]);
  });

  test('not looked at before transfer cannot tell early deaths from late', () => {
    const all = evidence([
      A1(50),
      ['transfer', '2027-03-24', { set: 'A1', moved: 42, clear: 4, quit: 4 }],
    ]);
    expect(of(all, 'fertile')).toEqual([{ unit: orchard, x: 46, n: 50 }]);
    // What died between the two looks that were not made is told of both stages together.
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 42, n: 46 }]);
    expect(all.find((one) => one.stage === 'candled')!.unseen).toEqual(['transferred']);
    expect(of(all, 'transferred')).toEqual([]);
  });

  test('that nobody looked at says nothing of fertility, and what hatched tells of the whole way', () => {
    const all = evidence([
      A1(50),
      ['transfer', '2027-03-24', { set: 'A1', moved: 50 }],
      ['hatch', '2027-03-28', { set: 'A1', hatched: 36, unpipped: 14, final: 'yes' }],
    ]);
    expect(of(all, 'fertile')).toEqual([]);
    expect(of(all, 'hatched')).toEqual([{ unit: sussex, x: 36, n: 50 }]);
    expect(all.find((one) => one.stage === 'hatched')!.unseen).toEqual([
      'fertile',
      'candled',
      'transferred',
    ]);
  });

  test('whose unhatched eggs were all opened tells of every stage, though nobody candled', () => {
    const all = evidence([
      A1(50),
      ['transfer', '2027-03-24', { set: 'A1', moved: 50 }],
      ['hatch', '2027-03-28', { set: 'A1', hatched: 36, pipped: 1, unpipped: 13, final: 'yes' }],
      [
        'breakout',
        '2027-03-28',
        { set: 'A1', from: 'unhatched', infertile: 6, early: 3, middle: 1, late: 3 },
      ],
    ]);
    expect(of(all, 'fertile')).toEqual([{ unit: orchard, x: 44, n: 50 }]);
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 41, n: 44 }]);
    expect(of(all, 'transferred')).toEqual([{ unit: sussex, x: 40, n: 41 }]);
    expect(of(all, 'hatched')).toEqual([{ unit: sussex, x: 36, n: 40 }]);
  });

  test('that was broken out has its early deaths back among the fertile', () => {
    const broken: Written = [
      'breakout',
      '2027-03-13',
      { set: 'A1', from: 'clear', infertile: 1, early: 1 },
    ];
    const all = evidence([A1(), candled, broken]);
    expect(of(all, 'fertile')).toEqual([{ unit: orchard, x: 19, n: 20 }]);
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 17, n: 19 }]);
    // A breakout of the unhatched says nothing of fertility.
    const late: Written = ['breakout', '2027-03-28', { set: 'A1', from: 'unhatched', early: 1 }];
    expect(of(evidence([A1(), candled, late]), 'fertile')).toEqual([
      { unit: orchard, x: 18, n: 20 },
    ]);
  });

  test('of which a sample of the clears was opened counts the others as the sample', () => {
    // 8 clears of 30, 2 of the 4 opened had begun: 4 of the 8 (Cochran 1977, Sampling Techniques, 2.3).
    const all = evidence([
      A1(30),
      ['candling', '2027-03-13', { set: 'A1', clear: 8, quit: 1 }],
      ['breakout', '2027-03-13', { set: 'A1', from: 'clear', infertile: 2, early: 2 }],
    ]);
    expect(of(all, 'fertile')).toEqual([{ unit: orchard, x: 26, n: 30 }]);
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 21, n: 26 }]);
  });

  test('in which an egg that never began was found after the hatch did not lose it in the hatcher', () => {
    const all = evidence([
      A1(30),
      ['candling', '2027-03-13', { set: 'A1', clear: 3 }],
      ['breakout', '2027-03-13', { set: 'A1', from: 'clear', infertile: 3 }],
      ['transfer', '2027-03-24', { set: 'A1', moved: 27 }],
      ['hatch', '2027-03-28', { set: 'A1', hatched: 24, unpipped: 3, final: 'yes' }],
      ['breakout', '2027-03-28', { set: 'A1', from: 'unhatched', infertile: 1, late: 2 }],
    ]);
    expect(of(all, 'fertile')).toEqual([{ unit: orchard, x: 26, n: 30 }]);
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 26, n: 26 }]);
    expect(of(all, 'hatched')).toEqual([{ unit: sussex, x: 24, n: 26 }]);
  });

  test('of two pens of a line has two fertilities and one scatter of the machine', () => {
    const all = evidence([
      A1(20),
      A1(10, 'yard'),
      ['candling', '2027-03-13', { set: 'A1', pen: 'orchard', clear: 2, quit: 1 }],
      ['candling', '2027-03-13', { set: 'A1', pen: 'yard', clear: 4 }],
    ]);
    expect(of(all, 'fertile')).toEqual([
      { unit: orchard, x: 18, n: 20 },
      { unit: 'Cold Ash 2027/pen yard', x: 6, n: 10 },
    ]);
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 17 + 6, n: 18 + 6 }]);
  });

  test('a clear egg missed at candling and found at transfer hides no death before it', () => {
    // Of 20 one was clear and one had quit at candling; two more clears came to light at transfer.
    const all = evidence([
      A1(),
      ['candling', '2027-03-13', { set: 'A1', clear: 1, quit: 1 }],
      ['transfer', '2027-03-24', { set: 'A1', moved: 16, clear: 2 }],
    ]);
    expect(of(all, 'fertile')).toEqual([{ unit: orchard, x: 17, n: 20 }]);
    expect(of(all, 'candled')).toEqual([{ unit: sussex, x: 16, n: 17 }]);
    expect(of(all, 'transferred')).toEqual([{ unit: sussex, x: 16, n: 16 }]);
  });

  test('every stage begins with what the one before passed, whatever was found', () => {
    const some = fc.integer({ min: 0, max: 6 });
    fc.assert(
      fc.property(
        fc.record({ clear: some, quit: some, cracked: some, rotten: some, early: some }),
        fc.record({ clear: some, quit: some, cracked: some, rotten: some }),
        fc.record({ dead: some, unpipped: some, weak: some }),
        fc.integer({ min: 1, max: 20 }),
        (look, transfer, hatch, hatched) => {
          const { early, ...found } = look;
          const left = hatched + hatch.dead + hatch.unpipped;
          const sum = (values: object) =>
            Object.values(values).reduce<number>((a, b) => a + (b as number), 0);
          const set = left + sum(transfer) + sum(found);
          const weak = Math.min(hatch.weak, hatched);
          const inClear = Math.min(early, found.clear);
          const infertile = found.clear + transfer.clear - inClear;
          const all = evidence([
            A1(set),
            ['candling', '2027-03-13', { set: 'A1', ...found }],
            ['breakout', '2027-03-13', { set: 'A1', from: 'clear', early: inClear, infertile }],
            ['transfer', '2027-03-24', { set: 'A1', moved: left, ...transfer }],
            ['hatch', '2027-03-28', { set: 'A1', ...hatch, weak, hatched, final: 'yes' }],
          ]);
          const chain = (['fertile', 'candled', 'transferred', 'hatched', 'sound'] as const).map(
            (stage) => of(all, stage)[0]!,
          );
          const passed = [set, ...chain.map((one) => one.x)];
          expect(chain.map((one) => one.n)).toEqual(passed.slice(0, -1));
          expect(passed).toEqual([
            set,
            set - found.clear - transfer.clear + inClear,
            left + transfer.quit + transfer.cracked + transfer.rotten,
            left,
            hatched,
            hatched - weak,
          ]);
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe('chicks', () => {
  const hatched: Written[] = [
    A1(),
    ['candling', '2027-03-13', { set: 'A1' }],
    ['transfer', '2027-03-24', { set: 'A1', moved: 20 }],
    ['hatch', '2027-03-27', { set: 'A1', hatched: 20, final: 'yes' }],
    ['group', '2027-03-27', { group: 'G1', set: 'A1', brooder: 'barn', chicks: 20 }],
  ];
  const lost: Written = ['loss', '2027-04-01', { group: 'G1', birds: 2 }];

  test('reared so far count for the part of the losses that lies behind them', () => {
    // By the table 5 % die in six weeks, half of them in the first; then 4 % to lay.
    const season = seasonOf(yaml, hatched);
    const whole = Math.log(0.95 * 0.96);
    const line = season.lines.get('sussex')!;
    expect(rearedPart(season, line, 0)).toBe(0);
    expect(rearedPart(season, line, -5)).toBe(0);
    expect(rearedPart(season, line, 7)).toBeCloseTo(Math.log(0.975) / whole, 12);
    expect(rearedPart(season, line, 42)).toBeCloseTo(Math.log(0.95) / whole, 12);
    expect(rearedPart(season, line, 165)).toBeCloseTo(1, 2);
    expect(rearedPart(season, line, 900)).toBe(1);
    const [one] = evidence([...hatched, lost], '2027-05-08').filter((e) => e.stage === 'reared');
    expect(one).toMatchObject({ unit: sussex, x: 18, n: 20 });
    expect(one!.power).toBeCloseTo(Math.log(0.95) / whole, 12);
  });

  test('just hatched say nothing of rearing', () => {
    expect(of(evidence(hatched, '2027-03-27'), 'reared')).toEqual([]);
  });

  test('that are all gone tell of the age at which the last went', () => {
    const sold: Written = [
      'leaving',
      '2027-05-08',
      { group: 'G1', sex: 'unknown', birds: 18, way: 'sold' },
    ];
    const [one] = evidence([...hatched, lost, sold], '2027-12-01').filter(
      (e) => e.stage === 'reared',
    );
    expect(one).toMatchObject({ x: 18, n: 20 });
    expect(one!.power).toBeCloseTo(Math.log(0.95) / Math.log(0.95 * 0.96), 12);
  });

  test('that were sold young were at risk no longer than they were there', () => {
    // Ten go at a week old; by the table half of the early losses lie behind them.
    const sold: Written = [
      'leaving',
      '2027-04-03',
      { group: 'G1', sex: 'unknown', birds: 10, way: 'sold' },
    ];
    const at = (today: string) =>
      evidence([...hatched, lost, sold], today).find((e) => e.stage === 'reared')!;
    // The counts are the keeper's own.
    expect(at('2027-05-08')).toMatchObject({ x: 18, n: 20 });
    const lived = Math.log(0.975) / Math.log(0.95);
    expect(at('2027-05-08').away).toBeCloseTo(10 * (1 - lived), 12);
    expect(at('2027-04-03').away).toBe(0);
    expect(at('2027-12-01').away).toBeCloseTo(
      10 * (1 - Math.log(0.975) / Math.log(0.95 * 0.96)),
      12,
    );
    const none = evidence([...hatched, lost], '2027-05-08').find((e) => e.stage === 'reared')!;
    expect(none.away).toBe(0);
  });

  test('are counted by sex at the last sexing, with those of a known sex that left before', () => {
    const rows: Written[] = [
      ...hatched,
      ['sexing', '2027-05-20', { group: 'G1', pullets: 8, cockerels: 9, unsure: 3 }],
      ['leaving', '2027-06-10', { group: 'G1', sex: 'male', birds: 5, way: 'table' }],
      ['sexing', '2027-07-01', { group: 'G1', pullets: 9, cockerels: 6, unsure: 0 }],
      ['leaving', '2027-07-20', { group: 'G1', sex: 'male', birds: 4, way: 'table' }],
    ];
    expect(of(evidence(rows), 'female')).toEqual([{ unit: sussex, x: 9, n: 20 }]);
    // Those still unsure are of no sex.
    expect(of(evidence(rows.slice(0, 6)), 'female')).toEqual([{ unit: sussex, x: 8, n: 17 }]);
  });
});

describe('where counts belong', () => {
  const written: Written[] = [
    eggs('2027-02-28', { laid: 9, kept: 9 }),
    eggs('2027-03-05', { laid: 9, kept: 9 }),
    A1(18),
    ['candling', '2027-03-13', { set: 'A1', clear: 2 }],
  ];

  test('to the pen where it makes the difference, to the line where the machine does', () => {
    const season = seasonOf(yaml, written);
    const pen = season.pens.get('orchard')!;
    for (const stage of ['lay', 'kept', 'fertile'] as const)
      expect(unitOf(stage, pen, '2027')).toBe('2027/pen orchard');
    for (const stage of ['candled', 'transferred', 'hatched', 'sound', 'reared', 'female'] as const)
      expect(unitOf(stage, pen, '2027')).toBe('2027/line sussex');
  });

  test('to this season or an earlier one, as the caller says', () => {
    expect(evidence(written).every((one) => !one.earlier)).toBe(true);
    expect(evidence(written, '2027-12-01', true).every((one) => one.earlier)).toBe(true);
  });

  test('hatched of set goes with the ages of the eggs, once a share is finished', () => {
    const finished: Written[] = [
      ...written,
      ['transfer', '2027-03-24', { set: 'A1', moved: 16 }],
      ['hatch', '2027-03-28', { set: 'A1', hatched: 15, unpipped: 1, final: 'yes' }],
    ];
    expect(storedSetsOf(seasonOf(yaml, finished.slice(0, 5)))).toEqual([]);
    const [one] = storedSetsOf(seasonOf(yaml, finished));
    expect(one).toMatchObject({ species: 'chicken', set: { unit: orchard, x: 15, n: 18 } });
    // 28 February and 5 March, set on 6 March.
    expect(one!.set.ages.map(({ age, eggs: count }) => [age, count])).toEqual([
      [6, 9],
      [1, 9],
    ]);
    const hatch = evidence(finished).find((e) => e.stage === 'hatched')!;
    expect(hatch.ages).toEqual(one!.set.ages);
  });
});
