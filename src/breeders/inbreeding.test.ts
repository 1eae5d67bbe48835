import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { kinshipMatrix } from '../../tests/support/kinship.ts';
import { orderPedigree, type PedigreeEntry, pedigreeFaults } from '../facts/birds/pedigree.ts';
import { inbreedingOf, meanKinship, type Relationships, relationships } from './inbreeding.ts';

const certain = (id: string) => [{ id, share: 1 }];
const kinship = (known: Relationships, one: string, other: string): number =>
  kinshipMatrix(known, [one, other])[0]![1]!;

/** The tabular method as the textbooks give it, extended to averages of possible parents. */
function tabular(entries: readonly PedigreeEntry[]): number[][] {
  const at = new Map(entries.map(({ id }, index) => [id, index]));
  const table: number[][] = entries.map(() => entries.map(() => 0));
  entries.forEach((entry, i) => {
    for (let j = 0; j < i; j += 1) {
      const half = [...entry.sire, ...entry.dam].reduce(
        (sum, { id, share }) => sum + (share * table[at.get(id)!]![j]!) / 2,
        0,
      );
      table[i]![j] = half;
      table[j]![i] = half;
    }
    let parents = 0;
    for (const s of entry.sire)
      for (const d of entry.dam)
        parents += s.share * d.share * table[at.get(s.id)!]![at.get(d.id)!]!;
    table[i]![i] = entry.unnamed ? 1 / entry.unnamed : 1 + parents / 2;
  });
  return table;
}

/** Birds in order of age, some with doubtful or unknown parents. */
const pedigrees = fc
  .array(
    fc.record({
      sires: fc.array(fc.nat(), { maxLength: 3 }),
      dam: fc.option(fc.nat(), { nil: null }),
      unnamed: fc.integer({ min: 1, max: 6 }),
    }),
    { minLength: 2, maxLength: 30 },
  )
  .map((birds) =>
    birds.map(({ sires, dam, unnamed }, index): PedigreeEntry => {
      // Even birds are male, odd female.
      const males = [...new Set(sires.map((n) => 2 * (n % Math.ceil(index / 2 || 1))))].filter(
        (n) => n < index,
      );
      const female = dam === null || index < 2 ? null : 2 * (dam % Math.floor(index / 2)) + 1;
      const founder = males.length === 0 && female === null;
      return {
        id: `b${index}`,
        sire: males.map((n) => ({ id: `b${n}`, share: 1 / males.length })),
        dam: female === null ? [] : certain(`b${female}`),
        ...(founder ? { unnamed } : {}),
      };
    }),
  );

describe('inbreeding and kinship', () => {
  it('agree with the plain table, doubtful parents and unnamed birds included', () => {
    fc.assert(
      fc.property(pedigrees, (entries) => {
        const table = tabular(entries);
        const known = relationships(orderPedigree(entries));
        const ids = entries.map(({ id }) => id);
        kinshipMatrix(known, ids).forEach((row, i) => {
          row.forEach((value, j) => {
            expect(2 * value).toBeCloseTo(table[i]![j]!, 10);
          });
          expect(inbreedingOf(known, ids[i]!)).toBeCloseTo(table[i]![i]! - 1, 10);
        });
        const total = table.flat().reduce((sum, value) => sum + value / 2, 0);
        expect(meanKinship(known, ids).withSelf).toBeCloseTo(total / ids.length ** 2, 10);
      }),
      { numRuns: 150 },
    );
  });

  it('do not depend on the order of the rows', () => {
    fc.assert(
      fc.property(pedigrees, fc.infiniteStream(fc.nat()), (entries, keys) => {
        const shuffled = [...entries]
          .map((entry) => ({ entry, key: keys.next().value as number }))
          .sort((a, b) => a.key - b.key)
          .map(({ entry }) => entry);
        const one = relationships(orderPedigree(entries));
        const other = relationships(orderPedigree(shuffled));
        for (const { id } of entries)
          expect(inbreedingOf(other, id)).toBeCloseTo(inbreedingOf(one, id), 12);
      }),
      { numRuns: 50 },
    );
  });

  it('put chicks of two possible sires between half and full sibs', () => {
    const known = relationships(
      orderPedigree([
        { id: 'cock1', sire: [], dam: [] },
        { id: 'cock2', sire: [], dam: [] },
        { id: 'hen', sire: [], dam: [] },
        ...['x', 'y'].map((id) => ({
          id,
          sire: [
            { id: 'cock1', share: 0.5 },
            { id: 'cock2', share: 0.5 },
          ],
          dam: certain('hen'),
        })),
      ]),
    );
    // Full sibs ¼ with chance ½, half sibs ⅛ with chance ½.
    expect(kinship(known, 'x', 'y')).toBeCloseTo(0.1875, 12);
    expect(kinship(known, 'x', 'cock1')).toBeCloseTo(0.125, 12);
  });

  it('take ten thousand birds of fifteen generations', () => {
    const entries: PedigreeEntry[] = [];
    let seed = 1;
    const draw = (n: number) => {
      seed = (seed * 48271) % 2147483647;
      return seed % n;
    };
    const perYear = 667;
    for (let year = 0; year < 15; year += 1)
      for (let bird = 0; bird < perYear; bird += 1) {
        const cock = `${year - 1}-${2 * draw(6)}`;
        const hen = `${year - 1}-${2 * draw(40) + 1}`;
        entries.push({
          id: `${year}-${bird}`,
          sire: year === 0 ? [] : certain(cock),
          dam: year === 0 ? [] : certain(hen),
        });
      }
    const known = relationships(orderPedigree(entries));
    const last = entries.slice(-perYear).map(({ id }) => id);
    const mean = last.reduce((sum, id) => sum + inbreedingOf(known, id), 0) / last.length;
    // Six cocks, forty hens: Ne 20.9, and a chick's F lags its parents' generation by one.
    expect(mean).toBeGreaterThan(0.2);
    expect(mean).toBeLessThan(0.35);
  });
});

describe('faults of a pedigree', () => {
  it('finds a bird that is its own ancestor, with the way round', () => {
    const { loops } = pedigreeFaults([
      { id: 'a', sire: certain('c'), dam: [] },
      { id: 'b', sire: certain('a'), dam: [] },
      { id: 'c', sire: certain('b'), dam: [] },
      { id: 'd', sire: certain('a'), dam: [] },
    ]);
    expect(loops).toEqual([['a', 'c', 'b', 'a']]);
  });
  it('finds a bird that is its own parent', () => {
    expect(pedigreeFaults([{ id: 'a', sire: certain('a'), dam: [] }]).loops).toEqual([['a', 'a']]);
  });
  it('finds parents without an entry, and repeated birds', () => {
    const faults = pedigreeFaults([
      { id: 'a', sire: certain('x'), dam: [] },
      { id: 'a', sire: [], dam: [] },
    ]);
    expect(faults.missing).toEqual([{ id: 'a', parent: 'x' }]);
    expect(faults.repeated).toEqual(['a']);
  });
  it('refuses to order what has faults', () => {
    expect(() => orderPedigree([{ id: 'a', sire: certain('a'), dam: [] }])).toThrow(RangeError);
  });
  it('follows a line of a ten thousand generations', () => {
    const entries = Array.from({ length: 10_000 }, (_, n) => ({
      id: `${n}`,
      sire: n === 0 ? [] : certain(`${n - 1}`),
      dam: [],
    })).reverse();
    expect(pedigreeFaults(entries).loops).toEqual([]);
    expect(orderPedigree(entries).nodes).toHaveLength(10_000);
  });
});
