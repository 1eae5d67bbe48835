// The counts of each rate of a share, by hand: x of n, from a look alone, from eggs opened, from a sample of them.
import { describe, expect, test } from 'vitest';
import { hill, seasonOf, type Written } from '../../../tests/support/season.ts';
import { outcomesOf, type ShareOutcome } from './outcome.ts';

type Cells = Readonly<Record<string, string | number>>;
const of = (record: Written[0], on: string, cells: Cells, set = 'A1', pen = 'orchard'): Written => [
  record,
  on,
  { set, pen, ...cells },
];
// Twenty eggs set on the 6th of March: candled on day 7, moved on day 18, closed on day 22.
const set = of('set', '2027-03-06', {
  tray: 1,
  eggs: 20,
  laid_from: '2027-02-27',
  laid_to: '2027-03-05',
});
const candled = of('candling', '2027-03-13', { clear: 3, quit: 1, cracked: 1 });
const moved = of('transfer', '2027-03-24', { quit: 1, rotten: 1, moved: 13, hatcher: 'lower' });
const closed = of('hatch', '2027-03-28', {
  hatched: 9,
  weak: 2,
  dead: 1,
  pipped: 1,
  unpipped: 2,
  final: 'yes',
});
const life = [set, candled, moved, closed];
const breakout = (pool: string, cells: Cells): Written =>
  of('breakout', '2027-03-28', { from: pool, ...cells });

const outcomes = (rows: readonly Written[]) => outcomesOf(seasonOf(hill, rows));
const text = ({ rates }: ShareOutcome) =>
  Object.fromEntries(
    Object.entries(rates).flatMap(([name, part]) =>
      part === null
        ? []
        : [[name, `${Math.round(part.x * 100) / 100} of ${Math.round(part.n * 100) / 100}`]],
    ),
  );
const rates = (...rows: readonly Written[]) => text(outcomes(rows)[0]!);

test('a life told by looks alone: what the look cannot tell is not told', () => {
  const [one] = outcomes(life);
  expect(text(one!)).toEqual({
    fertile_apparent: '17 of 20',
    // Quits of a look up to half of the term are early, later ones middle; unopened shells late.
    early: '1 of 17',
    middle: '1 of 17',
    late: '2 of 17',
    pipped: '1 of 17',
    rotten: '1 of 20',
    hatch_of_set: '9 of 20',
    hatch_of_fertile: '9 of 17',
    weak: '2 of 9',
    dead: '1 of 10',
    cracked: '1 of 20',
  });
  expect(one).toMatchObject({
    set: 'A1',
    pen: 'orchard',
    line: 'sussex',
    speciesName: 'chicken',
    on: '2027-03-06',
    week: '2027-W09',
    // Laid from seven days to one before: four on the average.
    age: { mean: 4, oldest: 7 },
    trays: [{ setter: 'cabinet', tray: 1, part: 1 }],
    hatcher: 'lower',
    candled: true,
    finished: true,
    unaccounted: 0,
    contradiction: null,
    opened: {
      clear: { of: 3, opened: 0 },
      quit: { of: 2, opened: 0 },
      unhatched: { of: 3, opened: 0 },
    },
    clears: 3,
  });
});

test('what is known at each stage of the way', () => {
  expect(rates(set)).toEqual({});
  expect(rates(set, candled)).toEqual({
    fertile_apparent: '17 of 20',
    early: '1 of 17',
    rotten: '0 of 20',
    cracked: '1 of 20',
  });
  // Until the eggs are moved, quits of the middle are still in the tray.
  expect(rates(set, candled, moved).middle).toBe('1 of 17');
  expect(outcomes([set, candled, moved])[0]!.opened.unhatched).toEqual({ of: 0, opened: 0 });
  // Nobody looked: the hatch is of the eggs set, and fertility is not known.
  const blind = [
    set,
    of('transfer', '2027-03-24', { moved: 20 }),
    of('hatch', '2027-03-28', { hatched: 9, unpipped: 11, final: 'yes' }),
  ];
  expect(rates(...blind)).toEqual({
    hatch_of_set: '9 of 20',
    rotten: '0 of 20',
    weak: '0 of 9',
    dead: '0 of 9',
  });
});

test.each([
  ['2027-03-16', '1 of 19', '0 of 19'],
  ['2027-03-17', '0 of 19', '1 of 19'],
])('a quit found on %s: early %s, middle %s', (on, early, middle) => {
  // Half of 21 days is ten and a half: day 10 is the last of the first half.
  const told = rates(
    set,
    of('candling', on, { clear: 1, quit: 1 }),
    of('transfer', '2027-03-24', { moved: 18 }),
  );
  expect([told.early, told.middle]).toEqual([early, middle]);
});

describe('eggs opened', () => {
  test('all of them: fertility proper, and deaths by what was seen', () => {
    const told = rates(
      ...life,
      breakout('clear', { infertile: 2, early: 1 }),
      breakout('quit', { middle: 1, late: 1 }),
      breakout('unhatched', { late: 1, rotten: 1, pipped: 1, malposed: 1 }),
    );
    expect(told).toMatchObject({
      fertile_apparent: '17 of 20',
      fertile: '18 of 20',
      early: '1 of 18',
      middle: '1 of 18',
      late: '2 of 18',
      pipped: '1 of 18',
      rotten: '2 of 20',
      hatch_of_fertile: '9 of 18',
      malposed: '1 of 18',
    });
  });
  test('infertile eggs among quits and unhatched were never fertile', () => {
    const told = rates(
      ...life,
      breakout('clear', { infertile: 3 }),
      breakout('quit', { infertile: 1, early: 1 }),
      breakout('unhatched', { infertile: 1, early: 1 }),
    );
    expect(told).toMatchObject({
      fertile: '15 of 20',
      early: '2 of 15',
      middle: '0 of 15',
      late: '0 of 15',
    });
  });
  test('a sample stands for its pool, and says how far it may be off', () => {
    const many = [
      set,
      of('candling', '2027-03-13', { clear: 6 }),
      breakout('clear', { infertile: 1, early: 1 }),
    ];
    const [one] = outcomes(many);
    // Three of the six clears are infertile, and three died early.
    expect(text(one!)).toMatchObject({ fertile: '17 of 20', early: '3 of 17' });
    // Two of six, one of them so: 6² × ½ × ½ ÷ 2 × 4 ÷ 5.
    expect(one!.rates.fertile!.sampled).toBeCloseTo(3.6, 9);
    expect(one!.rates.early!.sampled).toBeCloseTo(3.6 + (3 / 17) ** 2 * 3.6, 9);
    expect(one!.rates.fertile_apparent).toEqual({ x: 14, n: 20 });
    expect(one!.opened.clear).toEqual({ of: 6, opened: 2 });
    // All opened, nothing is sampled.
    const all = outcomes([...many, breakout('clear', { infertile: 4 })])[0]!;
    expect(all.rates.fertile).toEqual({ x: 15, n: 20 });
  });
  test('two of ten found alike are not sure of the other eight', () => {
    const [one] = outcomes([
      set,
      of('candling', '2027-03-13', { clear: 10 }),
      breakout('clear', { infertile: 2 }),
    ]);
    expect(text(one!).fertile).toBe('10 of 20');
    // (2 + ½) of (2 + 1): 10² × ⅚ × ⅙ ÷ 2 × 8 ÷ 9.
    expect(one!.rates.fertile!.sampled).toBeCloseTo((100 * (5 / 6) * (1 / 6) * 8) / 18, 9);
  });
});

test('what opened quits and unhatched eggs show is scaled up to their pools, each by itself', () => {
  const [one] = outcomes([
    set,
    of('candling', '2027-03-13', { clear: 0, quit: 4 }),
    of('transfer', '2027-03-24', { moved: 16, hatcher: 'lower' }),
    of('hatch', '2027-03-28', { hatched: 8, unpipped: 8, final: 'yes' }),
    breakout('quit', { middle: 1, rotten: 1 }),
    breakout('unhatched', { infertile: 1, middle: 1, late: 1, malposed: 2, rotten: 1 }),
  ]);
  // Two quits of four and four shells of eight were opened: each stands for two.
  expect(text(one!)).toMatchObject({
    fertile: '18 of 20',
    early: '0 of 18',
    middle: '4 of 18',
    late: '2 of 18',
    rotten: '4 of 20',
    malposed: '4 of 18',
  });
  // 4² × ½ × ½ ÷ 2 × 2 ÷ 3 of the quits, 8² × 0.3 × 0.7 ÷ 4 × 4 ÷ 7 of the shells.
  const [ofQuits, ofShells] = [4 / 3, (64 * 0.3 * 0.7) / 7];
  expect(one!.rates.rotten!.sampled).toBeCloseTo(ofQuits + ofShells, 9);
  // No infertile egg was among the quits opened; half an egg keeps them from looking sure: ⅙ and ⅚.
  const ofFertile = ((16 * (1 / 6) * (5 / 6)) / 2) * (2 / 3) + ofShells;
  expect(one!.rates.fertile!.sampled).toBeCloseTo(ofFertile, 9);
  expect(one!.rates.malposed!.sampled).toBeCloseTo(
    ((64 * 0.5 * 0.5) / 4) * (4 / 7) + (4 / 18) ** 2 * ofFertile,
    9,
  );
  const early = outcomes([
    set,
    of('candling', '2027-03-13', { quit: 1 }),
    breakout('unhatched', { malposed: 1, late: 1 }),
  ]);
  expect(early[0]!.rates.malposed).toBeNull();
});

test('a share that contradicts itself says nothing of the clears of its pen', () => {
  const second = of('set', '2027-03-13', { tray: 2, eggs: 20 }, 'A2');
  const [, a2] = outcomes([
    set,
    of('candling', '2027-03-13', { clear: 2 }),
    breakout('clear', { infertile: 4 }),
    second,
    of('candling', '2027-03-20', { clear: 0 }, 'A2'),
  ]);
  expect(a2!.rates.fertile).toEqual({ x: 20, n: 20 });
});

describe('the clears of a pen', () => {
  const second = of('set', '2027-03-13', { tray: 2, eggs: 20 }, 'A2');
  const look = (clear: number) => of('candling', '2027-03-20', { clear }, 'A2');
  const first = [set, of('candling', '2027-03-13', { clear: 4 })];
  const proper = (...rows: readonly Written[]) =>
    outcomes(rows).map((one) => text(one).fertile ?? null);
  test('opened in one set stand for those of another that stayed shut', () => {
    expect(proper(...first, second, look(2))).toEqual([null, null]);
    const opened = breakout('clear', { infertile: 3, early: 1 });
    expect(proper(...first, opened, second, look(2))).toEqual(['17 of 20', '18.5 of 20']);
    const [, a2] = outcomes([...first, opened, second, look(2)]);
    // Four of six opened, three of them so: (2 ÷ 2) × 6² × 0.7 × 0.3 ÷ 4 × 2 ÷ 5.
    expect(a2!.rates.fertile!.sampled).toBeCloseTo((36 * 0.7 * 0.3 * 2) / 20, 9);
    expect(a2!.opened.clear).toEqual({ of: 2, opened: 0 });
  });
  test('a share without clears has none to open, unless those of its pen stayed shut', () => {
    expect(proper(second, look(0))).toEqual(['20 of 20']);
    expect(proper(...first, second, look(0))).toEqual([null, null]);
    expect(proper(...first, breakout('clear', { infertile: 1 }), second, look(0))).toEqual([
      '16 of 20',
      '20 of 20',
    ]);
    const other = of('set', '2027-03-13', { tray: 2, eggs: 20 }, 'A2', 'yard');
    const seen = of('candling', '2027-03-20', { clear: 0 }, 'A2', 'yard');
    expect(proper(...first, other, seen)).toEqual([null, '20 of 20']);
  });
});

test('eggs that nobody can account for are in no count of what came after they were last seen', () => {
  const lost = of('transfer', '2027-03-24', { moved: 10, hatcher: 'lower' });
  const [before] = outcomes([set, of('candling', '2027-03-13', { clear: 3, quit: 1 }), lost]);
  expect([before!.unaccounted, text(before!)]).toEqual([
    6,
    expect.objectContaining({ fertile_apparent: '11 of 14', early: '1 of 11' }),
  ]);
  const [after] = outcomes([
    set,
    candled,
    moved,
    of('hatch', '2027-03-28', { hatched: 9, unpipped: 2, final: 'yes' }),
  ]);
  expect(after!.unaccounted).toBe(2);
  expect(text(after!)).toMatchObject({
    fertile_apparent: '17 of 20',
    early: '1 of 17',
    hatch_of_set: '9 of 18',
    hatch_of_fertile: '9 of 15',
    late: '2 of 15',
  });
});

test.each<[string, readonly Written[], string]>([
  [
    'more chicks than eggs',
    [set, candled, moved, of('hatch', '2027-03-28', { hatched: 14, final: 'yes' })],
    '1 too many: 13 moved, 14 hatched',
  ],
  [
    'more clears opened than taken out',
    [...life, breakout('clear', { infertile: 4 })],
    '4 clears opened, 3 taken out',
  ],
  [
    'more quits opened than taken out',
    [...life, breakout('quit', { early: 3 })],
    '3 quits opened, 2 taken out',
  ],
])('%s is a contradiction, and no rate is told', (_, rows, told) => {
  const [one] = outcomes(rows);
  expect([one!.contradiction, text(one!)]).toEqual([expect.stringContaining(told), {}]);
});

test('the age of eggs: from the store where their days are known, else from the row, else not', () => {
  const age = (cells: Cells, kept: readonly Written[] = []) =>
    outcomes([...kept, of('set', '2027-03-06', { tray: 1, eggs: 4, ...cells })])[0]!.age;
  expect(age({})).toBeNull();
  expect(age({ laid_from: '2027-03-01' })).toEqual({ mean: 5, oldest: 5 });
  expect(age({ laid_to: '2027-03-04' })).toEqual({ mean: 2, oldest: 2 });
  const day = (on: string, eggs: number): Written => ['eggs', on, { pen: 'orchard', kept: eggs }];
  expect(age({}, [day('2027-03-01', 3), day('2027-03-05', 1)])).toEqual({ mean: 4, oldest: 5 });
});
