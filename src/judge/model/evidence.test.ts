// The weights of a cause are a distribution fixed beforehand, a dose is what a cause hits, and what was found is found once.
import { describe, expect, test } from 'vitest';
import { farm, plainFarm, usual } from '../../../tests/support/plain-farm.ts';
import { seasonOf } from '../../../tests/support/season.ts';
import { type BookPlace, bookOf } from './book.ts';
import { absorbed, doseOf, evidenceFor, Streams } from './evidence.ts';
import { seeds } from './priors.ts';

const SETS = 6;
const quiet = new Streams(
  bookOf(
    seasonOf(
      plainFarm,
      farm(SETS, () => usual),
    ),
    [],
  ),
);
const { causes, log, weight } = evidenceFor(quiet);
const total = (cause: string) =>
  causes
    .find((one) => one.cause === cause)!
    .terms.reduce((sum, term) => sum + Math.exp(term.logWeight), 0);

describe('the weights of the ways of a cause', () => {
  // A beginning at each later set has the same chance, if it has not begun: of so many sets one less can begin it.
  const later = 1 - (1 - seeds.evidence.hazard.value) ** (SETS - 1);
  const of = (first: number) => first + (1 - first) * later;
  const usualFirst = seeds.evidence.first_set.value;
  test.each([
    // From the first set on or from a later one: in a step, or in a ramp.
    ['early-death', of(usualFirst)],
    ['warm', of(usualFirst)],
    ['uneven-tray', of(0.6)],
    ['gauge-wrong', of(0.5)],
    ['failing-male', later],
    // One pen that is low from the start is this cause; one that falls later is a male: of the farm both.
    ['low-fertility', 0.5 * of(0.7) + 0.5],
    // None was stored long, and no power was cut.
    ['long-storage', 0],
    ['power-cut', 0],
    // Each set by itself, as if one after the other.
    ['set-lost', 1 - (1 - seeds.evidence.hazard.value) ** SETS],
  ])('%s: they sum to one, less what has not begun', (cause, expected) => {
    expect(total(cause)).toBeCloseTo(expected, 9);
  });
  test('a season like any other speaks against a fault, of each cause and of all', () => {
    expect(log).toBeLessThan(0);
    // Weights are shared out among the causes that these records could show at all.
    const open = causes.filter((one) => one.log > Number.NEGATIVE_INFINITY);
    const sum = open.reduce((all, { cause }) => all + seeds.causes[cause]!.weight, 0);
    expect(weight).toBeCloseTo(Math.log(sum), 9);
    expect(open.length).toBeLessThan(causes.length);
    expect(causes.map((one) => one.log)).toEqual(
      [...causes.map((one) => one.log)].sort((a, b) => b - a),
    );
    expect(Object.keys(seeds.causes)).toHaveLength(causes.length);
  });
  test('of an empty book nothing is likelier than anything', () => {
    const none = evidenceFor(new Streams(bookOf(seasonOf(plainFarm, []), [])));
    expect(none.weight).toBe(0);
    expect(none.causes.every((one) => one.log === Number.NEGATIVE_INFINITY)).toBe(true);
  });
});

describe('what a cause hits', () => {
  const where = (more: Partial<BookPlace> = {}): BookPlace => ({
    set: 3,
    name: 'S4',
    species: 'chicken',
    like: 'chicken',
    line: 'sussex',
    pen: 'orchard',
    males: 'sussex Oak',
    setter: 'attic',
    hatcher: 'upper',
    tray: 'attic 2',
    stored: 0.25,
    ...more,
  });
  const dose = (
    cause: string,
    kind: string,
    name: string,
    from: number,
    shape: 'step' | 'ramp',
    at = where(),
  ) => doseOf(cause, { place: { kind: kind as 'pen', name }, from, shape }, quiet.book)(at);
  test.each([
    ['farm', '', 1],
    ['pen', 'orchard', 1],
    ['pen', 'yard', 0],
    ['males', 'sussex Oak', 1],
    ['males', 'sussex Elm', 0],
    ['setter', 'attic', 1],
    ['setter', 'cabinet', 0],
    ['hatcher', 'upper', 1],
    ['hatcher', 'lower', 0],
    ['tray', 'attic 2', 1],
    ['tray', 'attic 1', 0],
    ['set', 'S4', 1],
    ['set', 'S3', 0],
  ])('a %s %s: %i', (kind, name, expected) => {
    expect(dose('warm', kind, name, 0, 'step')).toBe(expected);
  });
  test.each([
    ['step', 2, 1],
    ['step', 3, 1],
    ['step', 4, 0],
    // A ramp is full after five sets.
    ['ramp', 4, 0],
    ['ramp', 3, 1 / 5],
    ['ramp', 2, 2 / 5],
    ['ramp', 0, 4 / 5],
    ['ramp', -1, 1],
    ['ramp', -2, 1],
  ] as const)('a %s from set %i on the set of number 3: %f', (shape, from, expected) => {
    expect(dose('warm', 'setter', 'attic', from, shape)).toBeCloseTo(expected, 12);
  });
  test('old eggs by how old they are, a lost set whole, whenever it was', () => {
    expect(dose('long-storage', 'farm', '', 9, 'step')).toBe(0.25);
    expect(dose('set-lost', 'set', 'S4', 9, 'step')).toBe(1);
    expect(dose('set-lost', 'set', 'S3', 0, 'step')).toBe(0);
    expect(dose('power-cut', 'setter', 'attic', 0, 'step')).toBe(0);
  });
});

describe('what was found is taken into the book', () => {
  const low = farm(SETS, ({ pen }) =>
    pen === 'orchard' ? { ...usual, clear: 17, unpipped: 1 } : usual,
  );
  const streams = new Streams(bookOf(seasonOf(plainFarm, low), []));
  const found = evidenceFor(streams);
  const [top] = found.causes;
  test('and raises nothing a second time', () => {
    expect(top!.cause).toBe('low-fertility');
    const after = evidenceFor(new Streams(absorbed(top!.cause, top!.best!, streams)));
    expect(found.log).toBeGreaterThan(Math.log(seeds.evidence.act.value));
    expect(after.log).toBeLessThan(Math.log(seeds.evidence.act.value) / 2);
    const again = after.causes.find(({ cause }) => cause === top!.cause)!;
    expect(again.log).toBeLessThan(Math.log(seeds.evidence.watch.value) - 2);
  });
  test('where it hits alone, and towards what it claims', () => {
    const book = absorbed(top!.cause, top!.best!, streams);
    const moved = book.counts.filter((row, at) => row.offset !== streams.book.counts[at]!.offset);
    expect(new Set(moved.map(({ pen }) => pen))).toEqual(new Set(['orchard']));
    expect(moved.length).toBeGreaterThanOrEqual(SETS);
    // More clears: the odds of one are moved up.
    expect(moved.every((row) => row.offset > 0)).toBe(true);
    expect(book.counts).toHaveLength(streams.book.counts.length);
  });
  test('a lost set is left out of it', () => {
    const { counts, measures } = absorbed(
      'set-lost',
      { place: { kind: 'set', name: 'S2' }, from: 1, shape: 'step', logWeight: 0, log: 0 },
      streams,
    );
    expect(counts.some(({ name }) => name === 'S2')).toBe(false);
    expect(measures.some(({ name }) => name === 'S2')).toBe(false);
    expect(counts.length).toBe(streams.book.counts.filter(({ name }) => name !== 'S2').length);
  });
});
