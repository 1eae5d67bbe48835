// What holds for any season: no egg is made or lost by the reckoning.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { buildSeason } from '../../src/facts/fold.ts';
import { summaryOf } from '../../src/judge/summary/way.ts';
import { effectiveRows } from '../../src/records/effective.ts';
import type { Rows } from '../../src/records/index.ts';
import { readSeasonFile } from '../../src/season/read-file.ts';
import { addDays } from '../../src/text/day.ts';
import { day, hill, rowsOf, seasonOf, type Written } from '../support/season.ts';

const few = fc.integer({ min: 0, max: 6 });
const kept = fc.array(few, { minLength: 5, maxLength: 12 });
const counts = fc.record({ clear: few, quit: few, cracked: few, rotten: few });
const life = fc.record({
  kept,
  eggs: fc.integer({ min: 1, max: 40 }),
  looked: counts,
  last: counts,
  moved: few,
  hatch: fc.record({ hatched: few, dead: few, pipped: few, unpipped: few }),
});

const rowsOfLife = (one: typeof life extends fc.Arbitrary<infer T> ? T : never): Written[] => [
  ...one.kept.map(
    (count, index): Written => [
      'eggs',
      addDays(day('2027-03-06'), -index),
      { pen: 'orchard', kept: count },
    ],
  ),
  ['set', '2027-03-06', { set: 'A1', pen: 'orchard', tray: 1, eggs: one.eggs }],
  ['candling', '2027-03-13', { set: 'A1', ...one.looked }],
  ['transfer', '2027-03-24', { set: 'A1', moved: one.moved, ...one.last }],
  ['hatch', '2027-03-27', { set: 'A1', final: 'yes', ...one.hatch }],
];

test('eggs set = drawn + never kept; kept = drawn + left', () => {
  fc.assert(
    fc.property(life, (one) => {
      const season = seasonOf(hill, rowsOfLife(one));
      const share = season.sets.get('A1')!.shares[0]!;
      const drawn = share.drawn.reduce((sum, lot) => sum + lot.eggs, 0);
      const left = season.lots.reduce((sum, lot) => sum + lot.left, 0);
      expect(drawn + share.notKept).toBe(one.eggs);
      expect(drawn + left).toBe(one.kept.reduce((sum, count) => sum + count, 0));
      expect(season.lots.every((lot) => lot.left >= 0)).toBe(true);
    }),
    { numRuns: 60 },
  );
});

test('eggs set = taken out + moved + not accounted for, and the summary adds up to set', () => {
  fc.assert(
    fc.property(life, (one) => {
      const season = seasonOf(hill, rowsOfLife(one));
      const share = season.sets.get('A1')!.shares[0]!;
      const sum = (of: object): number => Object.values(of).reduce((a, b) => a + b, 0);
      expect(sum(one.looked) + sum(one.last) + one.moved + share.tally.missingAtTransfer!).toBe(
        one.eggs,
      );
      expect(sum(one.hatch) + share.tally.missingAtHatch!).toBe(one.moved);
      const { set, ...parts } = summaryOf(season).whereabouts;
      expect(sum(parts)).toBe(set);
    }),
    { numRuns: 60 },
  );
});

test('rows in any order, as a union merge leaves them, give the same season', () => {
  const written: Written[] = [
    ['eggs', '2027-03-02', { pen: 'orchard', kept: 9 }],
    ['eggs', '2027-03-03', { pen: 'orchard', kept: 9 }],
    ['eggs', '2027-03-03', { pen: 'yard', kept: 9 }],
    ['set', '2027-03-05', { set: 'A1', pen: 'orchard', tray: 1, eggs: 12 }],
    ['set', '2027-03-05', { set: 'A1', pen: 'yard', tray: 1, eggs: 6 }],
    ['set', '2027-03-06', { set: 'A2', pen: 'orchard', tray: 2, eggs: 5 }],
    ['set', '2027-03-05', { set: 'A1', pen: 'yard', tray: 1, eggs: 7, amends: '0000000004' }],
  ];
  const { file } = readSeasonFile({ path: 'season.yaml', text: hill });
  const eggs = rowsOf('eggs', written);
  const sets = rowsOf('set', written);
  const empty = seasonOf(hill).rows;
  const seen = (rows: Partial<Record<keyof Rows, unknown>>) => {
    const { season, faults } = buildSeason(file!, { ...empty, ...rows } as Rows);
    return {
      faults,
      lots: season.lots,
      shares: [...season.sets.values()].flatMap((set) =>
        set.shares.map((share) => [share.set, share.pen.name, share.eggs, share.drawn]),
      ),
    };
  };
  const standing = seen({ eggs: effectiveRows(eggs).rows, set: effectiveRows(sets).rows });
  expect(standing.shares).toHaveLength(3);
  fc.assert(
    fc.property(
      fc.shuffledSubarray([...eggs], { minLength: eggs.length }),
      fc.shuffledSubarray([...sets], { minLength: sets.length }),
      (someEggs, someSets) => {
        expect(
          seen({ eggs: effectiveRows(someEggs).rows, set: effectiveRows(someSets).rows }),
        ).toEqual(standing);
      },
    ),
    { numRuns: 40 },
  );
});
