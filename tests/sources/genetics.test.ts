import { describe, expect, it } from 'vitest';
import { inbreedingOf, relationships } from '../../src/breeders/inbreeding.ts';
import { orderPedigree } from '../../src/facts/birds/pedigree.ts';
import { kinshipMatrix } from '../support/kinship.ts';

/** `child: [sire, dam]`; parents without a line of their own are founders. */
function known(lines: Record<string, readonly [string | null, string | null]>) {
  const names = new Set(Object.keys(lines));
  for (const parents of Object.values(lines))
    for (const parent of parents) if (parent !== null) names.add(parent);
  const certain = (id: string | null | undefined) => (id ? [{ id, share: 1 }] : []);
  return relationships(
    orderPedigree(
      [...names].map((id) => ({ id, sire: certain(lines[id]?.[0]), dam: certain(lines[id]?.[1]) })),
    ),
  );
}

describe('pedigrees recalled from published work', () => {
  it('gives the Shorthorn bull Roan Gauntlet 14.1 % (Wright 1922, from memory)', () => {
    // Wright, "Coefficients of inbreeding and relationship", American Naturalist 56:330 (1922):
    // pedigree and coefficient from memory of the paper; printed page not consulted.
    const roan = known({
      'Grand Duke of Gloster': ['Champion of England', null],
      Mistletoe: ['Lord Raglan', null],
      Mimulus: ['Champion of England', 'Mistletoe'],
      'Royal Duke of Gloster': ['Grand Duke of Gloster', 'Mimulus'],
      Carmine: ['Lord Raglan', null],
      'Princess Royal': ['Champion of England', 'Carmine'],
      'Roan Gauntlet': ['Royal Duke of Gloster', 'Princess Royal'],
    });
    expect(inbreedingOf(roan, 'Roan Gauntlet')).toBeCloseTo(0.140625, 12);
    expect(inbreedingOf(roan, 'Roan Gauntlet')).toBeCloseTo(0.141, 3);
  });

  it('gives the Shorthorn bulls Favourite and Comet their 19 and 47 % (Wright 1922, from memory)', () => {
    // Wright (1922, 1923) prints .192 and .471, from a pedigree some generations deeper than the
    // part remembered here, so this part must come out slightly lower. From memory.
    const colling = known({
      'Young Strawberry': ['Dalton Duke', 'Lady Maynard'],
      Bolingbroke: ['Foljambe', 'Young Strawberry'],
      Phoenix: ['Foljambe', 'Lady Maynard'],
      Favourite: ['Bolingbroke', 'Phoenix'],
      'Young Phoenix': ['Favourite', 'Phoenix'],
      Comet: ['Favourite', 'Young Phoenix'],
    });
    for (const [bull, printed] of [
      ['Favourite', 0.192],
      ['Comet', 0.471],
    ] as const) {
      const found = inbreedingOf(colling, bull);
      expect(found).toBeLessThan(printed);
      expect(printed - found).toBeLessThan(0.005);
    }
  });

  it('gives the whole relationship matrix of a textbook example (Mrode, from memory; by hand the same)', () => {
    // Mrode, Linear Models for the Prediction of Animal Breeding Values, example 2.1, printed to
    // three decimals. From memory; the tabular method by hand gives the same.
    const mrode = known({
      3: ['1', '2'],
      4: ['1', null],
      5: ['4', '3'],
      6: ['5', '2'],
    });
    const printed = [
      [1, 0, 0.5, 0.5, 0.5, 0.25],
      [0, 1, 0.5, 0, 0.25, 0.625],
      [0.5, 0.5, 1, 0.25, 0.625, 0.563],
      [0.5, 0, 0.25, 1, 0.625, 0.313],
      [0.5, 0.25, 0.625, 0.625, 1.125, 0.688],
      [0.25, 0.625, 0.563, 0.313, 0.688, 1.125],
    ];
    kinshipMatrix(mrode, ['1', '2', '3', '4', '5', '6']).forEach((row, i) => {
      row.forEach((value, j) => {
        expect(Math.abs(2 * value - printed[i]![j]!)).toBeLessThanOrEqual(0.00051);
      });
    });
  });
});
