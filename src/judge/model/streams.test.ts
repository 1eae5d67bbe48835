// Streams of pens and their males, against the same model integrated apart from them.
import { expect, test } from 'vitest';
import { type Book, type CountRow, nowhere } from './book.ts';
import { Streams } from './evidence.ts';
import { carryOf } from './levels.ts';
import { fertilityYear, seeds } from './priors.ts';

type Counts = readonly (readonly [x: number, n: number])[];

const rowsOf = (males: string, pen: string, counts: Counts): CountRow[] =>
  counts.map(([x, n], set) => ({
    ...nowhere,
    set,
    name: `S${set + 1}`,
    species: 'chicken',
    line: 'sussex',
    pen,
    males,
    stream: 'infertile',
    x,
    n,
    cell: [1, 0, 0, 0, 0, 0],
    rest: [0, 1, 1, 1, 1, 1],
    offset: 0,
  }));

const bookWith = (now: readonly CountRow[], earlier: readonly (readonly CountRow[])[]): Book => ({
  sets: [],
  counts: now,
  measures: [],
  pens: ['orchard', 'yard'],
  males: [],
  setters: [],
  hatchers: [],
  trays: [],
  powerCuts: [],
  shownIn: { temperature: 'C', mass: 'g', area: 'm2', currency: 'GBP' },
  earlier: earlier.map((counts) => ({ counts, measures: [] })),
});

const oak: Counts = [
  [9, 24],
  [11, 24],
];
const yard: Counts = [
  [3, 24],
  [2, 24],
];
const before: Counts = [
  [3, 24],
  [4, 24],
  [2, 24],
];
const ash: Counts = [
  [7, 30],
  [5, 30],
];

const streamOf = (earlier: readonly (readonly CountRow[])[], turned = false) => {
  const now = [...rowsOf('Oak', 'orchard', oak), ...rowsOf('Elm', 'yard', yard)];
  const book = bookWith(turned ? now.reverse() : now, earlier);
  return new Streams(book).at({ kind: 'males', name: 'Oak' })[0]!;
};

const STEP = 0.1;
const points = Array.from({ length: 130 }, (_, i) => -8 + i * STEP);
const bell = (a: number, b: number, sd: number): number =>
  (Math.exp(-0.5 * ((a - b) / sd) ** 2) / (sd * Math.sqrt(2 * Math.PI))) * STEP;
const integral = (of: (z: number) => number): number => points.reduce((sum, z) => sum + of(z), 0);

/** Chance of counts at a level and a correlation, egg after egg as from an urn; without its coefficient. */
function chance(counts: Counts, z: number, rho: number): number {
  const p = 1 / (1 + Math.exp(-z));
  let out = 1;
  for (const [x, n] of counts) {
    for (let i = 0; i < x; i++) out *= (p * (1 - rho) + i * rho) / (1 - rho + i * rho);
    for (let i = 0; i < n - x; i++)
      out *= ((1 - p) * (1 - rho) + i * rho) / (1 - rho + (x + i) * rho);
  }
  return out;
}

/**
 * What a shift of this season's counts of Oak, and of his earlier ones, makes of the likelihood: a level
 * of the year, around it those of Oak and of the yard, around his those of his earlier seasons, around the
 * farm's level those of others' earlier seasons.
 */
function reckoned(
  stream: ReturnType<typeof streamOf>,
  own: readonly Counts[],
  others: readonly Counts[],
  shifts: { readonly now: number; readonly earlier: number },
): number {
  const year = fertilityYear('chicken');
  const pen = seeds.levels.pen_sd.infertile!.value;
  const { centre, sd } = stream.level;
  const sums = [
    { now: 0, earlier: 0 },
    { now: shifts.now, earlier: shifts.earlier },
  ].map((shift) =>
    stream.scatter.reduce((sum, { value: rho, weight }) => {
      const farm = points.map(
        (f) =>
          bell(f, centre, sd) *
          others.reduce(
            (so, counts) => so * integral((e) => bell(e, f, year) * chance(counts, e, rho)),
            1,
          ),
      );
      // With no earlier season of others nothing tells the year's level from the farm's.
      const ofYear =
        others.length === 0
          ? farm
          : points.map((y) => points.reduce((so, f, i) => so + farm[i]! * bell(y, f, year), 0));
      const besideYard = points.map(
        (y, i) => ofYear[i]! * integral((z) => bell(z, y, pen) * chance(yard, z, rho)),
      );
      const whole = integral((m) => {
        let prior = 0;
        points.forEach((y, i) => {
          prior += besideYard[i]! * bell(m, y, pen);
        });
        if (prior < 1e-60) return 0;
        const once = own.reduce(
          (so, counts) =>
            so *
            integral((e) => bell(e, m, carryOf(year)) * chance(counts, e + shift.earlier, rho)),
          1,
        );
        return prior * once * chance(oak, m + shift.now, rho);
      });
      return sum + weight * whole;
    }, 0),
  );
  return Math.log(sums[1]! / sums[0]!);
}

// A whole number of cells of the axis, so that nothing is rounded.
const SHIFT = 1.2;

test.each([
  ['no earlier season', [], []],
  ['one of his', [before], []],
  ['two of his', [before, before.slice(1)], []],
  ['one in which others were here', [], [ash]],
  ['one of his and one of others', [before], [ash]],
] as const)('a fall of a male, %s: as integrated apart', (_, own, others) => {
  const stream = streamOf([
    ...own.map((counts) => rowsOf('Oak', 'hut', counts)),
    ...others.map((counts) => rowsOf('Ash', 'orchard', counts)),
  ]);
  const fallen = stream.keyOf(({ set }) => (set >= 0 ? 1 : 0));
  const found = stream.logFactor(fallen, SHIFT);
  expect(found).toBeCloseTo(reckoned(stream, own, others, { now: SHIFT, earlier: 0 }), 1);
  const poor = stream.logFactor(
    stream.keyOf(() => 1),
    SHIFT,
  );
  expect(poor).toBeCloseTo(reckoned(stream, own, others, { now: SHIFT, earlier: SHIFT }), 1);
  // What he was before parts the two.
  if (own.length === 0) expect(found).toBe(poor);
  else expect(found).toBeGreaterThan(poor + 1);
});

test('the order of the rows does not matter', () => {
  const earlier = [rowsOf('Oak', 'hut', before), rowsOf('Ash', 'orchard', ash)];
  const of = (turned: boolean): number => {
    const stream = streamOf(
      turned ? earlier.map((rows) => rows.toReversed()).reverse() : earlier,
      turned,
    );
    return stream.logFactor(
      stream.keyOf(({ set }) => (set >= 0 ? 1 : 0)),
      SHIFT,
    );
  };
  expect(of(true)).toBeCloseTo(of(false), 9);
});

test('eggs that may be of several males speak of none of them, and of their pen', () => {
  const mixed = rowsOf('Oak', 'orchard', oak).map((row) => ({ ...row, males: null }));
  const book = bookWith([...rowsOf('Elm', 'yard', yard), ...mixed], []);
  const streams = new Streams(book);
  expect(streams.at({ kind: 'males', name: 'Oak' })).toEqual([]);
  const [one, ...more] = streams.at({ kind: 'pen', name: 'orchard' });
  expect(more).toEqual([]);
  expect(one!.units.map(({ x, n, males }) => [x, n, males])).toEqual([
    [9, 24, null],
    [11, 24, null],
  ]);
});
